//! The recipes with the recognisers they are for, on speech made here. Needs flite, sox, and what the recipes name; `.ci/run` installs
//! these and runs `cargo test --test all voice::real -- --ignored`.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use super::{Checked, hoistnote, run};

const SAID: &str = "Right front now. Brake pads are at two millimeters, they need replacing.";

fn speak(folder: &Path) -> Checked {
    let wide = folder.join("wide.wav");
    let made = Command::new("flite").args(["-voice", "slt", "-t", SAID, "-o"]).arg(&wide).status()?;
    assert!(made.success(), "flite made no speech");
    std::fs::rename(wide, folder.join("walk round.wav"))?;
    Ok(())
}

/// What is found of the recording with a recipe.
fn heard(recipe: &str) -> Result<Value, Box<dyn std::error::Error>> {
    let dir = tempfile::tempdir()?;
    speak(dir.path())?;
    let recipe = format!("{}/samples/recognisers/{recipe}", env!("CARGO_MANIFEST_DIR"));
    let (out, err, code) = run(hoistnote()
        .args(["hear", "walk round.wav", "--format", "json", "--config"])
        .arg(recipe)
        .current_dir(dir.path()))?;
    assert_eq!(code, Some(0), "{err}");
    println!("{}", out.trim_end());
    Ok(serde_json::from_str(&out)?)
}

/// The brake pads are found, at the right front.
fn has_the_pads(document: &Value) -> Checked {
    let findings = document["findings"].as_array().ok_or("no findings")?;
    let pads = findings.iter().find(|f| f["component"]["id"] == "brake-pad").ok_or("no brake pads")?;
    assert_eq!(pads["position"], serde_json::json!(["front", "right"]));
    Ok(())
}

#[test]
#[ignore = "needs faster-whisper"]
fn whisper() -> Checked {
    let document = heard("whisper.toml")?;
    assert_eq!(document["source"]["format"], "webvtt");
    has_the_pads(&document)
}

/// What is said is settled pause by pause, and the list at the end holds all of it.
#[test]
#[ignore = "needs faster-whisper"]
fn listening() -> Checked {
    let dir = tempfile::tempdir()?;
    speak(dir.path())?;
    let recording = dir.path().join("walk round.wav");
    let listen = format!("{}/samples/recognisers/listen.py", env!("CARGO_MANIFEST_DIR"));
    // sox in the place of a microphone: the words twice, with a pause between them
    let run_list = serde_json::json!([
        "python3",
        listen,
        "{hint_file}",
        "--",
        "sox",
        recording,
        "-t",
        "raw",
        "-e",
        "signed",
        "-b",
        "16",
        "-r",
        "16000",
        "-c",
        "1",
        "-",
        "pad",
        "0",
        "1.5",
        "repeat",
        "1"
    ]);
    let config = dir.path().join("voice.toml");
    std::fs::write(&config, format!("[live]\nrun = {run_list}\n"))?;
    let (out, err, code) = run(hoistnote()
        .args(["live", "unit 14", "--start", "--format", "json", "--config"])
        .arg(&config)
        .current_dir(dir.path()))?;
    assert_eq!(code, Some(0), "{err}");
    let kept =
        super::names(&dir.path().join("unit 14"))?.into_iter().find(|n| n.ends_with(".vtt")).ok_or("nothing kept")?;
    let kept = std::fs::read_to_string(dir.path().join("unit 14").join(kept))?;
    assert_eq!(kept.matches("-->").count(), 2, "{kept}");
    has_the_pads(&serde_json::from_str(&out)?)
}

#[test]
#[ignore = "needs pocketsphinx"]
fn pocketsphinx() -> Checked {
    let document = heard("pocketsphinx.toml")?;
    assert_eq!(document["source"]["format"], "ctm");
    has_the_pads(&document)
}
