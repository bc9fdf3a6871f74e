//! Checks against open data sets that lie beside the checkout (`../shared/data`, or the folder that HOISTNOTE_SHARED names).
//! Not part of the ordinary test run: `cargo test --test corpus`.

mod mobile_plant;

use std::path::PathBuf;

use hoistnote::lexicon::{Lexicon, Meaning, builtin};
use hoistnote::text::tokenize_line;

type Checked = Result<(), Box<dyn std::error::Error>>;

fn data(name: &str) -> std::io::Result<String> {
    let shared = std::env::var_os("HOISTNOTE_SHARED")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared"), PathBuf::from);
    std::fs::read_to_string(shared.join("data").join(name))
}

/// MaintNorm (WNUT 2024, MIT): raw words of maintenance notes and their normalised forms, one pair a line. Where the project's
/// spelling table knows the raw word, it should read it as the annotators did. Their vehicles are mining machines, so some words
/// part (`bkt` is a bucket there, a bracket on a car).
#[test]
fn shorthand_agrees_with_maintnorm() -> Checked {
    let lexicon = Lexicon::compile(builtin()?)?;
    let folding = &lexicon.folding;
    let (mut known, mut agree) = (0, 0);
    let mut apart = Vec::new();
    for line in data("maintnorm-dev.norm")?.lines() {
        let Some((raw, norm)) = line.split_once('\t') else { continue };
        let (raw, norm) = (raw.to_lowercase(), norm.trim().to_lowercase());
        if raw == norm || norm.contains(' ') || norm.contains('<') || !folding.spelling.contains_key(&raw) {
            continue;
        }
        known += 1;
        if folding.fold(&raw).0 == folding.fold(&norm).0 {
            agree += 1;
        } else {
            apart.push(format!("{raw} is {} here, {norm} there", folding.fold(&raw).0));
        }
    }
    apart.sort();
    apart.dedup();
    println!("{agree} of {known} shorthand words are read alike; apart: {apart:?}");
    assert!(known > 500, "too few words to tell: {known}");
    assert!(agree * 100 >= known * 80, "{agree} of {known}");
    Ok(())
}

/// MaintIE (LREC-COLING 2024, MIT): maintenance short texts whose undesirable states are marked by experts. A state should be
/// known as a condition.
#[test]
fn conditions_cover_maintie_states() -> Checked {
    let lexicon = Lexicon::compile(builtin()?)?;
    let texts: serde_json::Value = serde_json::from_str(&data("maintie-dev.json")?)?;
    let (mut states, mut known) = (0, 0);
    let mut missed = Vec::new();
    for text in texts.as_array().into_iter().flatten() {
        let words: Vec<&str> = text["tokens"].as_array().into_iter().flatten().filter_map(|t| t.as_str()).collect();
        for entity in text["entities"].as_array().into_iter().flatten() {
            if !entity["type"].as_str().is_some_and(|t| t.starts_with("State/UndesirableState")) {
                continue;
            }
            let (Some(start), Some(end)) = (entity["start"].as_u64(), entity["end"].as_u64()) else { continue };
            let said = words[start as usize..end as usize].join(" ");
            let tokens = tokenize_line(&said, &lexicon.folding);
            let hit = lexicon.scan(&tokens).iter().any(|h| {
                lexicon.meanings[h.phrase]
                    .iter()
                    .any(|m| matches!(m, Meaning::Condition { .. } | Meaning::Sound { .. }))
            });
            states += 1;
            known += usize::from(hit);
            if !hit {
                missed.push(said);
            }
        }
    }
    missed.sort();
    missed.dedup();
    println!("{known} of {states} undesirable states are known; not known: {missed:?}");
    assert!(states > 150, "too few states to tell: {states}");
    assert!(known * 100 >= states * 75, "{known} of {states}");
    Ok(())
}
