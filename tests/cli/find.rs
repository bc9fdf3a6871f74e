//! `find`: what is read and what comes back.

use predicates::prelude::*;
use serde_json::Value;

use super::{Checked, NOTES, file, hoistnote, run};

#[test]
fn a_file() -> Checked {
    let dir = tempfile::tempdir()?;
    let notes = file(dir.path(), "unit-14.txt", NOTES)?;
    let (out, err, code) = run(hoistnote().arg("find").arg(&notes))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(out.starts_with("Findings: unit 14\n"), "{out}");
    assert!(out.contains("brake pads are at 2 mm"), "{out}");
    assert!(!out.contains('\u{1b}'), "colours in a pipe");
    Ok(())
}

#[test]
fn standard_input_as_json() -> Checked {
    let (out, err, code) = run(hoistnote().args(["find", "--format", "json", "-"]).write_stdin(NOTES))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    let document: Value = serde_json::from_str(&out)?;
    assert_eq!(document["schema"], "hoistnote/findings/1");
    assert_eq!(document["source"]["path"], "-");
    assert_eq!(document["utterances"].as_array().map(Vec::len), Some(3));
    Ok(())
}

#[test]
fn a_folder_with_one_bad_file_gives_the_others_and_exit_code_1() -> Checked {
    let dir = tempfile::tempdir()?;
    file(dir.path(), "a.txt", NOTES)?;
    file(dir.path(), "b.vtt", b"\0\0\0\0")?;
    file(dir.path(), "c.txt", NOTES)?;
    let (out, err, code) = run(hoistnote().args(["find", "--format", "json"]).arg(dir.path()))?;
    assert_eq!(code, Some(1));
    assert_eq!(out.lines().count(), 2);
    assert_eq!(err.lines().count(), 1, "{err}");
    assert!(err.contains("b.vtt") && err.contains("; "), "{err}");
    Ok(())
}

#[test]
fn what_is_not_there_is_told_and_the_rest_done() -> Checked {
    let dir = tempfile::tempdir()?;
    let notes = file(dir.path(), "a.txt", NOTES)?;
    let (out, err, code) = run(hoistnote().args(["find", "no-such-file.vtt"]).arg(&notes))?;
    assert_eq!(code, Some(1));
    assert!(out.contains("unit 14"), "{out}");
    assert_eq!(err, "no-such-file.vtt: no such file or folder; check the name and where it is\n");
    Ok(())
}

/// Warnings are told as path:line: what; advice. They are no failure.
#[test]
fn warnings_name_their_line() -> Checked {
    let vtt = "WEBVTT\n\n00:09.000 --> 00:10.000\nbattery is fine\n\n00:04.000 --> 00:02.000\nhorn works\n";
    let (_, err, code) = run(hoistnote().args(["find", "-"]).write_stdin(vtt))?;
    assert_eq!(code, Some(0));
    assert!(err.lines().all(|l| l.starts_with("-:6")) && !err.is_empty(), "{err}");
    Ok(())
}

#[test]
fn wrong_usage_is_exit_code_2() -> Checked {
    let table: [&[&str]; 7] = [
        &["find", "--format", "xml", "-"],
        &["find"],
        &["fnid", "-"],
        &[],
        &["find", "--drives-on", "middle", "-"],
        &["find", "--out", "no-such-folder/x", "-"],
        &["demo", "--text", "--format", "json"],
    ];
    for arguments in table {
        let (out, err, code) = run(hoistnote().args(arguments).write_stdin(NOTES))?;
        assert_eq!((code, out.as_str()), (Some(2), ""), "{arguments:?}");
        assert!(!err.is_empty(), "{arguments:?}");
    }
    Ok(())
}

#[test]
fn an_unknown_format_is_named_with_those_that_are_known() {
    let known = predicate::str::contains("xml").and(predicate::str::contains("table, json, csv, markdown"));
    hoistnote().args(["find", "--format", "xml", "-"]).assert().code(2).stderr(known);
}

