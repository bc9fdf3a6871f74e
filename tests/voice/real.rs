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

#[test]
#[ignore = "needs pocketsphinx"]
fn pocketsphinx() -> Checked {
    let document = heard("pocketsphinx.toml")?;
    assert_eq!(document["source"]["format"], "ctm");
    has_the_pads(&document)
}
