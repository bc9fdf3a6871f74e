//! The arrows between the modules: each imports only what stands left of it in the flow.

use std::collections::BTreeSet;
use std::path::Path;

type Checked = Result<(), Box<dyn std::error::Error>>;

/// Module → the modules it may import.
const MAY_IMPORT: [(&str, &[&str]); 17] = [
    ("diagnostic", &[]),
    ("dictation", &[]),
    ("text", &["dictation"]),
    ("lexicon", &["text", "dictation"]),
    ("matching", &["lexicon", "text"]),
    ("findings", &["lexicon", "text"]),
    ("limits", &["findings", "lexicon", "text"]),
    ("interpretation", &["dictation", "findings", "lexicon", "limits", "matching", "text"]),
    ("checklist", &["findings", "lexicon"]),
    ("report", &["checklist", "dictation", "findings", "lexicon", "limits", "text"]),
    ("review", &["checklist", "dictation", "findings", "interpretation", "lexicon", "limits", "report", "text"]),
    (
        "shop",
        &[
            "diagnostic",
            "dictation",
            "findings",
            "interpretation",
            "lexicon",
            "limits",
            "matching",
            "report",
            "review",
            "text",
        ],
    ),
    ("voice", &["checklist", "diagnostic", "dictation", "findings", "lexicon", "report"]),
    ("pricing", &["diagnostic", "findings", "lexicon", "report"]),
    ("history", &["findings", "lexicon", "limits", "pricing", "report", "review", "text"]),
    (
        "desk",
        &[
            "checklist",
            "dictation",
            "findings",
            "history",
            "interpretation",
            "lexicon",
            "pricing",
            "report",
            "review",
            "shop",
            "text",
        ],
    ),
    (
        "cli",
        &[
            "checklist",
            "desk",
            "diagnostic",
            "dictation",
            "findings",
            "history",
            "interpretation",
            "lexicon",
            "pricing",
            "report",
            "review",
            "shop",
            "text",
            "voice",
        ],
    ),
];

/// Modules that `text` imports in code outside tests, found by reading.
fn imports(text: &str) -> BTreeSet<String> {
    let code = text.split("#[cfg(test)]").next().unwrap_or(text);
    code.match_indices("crate::")
        .filter_map(|(at, found)| {
            let rest = &code[at + found.len()..];
            let end = rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '_')?;
            Some(rest[..end].to_string())
        })
        .filter(|name| MAY_IMPORT.iter().any(|(module, _)| module == name))
        .collect()
}

#[test]
fn arrows_between_modules() -> Checked {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut seen = 0;
    for entry in walkdir::WalkDir::new(&source) {
        let entry = entry?;
        let path = entry.path().strip_prefix(&source)?.to_path_buf();
        let module =
            path.iter().next().and_then(|p| p.to_str()).unwrap_or_default().trim_end_matches(".rs").to_string();
        let Some((_, may)) = MAY_IMPORT.iter().find(|(name, _)| *name == module) else { continue };
        if path.extension().is_none_or(|e| e != "rs") {
            continue;
        }
        for import in imports(&std::fs::read_to_string(entry.path())?) {
            let fine = import == module || may.contains(&import.as_str());
            assert!(fine, "{} imports {import}, which stands right of it", path.display());
            seen += 1;
        }
    }
    assert!(seen > 30, "the reading of imports found next to none: {seen}");
    Ok(())
}
