//! Tables of what is said and the findings it must come to, one file a phenomenon. Adding a case is adding a few lines.
//! The sentences are the project's own; what they mean is common practice, no source.

use std::path::Path;
use std::sync::LazyLock;

use hoistnote::dictation;
use hoistnote::findings::{Document, Finding};
use hoistnote::interpretation::{DrivesOn, Interpreter, Settings};
use hoistnote::lexicon::{Lexicon, builtin};
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    /// The lines, as notes or captions have them.
    said: Vec<String>,
    /// Every finding that must come out, and no other.
    find: Vec<Expected>,
    /// Parts that must stand as taken back.
    #[serde(default)]
    withdrawn: Vec<String>,
    /// Parts that must stand as spoken of in general.
    #[serde(default)]
    general: Vec<String>,
    /// Driver on the right.
    #[serde(default)]
    left_hand_traffic: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    part: String,
    #[serde(default)]
    at: String,
    is: String,
    /// A condition that must be among those found.
    #[serde(default)]
    with: Option<String>,
    #[serde(default)]
    urgency: Option<String>,
    /// An action that must be among those found.
    #[serde(default)]
    action: Option<String>,
    /// A figure that must be among those found: `3 mm`.
    #[serde(default)]
    figure: Option<String>,
}

pub(crate) static INTERPRETER: LazyLock<Option<Interpreter>> =
    LazyLock::new(|| builtin().and_then(Lexicon::compile).ok().map(Interpreter::new));

/// The document for these lines.
pub(crate) fn read(lines: &[String], left_hand_traffic: bool) -> Result<Document, String> {
    let text = lines.join("\n");
    let dictation = dictation::read("case", text.as_bytes()).map_err(|e| e.to_string())?;
    let interpreter = INTERPRETER.as_ref().ok_or("the built-in lexicon does not compile")?;
    let drives_on = if left_hand_traffic { DrivesOn::Left } else { DrivesOn::Right };
    Ok(interpreter.document(&dictation, Settings { drives_on, ..Settings::default() }))
}

fn place(f: &Finding) -> String {
    f.position.iter().map(|p| p.as_str()).collect::<Vec<_>>().join(" ")
}

fn short(f: &Finding) -> String {
    format!("{} @ {} is {}", f.component.id, place(f), f.verdict.as_str())
}

fn wrong(case: &Case) -> Result<Vec<String>, String> {
    let doc = read(&case.said, case.left_hand_traffic)?;
    let mut wrong = Vec::new();
    let mut got: Vec<&Finding> = doc.findings.iter().collect();
    for e in &case.find {
        let want = format!("{} @ {} is {}", e.part, e.at, e.is);
        let Some(at) = got.iter().position(|f| short(f) == want) else {
            wrong.push(format!("missing: {want}"));
            continue;
        };
        let f = got.remove(at);
        let has = |name: &str, want: &Option<String>, have: Vec<String>| {
            want.as_ref().filter(|w| !have.contains(w)).map(|w| format!("{} has {name} {have:?}, not {w}", short(f)))
        };
        wrong.extend(has("conditions", &e.with, f.conditions.iter().map(|c| c.id.as_str().into()).collect()));
        wrong.extend(has("urgency", &e.urgency, f.urgency.iter().map(|u| u.as_str().into()).collect()));
        wrong.extend(has("actions", &e.action, f.actions.iter().map(|a| a.as_str().into()).collect()));
        let figures = f.measurements.iter().map(|m| {
            let unit = serde_json::to_value(m.unit).unwrap_or_default();
            format!("{} {}", m.value, unit.as_str().unwrap_or_default())
        });
        wrong.extend(has("figures", &e.figure, figures.collect()));
    }
    wrong.extend(got.iter().map(|f| format!("not wanted: {}", short(f))));
    for part in &case.withdrawn {
        if !doc.withdrawn.iter().any(|w| &w.component.id == part) {
            wrong.push(format!("{part} is not among the withdrawn"));
        }
    }
    for part in &case.general {
        if !doc.general_talk.iter().any(|g| &g.component.id == part) {
            wrong.push(format!("{part} is not among the general talk"));
        }
    }
    Ok(wrong)
}

fn run(file: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/phenomena").join(file);
    let text = std::fs::read_to_string(&path).unwrap_or_default();
    let table: Table = match toml::from_str(&text) {
        Ok(t) => t,
        Err(e) => panic!("{file}: {e}"),
    };
    assert!(!table.case.is_empty(), "{file} has no cases");
    let mut report = String::new();
    for case in &table.case {
        match wrong(case) {
            Ok(w) if w.is_empty() => {}
            Ok(w) => report.push_str(&format!("\n{:?}\n  {}", case.said, w.join("\n  "))),
            Err(e) => report.push_str(&format!("\n{:?}\n  {e}", case.said)),
        }
    }
    assert!(report.is_empty(), "{file}:{report}");
}

macro_rules! tables {
    ($($name:ident),+ $(,)?) => { $(#[test] fn $name() { run(concat!(stringify!($name), ".toml")); })+ };
}

tables!(general_talk, verdicts, reference, places, corrections, summary, numbers, mishearing, shorthand);