#[test]
fn a_bad_lexicon_is_told_by_file_line_and_column() -> Checked {
    let dir = tempfile::tempdir()?;
    let bad = file(dir.path(), "shop.toml", "# ours\n[[condition]]\nid = \"wobbly\"\n")?;
    let (_, err, code) = run(hoistnote().args(["find", "-", "--lexicon"]).arg(dir.path()).write_stdin(NOTES))?;
    assert_eq!(code, Some(1));
    assert!(err.starts_with(&format!("{}:3:6: ", bad.display())), "{err}");
    Ok(())
}

#[test]
fn the_side_of_the_road_decides_where_the_driver_sits() -> Checked {
    let said = "the driver side headlight is broken\n";
    for (side, position) in [("right", "left"), ("left", "right")] {
        let arguments = ["find", "-", "--format", "json", "--drives-on", side];
        let (out, _, code) = run(hoistnote().args(arguments).write_stdin(said))?;
        assert_eq!(code, Some(0));
        assert!(out.contains(&format!("\"{position}\"")), "{side}: {out}");
    }
    Ok(())
}

/// Whatever the bytes, the program ends with 0 or 1 and never breaks down.
#[test]
fn no_input_breaks_the_program() -> Checked {
    let table: [&[u8]; 9] = [
        b"",
        b"\0\0\0\0",
        b"\xff\xfe",
        b"\xef\xbb\xbf",
        b"WEBVTT",
        b"WEBVTT\n\n00:00.000 --> 99:99:99.999\n\x1b[2J brake pads are thin\n",
        b"{\"segments\":[{\"start\":-1,\"end\":1e999,\"text\":\"pads\"}]}",
        "1\n00:00:01,000 --> 00:00:02,000\n\u{202e}pads 2 mm\u{0}\n".as_bytes(),
        "left front left front 1/0 mm 99999999999999999999999 psi \u{fffd}é—“tire”".as_bytes(),
    ];
    for bytes in table {
        for format in ["table", "csv"] {
            let (out, err, code) = run(hoistnote().args(["find", "-", "--format", format]).write_stdin(bytes))?;
            assert!(matches!(code, Some(0 | 1)), "{bytes:?} {format}: {code:?} {err}");
            assert!(!out.contains('\u{1b}') && !err.contains('\u{1b}'), "{bytes:?} {format}");
        }
    }
    Ok(())
}

#[test]
fn a_fault_that_no_part_was_found_for_is_not_summed_up_as_none() -> Checked {
    let (out, _, code) = run(hoistnote().args(["find", "-"]).write_stdin("the clamper is seized on this side\n"))?;
    assert_eq!(code, Some(0));
    assert!(out.contains("the clamper is seized"), "{out}");
    assert!(!out.contains("No defects found"), "{out}");
    Ok(())
}

#[test]
fn a_bare_mileage_is_the_odometer_and_an_announced_place_is_no_loose_word() -> Checked {
    for (said, run) in [("mileage 50000", Some(50_000.0)), ("odo 71400", Some(71_400.0)), ("unit 14", None)] {
        let (out, _, code) = run_on(&format!("{said}\nRight rear now.\nshock is leaking\n"))?;
        let document: serde_json::Value = serde_json::from_str(&out)?;
        assert_eq!(code, Some(0));
        assert_eq!(document["vehicle"]["odometer"]["value"].as_f64(), run, "{said}");
        let loose = document["unplaced"].as_array().ok_or("no list of unplaced words")?;
        assert!(loose.iter().all(|u| u["text"] != "Right rear now."), "{out}");
    }
    Ok(())
}

/// The findings of notes on standard input, as JSON.
fn run_on(notes: &str) -> Result<(String, String, Option<i32>), Box<dyn std::error::Error>> {
    run(hoistnote().args(["find", "-", "--format", "json"]).write_stdin(notes))
}
