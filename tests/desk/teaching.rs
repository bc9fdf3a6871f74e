//! Teaching the shop's lexicon: shown, then written, never silently.

use std::fs;

use serde_json::json;

use super::{Checked, Server};

const SAID: &str = "left front now, the clamper is seized, replace it\nbattery ok\n";

fn depot() -> std::io::Result<tempfile::TempDir> {
    let dir = tempfile::tempdir()?;
    fs::create_dir_all(dir.path().join("depot/unit-14"))?;
    fs::create_dir(dir.path().join("ours"))?;
    fs::write(dir.path().join("depot/unit-14/notes.txt"), SAID)?;
    Ok(dir)
}

#[test]
fn a_word_is_shown_before_it_is_written() -> Checked {
    let dir = depot()?;
    let ours = dir.path().join("ours");
    let lexicon = ours.display().to_string();
    let s = Server::open(&dir.path().join("depot"), &["--lexicon", &lexicon])?;
    let change = json!({"part": "brake caliper", "verdict": "defect"});
    let added =
        s.decide("unit-14", 0, json!({"do": "add", "words": [{"line": 1, "words": "the clamper"}], "change": change}))?;
    assert_eq!(added.json()?["teach"], json!({"words": "the clamper", "part": "brake-caliper"}));
    assert_eq!(fs::read_dir(&ours)?.count(), 0, "nothing is written before it is asked for");
    let mut lesson = json!({"words": "the clamper", "part": "brake-caliper", "write": false});
    let shown = s.post("/teach", &lesson)?.json()?;
    assert_eq!(shown["file"], "desk-brakes.toml");
    assert!(shown["text"].as_str().is_some_and(|t| t.contains("also = [\"the clamper\"]")), "{shown}");
    assert!(
        shown["effect"].to_string().contains(
            "gained, as the writer had it: brake caliper (before: not found; after: front left, defect, seized"
        ),
        "{shown}"
    );
    assert_eq!(fs::read_dir(&ours)?.count(), 0);
    lesson["write"] = json!(true);
    assert_eq!(s.post("/teach", &lesson)?.status, 200);
    let file = fs::read_to_string(ours.join("desk-brakes.toml"))?;
    assert!(file.contains("system = \"brakes\"") && file.contains("\"the clamper\""), "{file}");
    let document: serde_json::Value = {
        let out = assert_cmd::Command::new(env!("CARGO_BIN_EXE_hoistnote"))
            .args(["find", "--format", "json", "--lexicon", &lexicon])
            .arg(dir.path().join("depot/unit-14/notes.txt"))
            .output()?;
        serde_json::from_slice(&out.stdout)?
    };
    assert!(document["findings"].to_string().contains("brake-caliper"), "{document}");
    lesson["words"] = json!("a \"quoted\"\nthing");
    assert_eq!(s.post("/teach", &lesson)?.status, 200);
    assert!(fs::read_to_string(ours.join("desk-brakes.toml"))?.starts_with(&file), "what was there stays");
    Ok(())
}

#[test]
fn without_a_lexicon_of_its_own_nothing_is_offered() -> Checked {
    let dir = depot()?;
    let s = Server::open(&dir.path().join("depot"), &[])?;
    let change = json!({"part": "brake caliper"});
    let added =
        s.decide("unit-14", 0, json!({"do": "add", "words": [{"line": 1, "words": "the clamper"}], "change": change}))?;
    assert!(added.json()?.get("teach").is_none());
    assert_eq!(s.post("/teach", &json!({"words": "x", "part": "brake-caliper", "write": true}))?.status, 409);
    Ok(())
}

#[test]
fn what_does_not_fit_is_refused() -> Checked {
    let dir = depot()?;
    let lexicon = dir.path().join("ours").display().to_string();
    let s = Server::open(&dir.path().join("depot"), &["--lexicon", &lexicon])?;
    for lesson in [
        json!({"words": "", "part": "brake-caliper", "write": true}),
        json!({"words": "x".repeat(100), "part": "brake-caliper", "write": true}),
        json!({"words": "x", "part": "no-such-part", "write": true}),
    ] {
        assert_eq!(s.post("/teach", &lesson)?.status, 422, "{lesson}");
    }
    assert_eq!(fs::read_dir(dir.path().join("ours"))?.count(), 0);
    Ok(())
}
