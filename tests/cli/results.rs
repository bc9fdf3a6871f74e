//! `find --out DIR`: a file for each dictation, and going on where a run was broken off.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, SystemTime};

use super::{Checked, NOTES, file, hoistnote, run};

/// Bytes of a file, and when it was written.
type Written = (Vec<u8>, SystemTime);

/// Every file below a folder that has a name of its own, with its bytes and the moment it was written.
fn files(folder: &Path) -> Result<BTreeMap<String, Written>, Box<dyn std::error::Error>> {
    let mut found = BTreeMap::new();
    for entry in walkdir::WalkDir::new(folder) {
        let entry = entry?;
        let name = entry.path().strip_prefix(folder)?.display().to_string();
        if entry.file_type().is_file() && !entry.file_name().to_string_lossy().starts_with('.') {
            found.insert(name, (fs::read(entry.path())?, entry.metadata()?.modified()?));
        }
    }
    Ok(found)
}

fn hidden(folder: &Path) -> Result<Vec<String>, Box<dyn std::error::Error>> {
    let all = walkdir::WalkDir::new(folder).into_iter().collect::<Result<Vec<_>, _>>()?;
    let names = all.iter().map(|e| e.file_name().to_string_lossy().into_owned());
    Ok(names.filter(|n| n.starts_with(".hoistnote")).collect())
}

fn into(folder: &Path, out: &Path, more: &[&str]) -> Result<(String, Option<i32>), Box<dyn std::error::Error>> {
    let (printed, told, code) = run(hoistnote().arg("find").arg(folder).arg("--out").arg(out).args(more))?;
    assert_eq!(printed, "");
    Ok((told, code))
}

fn inspections(folder: &Path, count: usize) -> std::io::Result<()> {
    fs::create_dir_all(folder.join("tuesday"))?;
    for n in 0..count {
        let name = if n % 3 == 0 { format!("tuesday/unit-{n:03}.txt") } else { format!("unit-{n:03}.txt") };
        file(folder, &name, format!("{NOTES}right rear tire is at {n} mm\n"))?;
    }
    Ok(())
}

#[test]
fn each_dictation_gets_a_file_and_only_what_changed_is_done_again() -> Checked {
    let dir = tempfile::tempdir()?;
    let (monday, out) = (dir.path().join("monday"), dir.path().join("results"));
    inspections(&monday, 7)?;
    file(&monday, "broken.txt", b"\0\0\0\0")?;
    let slash = out.join("");
    let (told, code) = into(&monday, &slash, &["--format", "json"])?;
    assert_eq!((code, told.lines().count()), (Some(1), 1), "{told}");
    assert!(told.contains("broken.txt"), "{told}");
    let first = files(&out)?;
    let names: Vec<&str> = first.keys().map(String::as_str).collect();
    assert_eq!(names.len(), 7);
    assert!(names.contains(&"tuesday/unit-003.txt.json") && names.contains(&"unit-005.txt.json"), "{names:?}");
    for (name, (bytes, _)) in &first {
        let source = monday.join(name.trim_end_matches(".json"));
        let (printed, _, _) = run(hoistnote().args(["find", "--format", "json"]).arg(&source))?;
        assert_eq!(printed.as_bytes(), bytes, "{name}");
    }

    // nothing changed: nothing is done, and that is told
    fs::remove_file(monday.join("broken.txt"))?;
    let (told, code) = into(&monday, &out, &["--format", "json"])?;
    assert_eq!(
        (code, told),
        (Some(0), format!("{}: 7 of 7 results were there already and still hold\n", out.display()))
    );
    assert_eq!(files(&out)?, first);

    // one input changed, one result spoilt, one lost: these three are done again, in place
    file(&monday, "unit-001.txt", "unit 15\nhorn works\n")?;
    file(&out, "unit-002.txt.json", "{")?;
    fs::remove_file(out.join("unit-004.txt.json"))?;
    let (told, _) = into(&monday, &out, &["--format", "json"])?;
    assert!(told.contains("4 of 7"), "{told}");
    let second = files(&out)?;
    for (name, was) in &first {
        let is = &second[name];
        match name.as_str() {
            "unit-001.txt.json" => assert!(String::from_utf8_lossy(&is.0).contains("unit 15")),
            "unit-002.txt.json" | "unit-004.txt.json" => assert_eq!(is.0, was.0),
            _ => assert_eq!(is, was),
        }
    }

    // other words, another side of the road, another form: all are done again
    let words = dir.path().join("words");
    fs::create_dir(&words)?;
    file(&words, "w.toml", "[[part]]\nid = \"brake-caliper\"\nalso = [\"the clamper\"]\n")?;
    let words = words.display().to_string();
    for more in [&["--lexicon", words.as_str()][..], &["--drives-on", "left"][..]] {
        let more = [&["--format", "json"], more].concat();
        assert!(!into(&monday, &out, &more)?.0.contains("already"));
        assert!(into(&monday, &out, &more)?.0.contains("7 of 7"));
    }
    into(&monday, &out, &["--format", "csv"])?;
    let names = files(&out)?;
    assert_eq!(names.keys().filter(|n| n.ends_with(".csv")).count(), 7);
    assert_eq!(hidden(&out)?, [".hoistnote-done.ndjson"]);
    Ok(())
}

