//! Where output goes: files that appear whole or not at all, and pipes that close early.

use std::fs;
use std::io::Read;
use std::process::{Command, Stdio};

use super::{Checked, NOTES, file, hoistnote, run};

/// Names in a folder.
fn names(folder: &std::path::Path) -> std::io::Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder)? {
        names.push(entry?.file_name().to_string_lossy().into_owned());
    }
    names.sort();
    Ok(names)
}

#[test]
fn a_file_takes_the_place_of_the_old_one_and_leaves_nothing_else() -> Checked {
    let dir = tempfile::tempdir()?;
    let notes = file(dir.path(), "a.txt", NOTES)?;
    let out = file(dir.path(), "list.csv", "old")?;
    let (text, _, code) = run(hoistnote().args(["find", "--format", "csv", "--out"]).arg(&out).arg(&notes))?;
    assert_eq!((code, text.as_str()), (Some(0), ""));
    assert!(fs::read_to_string(&out)?.starts_with("path,vehicle,id,"));
    assert_eq!(names(dir.path())?, ["a.txt", "list.csv"]);
    Ok(())
}

#[test]
fn when_nothing_could_be_read_the_old_file_stays() -> Checked {
    let dir = tempfile::tempdir()?;
    let bad = file(dir.path(), "a.txt", "")?;
    let out = file(dir.path(), "list.txt", "old")?;
    let (_, _, code) = run(hoistnote().args(["find", "--out"]).arg(&out).arg(&bad))?;
    assert_eq!(code, Some(1));
    assert_eq!(fs::read_to_string(&out)?, "old");
    assert_eq!(names(dir.path())?, ["a.txt", "list.txt"]);
    Ok(())
}

#[test]
fn a_dictation_is_never_written_over() -> Checked {
    let dir = tempfile::tempdir()?;
    let notes = file(dir.path(), "a.txt", NOTES)?;
    let (_, err, code) = run(hoistnote().args(["find", "--out"]).arg(&notes).arg(dir.path()))?;
    assert_eq!(code, Some(2), "{err}");
    assert_eq!(fs::read_to_string(&notes)?, NOTES);
    Ok(())
}

#[test]
fn a_table_in_a_file_has_no_colours_even_when_they_are_asked_for() -> Checked {
    let dir = tempfile::tempdir()?;
    let out = dir.path().join("list.txt");
    run(hoistnote().args(["demo", "--out"]).arg(&out).env("CLICOLOR_FORCE", "1"))?;
    assert!(!fs::read_to_string(&out)?.contains('\u{1b}'));
    Ok(())
}

#[test]
fn colours_follow_the_surroundings() -> Checked {
    let (forced, _, _) = run(hoistnote().arg("demo").env("CLICOLOR_FORCE", "1"))?;
    assert!(forced.contains('\u{1b}'));
    let (plain, _, _) = run(hoistnote().arg("demo").env("NO_COLOR", "1"))?;
    assert!(!plain.contains('\u{1b}'));
    Ok(())
}

/// A reader that goes away, as `head` does, is no error and no word is said of it.
#[test]
fn a_closed_pipe_is_no_error() -> Checked {
    for arguments in
        [["demo", "--format=table"], ["demo", "--text"], ["completions", "bash"], ["find", "-"], ["find", "--help"]]
    {
        let mut child = Command::new(env!("CARGO_BIN_EXE_hoistnote"))
            .args(arguments)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()?;
        drop(child.stdout.take());
        let mut said = String::new();
        if let Some(mut stderr) = child.stderr.take() {
            stderr.read_to_string(&mut said)?;
        }
        let expected = if arguments == ["find", "-"] { 1 } else { 0 };
        assert_eq!(child.wait()?.code(), Some(expected), "{arguments:?}: {said}");
        assert!(!said.contains("panicked"), "{arguments:?}: {said}");
    }
    Ok(())
}
