//! How long the server takes, as a program outside of it measures.

use std::fmt::Write as _;
use std::fs;
use std::time::{Duration, Instant};

use hoistnote::lexicon::Lexicon;
use serde_json::json;

use super::{Checked, Server};

/// Invented notes with so many findings: parts of the lexicon, one a line.
fn notes(findings: usize) -> Result<String, Box<dyn std::error::Error>> {
    let lexicon = Lexicon::builtin()?;
    let mut out = String::from("unit 14, high-roof van\n");
    for (n, part) in lexicon.parts.iter().filter(|p| p.name.contains(' ')).step_by(4).take(findings).enumerate() {
        let said = ["is leaking, replace it", "is worn, needs doing soon", "is cracked", "is fine"][n % 4];
        writeln!(out, "the {} {said}", part.name)?;
    }
    Ok(out)
}

fn best(mut run: impl FnMut() -> Checked) -> Result<Duration, Box<dyn std::error::Error>> {
    let mut best = Duration::MAX;
    for _ in 0..5 {
        let start = Instant::now();
        run()?;
        best = best.min(start.elapsed());
    }
    Ok(best)
}

/// `cargo test --release --test all desk::figures -- --ignored --nocapture` prints the figures.
#[test]
#[ignore = "figures mean something in a release build alone"]
fn pages_and_actions_are_quick() -> Checked {
    let dir = tempfile::tempdir()?;
    fs::create_dir(dir.path().join("big"))?;
    fs::write(dir.path().join("big/notes.txt"), notes(300)?)?;
    let s = Server::open(dir.path(), &[])?;
    let page = s.get("/inspection/big")?.text();
    let ids: Vec<&str> = page.split("data-id=\"").skip(1).filter_map(|r| r.split('"').next()).collect();
    println!("inspection of {} findings, page of {} kB", ids.len(), page.len() / 1024);
    assert!(ids.len() >= 280, "{}", ids.len());
    let mut slowest = best(|| s.get("/inspection/big").map(|a| assert_eq!(a.status, 200)))?;
    println!("open the page: {slowest:?}");
    let edits = [
        ("accept", json!({"do": "accept", "id": ids[0]})),
        ("correct", json!({"do": "correct", "id": ids[1], "change": {"wording": "It wants doing."}})),
        ("drop", json!({"do": "drop", "id": ids[2], "reason": "said twice"})),
        ("split", json!({"do": "split", "id": ids[3]})),
        ("merge", json!({"do": "merge", "ids": [ids[4], ids[5]]})),
        ("note", json!({"do": "note", "id": ids[6], "text": "ordered"})),
        ("add", json!({"do": "add", "words": [{"line": 9, "words": ""}], "change": {"part": "horn"}})),
        ("pass", json!({"do": "pass", "id": ids[7]})),
        ("undo", json!({"do": "undo"})),
        ("redo", json!({"do": "redo"})),
    ];
    let reading = s.reading("big")?;
    for (revision, (name, edit)) in edits.into_iter().enumerate() {
        let start = Instant::now();
        let answer = s.decide_on("big", revision, &reading, edit)?;
        let took = start.elapsed();
        assert_eq!(answer.status, 200, "{name}: {}", answer.text());
        slowest = slowest.max(took);
        println!("{name}: {took:?}");
    }
    assert!(slowest < Duration::from_millis(100), "{slowest:?}");
    Ok(())
}

#[test]
#[ignore = "figures mean something in a release build alone"]
fn many_inspections_are_listed_quickly() -> Checked {
    let dir = tempfile::tempdir()?;
    let text = notes(30)?;
    for n in 0..500 {
        let folder = dir.path().join(format!("2026-03-02 unit {n}"));
        fs::create_dir(&folder)?;
        fs::write(folder.join("notes.txt"), text.replace("unit 14", &format!("unit {n}")))?;
    }
    let start = Instant::now();
    let s = Server::open(dir.path(), &[])?;
    println!("first list while inspections are being read: {:?} after the start", start.elapsed());
    while s.get("/")?.text().contains("is being read") {
        std::thread::sleep(Duration::from_millis(20));
    }
    println!("all 500 read: {:?} after the start", start.elapsed());
    let took = best(|| s.get("/").map(|a| assert_eq!(a.text().matches("<tr>").count(), 501)))?;
    println!("list of 500: {took:?}");
    assert!(took < Duration::from_millis(300), "{took:?}");
    Ok(())
}
