//! Gathering inputs from paths: folders, hidden and foreign files, what is missing.

use std::fs;
use std::path::Path;

use hoistnote::dictation::gather;

fn put(folder: &Path, name: &str) -> String {
    let path = folder.join(name);
    let parent = path.parent().unwrap_or(folder);
    fs::create_dir_all(parent).and_then(|()| fs::write(&path, name)).unwrap_or_else(|e| panic!("{e}"));
    path.display().to_string()
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn folders_are_walked_by_name_without_foreign_files() {
    let folder = folder();
    let names = ["b.vtt", "a.txt", "c/d.json", "c/.hidden", ".git/x.txt", "z.JPG", "y.wav", "e"];
    for name in names {
        put(folder.path(), name);
    }
    let (sources, problems) = gather(&[folder.path().display().to_string()]);
    let found: Vec<String> = sources
        .iter()
        .map(|source| match source.load() {
            Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
            Err(problem) => panic!("{problem}"),
        })
        .collect();
    assert_eq!(found, ["a.txt", "b.vtt", "c/d.json", "e"]);
    assert!(problems.is_empty(), "{problems:?}");
}

#[test]
fn named_files_are_always_tried_and_missing_ones_stop_nothing() {
    let folder = folder();
    let picture = put(folder.path(), "photo.jpg");
    let hidden = put(folder.path(), ".notes");
    let missing = folder.path().join("gone.txt").display().to_string();
    let paths = [missing.clone(), picture.clone(), "-".to_owned(), hidden.clone(), "-".to_owned()];
    let (sources, problems) = gather(&paths);
    let found: Vec<&str> = sources.iter().map(|source| source.path.as_str()).collect();
    assert_eq!(found, [picture.as_str(), "-", hidden.as_str()]);
    let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            format!("{missing}: no such file or folder; check the name and where it is"),
            "-: standard input is named twice; it is read once".to_owned(),
        ]
    );
}

#[test]
fn a_folder_without_dictations_is_told() {
    let folder = folder();
    put(folder.path(), "only.png");
    let (sources, problems) = gather(&[folder.path().display().to_string()]);
    assert!(sources.is_empty());
    assert_eq!(problems.len(), 1);
}

#[test]
fn a_file_gone_before_it_is_loaded_is_told() {
    let folder = folder();
    let path = put(folder.path(), "a.txt");
    let (sources, _) = gather(std::slice::from_ref(&path));
    fs::remove_file(&path).unwrap_or_else(|error| panic!("{error}"));
    let problems: Vec<_> = sources.iter().filter_map(|source| source.load().err()).collect();
    assert!(problems.iter().all(|problem| problem.path == path));
    assert_eq!(problems.len(), 1);
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_back_ends_nowhere() {
    let folder = folder();
    put(folder.path(), "a.txt");
    let link = folder.path().join("again");
    std::os::unix::fs::symlink(folder.path(), link).unwrap_or_else(|error| panic!("{error}"));
    let (sources, problems) = gather(&[folder.path().display().to_string()]);
    assert_eq!((sources.len(), problems.len()), (1, 1));
}