#[test]
fn a_report_for_each_customer() -> Checked {
    let dir = tempfile::tempdir()?;
    let (monday, out) = (dir.path().join("monday"), dir.path().join("results"));
    inspections(&monday, 2)?;
    fs::create_dir(&out)?;
    assert_eq!(into(&monday, &out, &["--format", "html"])?.1, Some(0));
    for (name, (bytes, _)) in files(&out)? {
        assert!(name.ends_with(".html") && bytes.starts_with(b"<!DOCTYPE html>"), "{name}");
    }
    Ok(())
}

#[test]
fn results_are_never_mixed_with_what_is_read_nor_with_each_other() -> Checked {
    let dir = tempfile::tempdir()?;
    let monday = dir.path().join("monday");
    inspections(&monday, 2)?;
    for out in [monday.join("results/"), monday.clone(), dir.path().to_path_buf(), monday.join("a/../b/")] {
        let (told, code) = into(&monday, &out, &[])?;
        assert_eq!(code, Some(2), "{told}");
        assert!(told.contains("name a folder apart from it"), "{told}");
    }
    let twin = monday.join("tuesday").join("unit-001.txt");
    fs::copy(monday.join("unit-001.txt"), &twin)?;
    let out = dir.path().join("out/");
    let (_, told, code) =
        run(hoistnote().arg("find").arg(monday.join("unit-001.txt")).arg(&twin).arg("--out").arg(&out))?;
    assert_eq!(code, Some(2), "{told}");
    assert!(told.contains("name the folder above both"), "{told}");
    assert!(!out.exists() && !monday.join("results").exists());
    Ok(())
}

#[test]
fn two_runs_never_write_to_one_folder() -> Checked {
    let dir = tempfile::tempdir()?;
    let (monday, out) = (dir.path().join("monday"), dir.path().join("out"));
    inspections(&monday, 1)?;
    fs::create_dir(&out)?;
    let held = fs::File::create(out.join(".hoistnote-done.ndjson"))?;
    held.lock()?;
    let (told, code) = into(&monday, &out, &[])?;
    assert_eq!(code, Some(1));
    assert!(told.contains("another run is writing"), "{told}");
    drop(held);
    assert_eq!(into(&monday, &out, &[])?.1, Some(0));
    Ok(())
}

/// Killed at any moment: what stands under its name is whole, and the next run does the rest and nothing else.
#[test]
fn killed_and_gone_on_with() -> Checked {
    let dir = tempfile::tempdir()?;
    let monday = dir.path().join("monday");
    inspections(&monday, 60)?;
    let whole = dir.path().join("whole");
    fs::create_dir(&whole)?;
    into(&monday, &whole, &["--format", "json"])?;
    let whole = files(&whole)?;
    let out = dir.path().join("out");
    fs::create_dir(&out)?;
    let mut before = BTreeMap::new();
    let mut kills = 0;
    for n in 0..200_u64 {
        let mut child = Command::new(env!("CARGO_BIN_EXE_hoistnote"))
            .arg("find")
            .arg(&monday)
            .args(["--format", "json", "--out"])
            .arg(&out)
            .stderr(Stdio::null())
            .spawn()?;
        // until a few more results are there
        let from = before.len();
        loop {
            let now = files(&out)?.len();
            if now >= from + 3 || child.try_wait()?.is_some() {
                break;
            }
            std::thread::sleep(Duration::from_micros(200 + n * 131 % 900));
        }
        child.kill()?;
        child.wait()?;
        kills += 1;
        let now = files(&out)?;
        for (name, (bytes, _)) in &now {
            assert!(*bytes == whole[name].0, "{name} is not whole");
        }
        for (name, was) in &before {
            assert!(now[name] == *was, "{name} was done twice");
        }
        before = now;
        if before.len() == whole.len() {
            break;
        }
    }
    let (told, code) = into(&monday, &out, &["--format", "json"])?;
    assert_eq!(code, Some(0));
    assert!(told.contains(&format!("{} of 60", before.len())), "{told}");
    let end = files(&out)?;
    assert!(end.iter().map(|(n, f)| (n, &f.0)).eq(whole.iter().map(|(n, f)| (n, &f.0))));
    assert_eq!(hidden(&out)?, [".hoistnote-done.ndjson"]);
    assert!(kills > 2, "killed {kills} times only");
    Ok(())
}

/// However many are read at once, they come out in the order of their names.
#[test]
fn order_is_kept() -> Checked {
    let dir = tempfile::tempdir()?;
    for n in 0..50_usize {
        // some take long, some no time
        file(dir.path(), &format!("{n:02}.txt"), NOTES.repeat(if n % 7 == 0 { 40 } else { 1 }))?;
    }
    let (out, err, code) = run(hoistnote().args(["find", "--format", "json"]).arg(dir.path()))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    let paths: Vec<String> = out
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).map(|d| d["source"]["path"].to_string()))
        .collect::<Result<_, _>>()?;
    assert_eq!(paths.len(), 50);
    assert!(paths.is_sorted());
    Ok(())
}
