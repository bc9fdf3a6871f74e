//! `find --records`: dictations one a line, findings one a line.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

use serde_json::{Value, json};

use super::{Checked, NOTES, file, hoistnote, run};

#[test]
fn a_record_gives_what_its_file_gives() -> Checked {
    let dir = tempfile::tempdir()?;
    let vtt = "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Jo>left front \"tire\" is bald\n";
    let paths = [file(dir.path(), "a.txt", NOTES)?, file(dir.path(), "b.vtt", vtt)?];
    let (alone, _, _) = run(hoistnote().args(["find", "--format", "json"]).args(&paths))?;
    let records: String = paths
        .iter()
        .map(|p| Ok(format!("{}\n", json!({"id": p, "text": std::fs::read_to_string(p)?}))))
        .collect::<std::io::Result<_>>()?;
    let (out, err, code) = run(hoistnote().args(["find", "--records"]).write_stdin(records))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert_eq!(out, alone);
    Ok(())
}

/// Utterances carry times as findings documents have them, or as recognisers write them.
#[test]
fn utterances_with_times() -> Checked {
    let said = "left front tire is bald";
    let table = [
        (json!([said]), json!(null), json!(null)),
        (json!([{"text": said, "start_ms": 1500, "end_ms": 2250}]), json!(1500), json!(2250)),
        (json!([{"n": 1, "text": said, "start": 1.5, "end": 2.25}]), json!(1500), json!(2250)),
        (json!([{"text": said, "start_ms": null, "end_ms": null}]), json!(null), json!(null)),
    ];
    for (utterances, start, end) in table {
        let record = json!({"id": 7, "utterances": utterances}).to_string();
        let (out, err, code) = run(hoistnote().args(["find", "--records"]).write_stdin(record))?;
        assert_eq!((code, err.as_str()), (Some(0), ""), "{utterances}");
        let document: Value = serde_json::from_str(&out)?;
        assert_eq!(document["source"]["path"], "7");
        assert_eq!(document["utterances"], json!([{"n": 1, "start_ms": start, "end_ms": end, "text": said}]));
        assert_eq!(document["findings"][0]["component"]["id"], "tire", "{out}");
    }
    Ok(())
}

/// Each bad line is told once, with its place; the lines around it go through.
#[test]
fn bad_lines_stop_nothing() -> Checked {
    let deep = format!("{{\"id\": 1, \"utterances\": {}{}}}", "[".repeat(5000), "]".repeat(5000));
    let table: [(&[u8], &str); 15] = [
        (b"left front tire is bald", "-:2:1: broken JSON"),
        (b"{\"id\": \"a\", \"text\": \"x\"", "-:2: the JSON breaks off"),
        (b"{\"id\": \"a\" \"text\": \"x\"}", "-:2:12: broken JSON"),
        (b"{\"id\": \"a\", \"text\": \"x\"} {}", "-:2:26: more than one value"),
        (b"[1, 2]", "-:2: no JSON object"),
        (b"{\"text\": \"horn works\"}", "-:2: no `id`"),
        (b"{\"id\": \"  \", \"text\": \"horn works\"}", "-:2: no `id`"),
        (b"{\"id\": {}, \"text\": \"horn works\"}", "-:2: no `id`"),
        (b"{\"id\": \"a\"}", "-:2: no `text`"),
        (b"{\"id\": \"a\", \"text\": 7}", "-:2: no `text`"),
        (b"{\"id\": \"a\", \"utterances\": \"x\"}", "-:2: no `text`"),
        (b"{\"id\": \"a\", \"text\": \"x\", \"utterances\": []}", "-:2: both"),
        (b"{\"id\": \"a\", \"text\": \"\"}", "-:2: record \"a\": nothing in it"),
        (b"{\"id\": \"a\", \"text\": \"horn \xff works\"}", "-:2:27: not UTF-8"),
        (deep.as_bytes(), "-:2:"),
    ];
    let good = |id: &str| json!({"id": id, "text": NOTES}).to_string().into_bytes();
    for (bad, told) in table {
        let input = [&good("first"), bad, b"", &good("last")].join(&b'\n');
        let (out, err, code) = run(hoistnote().args(["find", "--records"]).write_stdin(input))?;
        let shown = String::from_utf8_lossy(&bad[..bad.len().min(80)]);
        assert_eq!((code, err.lines().count()), (Some(1), 1), "{shown}: {err}");
        assert!(err.starts_with(told), "{shown}: {err}");
        assert_eq!(out.lines().count(), 2, "{shown}");
        assert!(out.contains("\"path\":\"first\"") && out.contains("\"path\":\"last\""), "{shown}");
    }
    Ok(())
}

/// Whoever waits for the answer to each line before giving the next one gets it.
#[test]
fn answers_come_line_by_line() -> Checked {
    let mut child = Command::new(env!("CARGO_BIN_EXE_hoistnote"))
        .args(["find", "--records"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()?;
    let mut input = child.stdin.take().ok_or("no input")?;
    let mut answers = BufReader::new(child.stdout.take().ok_or("no output")?).lines();
    for n in 0..5 {
        writeln!(input, "{}", json!({"id": n, "text": NOTES}))?;
        let document: Value = serde_json::from_str(&answers.next().ok_or("no answer")??)?;
        assert_eq!(document["source"]["path"], n.to_string());
    }
    drop(input);
    assert!(answers.next().is_none());
    assert_eq!(child.wait()?.code(), Some(0));
    Ok(())
}

#[test]
fn nothing_in_nothing_out() -> Checked {
    for input in ["", "\n\n"] {
        let (out, err, code) = run(hoistnote().args(["find", "--records"]).write_stdin(input))?;
        assert_eq!((code, out.as_str(), err.as_str()), (Some(0), "", ""));
    }
    let (_, err, code) = run(hoistnote().args(["find", "--records", "a.txt"]))?;
    assert_eq!(code, Some(2), "{err}");
    Ok(())
}
