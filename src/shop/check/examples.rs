//! Owns the running of examples.

use crate::diagnostic::Spot;
use crate::dictation;
use crate::findings::Finding;
use crate::interpretation::{Interpreter, Settings};
use crate::lexicon::{Example, ExpectedFinding, Means};
use crate::shop::problem::{Problem, ProblemKind};
use crate::shop::reading::ShopFile;

/// Runs every example of `ours`.
pub(super) fn check(ours: &[ShopFile], interpreter: &Interpreter) -> Vec<Problem> {
    let mut out = Vec::new();
    for file in ours.iter().filter(|f| f.usable()) {
        for (example, span) in file.entries.iter().flat_map(|e| &e.examples) {
            if let Err(what) = outcome(example, interpreter) {
                let what = format!("\"{}\": {what}", example.say);
                let help = "put the entry right, or the example; `hoistnote lexicon try` shows how the words are read";
                out.push(Problem::new(
                    ProblemKind::FailedExample,
                    Spot::new(&file.source, span.clone(), ""),
                    what,
                    help,
                ));
            }
        }
    }
    out
}

/// Whether an example comes to what it says.
///
/// # Errors
/// What it comes to instead.
pub fn outcome(example: &Example, interpreter: &Interpreter) -> Result<(), String> {
    let settings = Settings::default();
    let dictation = dictation::read("example", example.say.as_bytes()).map_err(|p| p.to_string())?;
    let found = |f: &[Finding]| match f {
        [] => "nothing was found".to_string(),
        list => format!("found: {}", list.iter().map(short).collect::<Vec<_>>().join("; ")),
    };
    match &example.means {
        Means::Part(id) => {
            let scene = interpreter.analyse(&dictation, settings).scene;
            let named: Vec<&str> = scene.mentions.iter().map(|m| scene.components[m.component].id.as_str()).collect();
            match (id.as_str(), named.as_slice()) {
                ("", []) => Ok(()),
                ("", _) => Err(format!("should name no part, names {}", named.join(", "))),
                (id, _) if named.contains(&id) => Ok(()),
                (id, []) => Err(format!("should name {id}, names no part")),
                (id, _) => Err(format!("should name {id}, names {}", named.join(", "))),
            }
        }
        Means::One(want) => {
            let document = interpreter.document(&dictation, settings);
            match document.findings.iter().any(|f| fits(f, want)) {
                true => Ok(()),
                false => Err(format!("should come to {}; {}", wanted(want), found(&document.findings))),
            }
        }
        Means::All(list) => {
            let document = interpreter.document(&dictation, settings);
            let mut left: Vec<&Finding> = document.findings.iter().collect();
            for want in list {
                let Some(at) = left.iter().position(|f| fits(f, want)) else {
                    return Err(format!("should come to {}; {}", wanted(want), found(&document.findings)));
                };
                left.remove(at);
            }
            match left.first() {
                None => Ok(()),
                Some(more) => Err(format!("comes to one more: {}", short(more))),
            }
        }
    }
}

fn fits(f: &Finding, want: &ExpectedFinding) -> bool {
    let places = |at: &Vec<_>| at.len() == f.position.len() && at.iter().all(|p| f.position.contains(p));
    f.component.id == want.part
        && want.at.as_ref().is_none_or(places)
        && want.is.is_none_or(|v| f.verdict == v)
        && want.with.is_none_or(|c| f.conditions.iter().any(|x| x.id == c))
        && want.urgency.is_none_or(|u| f.urgency == Some(u))
        && want.action.is_none_or(|a| f.actions.contains(&a))
}

fn short(f: &Finding) -> String {
    let places: String = f.position.iter().map(|p| format!(" {}", p.as_str())).collect();
    let conditions: String = f.conditions.iter().map(|c| format!(" {}", c.id.as_str())).collect();
    format!("{}{places}: {}{conditions}", f.component.id, f.verdict.as_str())
}

fn wanted(want: &ExpectedFinding) -> String {
    let mut out = want.part.clone();
    for p in want.at.iter().flatten() {
        out.push_str(&format!(" {}", p.as_str()));
    }
    let verdict = want.is.map(|v| v.as_str());
    let words =
        [verdict, want.with.map(|c| c.as_str()), want.urgency.map(|u| u.as_str()), want.action.map(|a| a.as_str())];
    let words: Vec<&str> = words.into_iter().flatten().collect();
    if !words.is_empty() {
        out.push_str(&format!(": {}", words.join(" ")));
    }
    out
}
