//! `final` and `decide`.

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

use super::{Checked, DEMO};

fn run(arguments: &[&str], folder: &Path) -> Result<(String, String, Option<i32>), Box<dyn std::error::Error>> {
    let (command, rest) = arguments.split_first().ok_or("no command")?;
    let output = Command::new(env!("CARGO_BIN_EXE_hoistnote")).arg(command).arg(folder).args(rest).output()?;
    Ok((String::from_utf8(output.stdout)?, String::from_utf8(output.stderr)?, output.status.code()))
}

fn folder() -> std::io::Result<tempfile::TempDir> {
    let dir = tempfile::tempdir()?;
    std::fs::write(dir.path().join("walk.vtt"), DEMO)?;
    std::fs::write(dir.path().join("notes.txt"), "spare wheel is missing\n")?;
    Ok(dir)
}

fn list(folder: &Path) -> Result<Value, Box<dyn std::error::Error>> {
    Ok(serde_json::from_str(&run(&["final", "--format", "json"], folder)?.0)?)
}

fn ids(list: &Value, part: &str) -> Vec<String> {
    let findings = list["findings"].as_array().cloned().unwrap_or_default();
    let of_part = findings.iter().filter(|f| f["component"]["id"] == part);
    of_part.filter_map(|f| f["id"].as_str().map(str::to_string)).collect()
}

#[test]
fn a_whole_review_without_the_page() -> Checked {
    let dir = folder()?;
    let walk = dir.path().join("walk.vtt");
    let (_, told, _) = run(&["final"], dir.path())?;
    assert!(
        told.contains("not yet looked at") && told.contains("  line 1, part with nothing clear said of it: "),
        "{told}"
    );
    // one list of all dictations makes one report
    let (report, _, code) = run(&["final", "--format", "html"], dir.path())?;
    assert!(code == Some(0) && report.contains("Not yet reviewed"), "{report}");
    let first = list(dir.path())?;
    let hose = &ids(&first, "brake-hose")[0];
    let balls = ids(&first, "ball-joint");
    let n = first["findings"].as_array().map_or(0, Vec::len);
    for arguments in [
        &["decide", "accept", hose][..],
        &["decide", "correct", hose, "--urgency", "now", "--conditions", "crack:severe", "--measured", "2 mm"],
        &["decide", "note", hose, "ordered"],
        &["decide", "merge", &balls[0], &balls[1]],
        &["decide", "undo"],
        &["decide", "redo"],
        &["decide", "add", "--line", "2", "--words", "spare wheel", "--part", "spare tire", "--verdict", "defect"],
        &["decide", "drop", &balls[0], "--reason", "said twice"],
        &["decide", "pass-words", "1"],
    ] {
        let (out, err, code) = run(arguments, dir.path())?;
        if arguments[1] == "add" {
            assert_eq!(code, Some(2), "line 2 does not say that: {err}");
            continue;
        }
        assert_eq!((out.as_str(), code), ("", Some(0)), "{arguments:?}: {err}");
        assert!(err.contains("saved as line"), "{err}");
    }
    let last = list(dir.path())?;
    assert_eq!(last["findings"].as_array().map(Vec::len), Some(n - 2));
    assert_eq!(last["revision"], 8);
    assert_eq!(last["dropped"][0]["reason"], "said twice");
    let hose = last["findings"].as_array().and_then(|f| f.iter().find(|f| f["component"]["id"] == "brake-hose"));
    let hose = hose.ok_or("no hose")?;
    assert_eq!(
        (&hose["urgency"], &hose["review"]["state"], &hose["review"]["note"]),
        (&"now".into(), &"corrected".into(), &"ordered".into())
    );
    assert_eq!(std::fs::read_to_string(walk)?, DEMO, "the dictation is never written to");
    let (csv, _, code) = run(&["final", "--format", "csv"], dir.path())?;
    assert_eq!((csv.lines().count(), code), (n - 1, Some(0)));
    Ok(())
}

#[test]
fn what_cannot_be_decided_is_told_and_writes_nothing() -> Checked {
    let dir = folder()?;
    for (arguments, told) in [
        (&["decide", "accept", "zzzz"][..], "no finding has the id zzzz"),
        (&["decide", "correct", "zz", "--urgency", "yesterday"], "not one of these:\n  stop, now, soon, watch\n"),
        (&["decide", "correct", "zz", "--conditions", "bogus"], "not one of these:\n  leak"),
        (&["decide", "correct", "zz", "--measured", "2 parsecs"], "the units are:\n  mm"),
        (&["decide", "undo"], "nothing is left to undo"),
    ] {
        let (_, err, code) = run(arguments, dir.path())?;
        assert_eq!(code, Some(2), "{arguments:?}");
        assert!(err.contains(told), "{err}");
        assert!(err.lines().skip(1).all(|l| l.chars().count() <= 80), "{err}");
    }
    assert!(!dir.path().join("decisions.ndjson").exists());
    let (_, err, code) = run(&["final"], &dir.path().join("nowhere"))?;
    assert!(code == Some(1) && err.contains("name the folder of one inspection"), "{err}");
    Ok(())
}

/// `find` over a folder of inspections does not take the log for a dictation.
#[test]
fn the_log_is_no_dictation() -> Checked {
    let dir = folder()?;
    run(&["decide", "pass-words", "1"], dir.path())?;
    let (out, err, code) = run(&["find", "--format", "json"], dir.path())?;
    assert_eq!((out.lines().count(), code), (2, Some(0)), "{err}");
    Ok(())
}
