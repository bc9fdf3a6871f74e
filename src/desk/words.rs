//! Owns how decisions are put in words: in the notice after saving, in what changed elsewhere, and in what no longer applies.

use crate::history::AnswerLine;
use crate::report;
use crate::review::{Change, Contents, Decision, Entry, Line, Named, Subject};

/// "2026-03-02 10:15: dropped brake hose, left front: said of another van".
pub fn line(line: &Line) -> String {
    let when = line.when.get(..16).unwrap_or(&line.when).replace('T', " ");
    format!("{when}: {}", decision(&line.decision))
}

/// What was decided.
pub fn decision(d: &Decision) -> String {
    match d {
        Decision::Accept { before, .. } => format!("accepted {}", before.part.name),
        Decision::Correct { before, after, finding, .. } => {
            let part = before.part.as_ref().map_or_else(|| finding.part.replace('-', " "), |p| p.name.clone());
            format!("corrected {part}: {}", changes(after))
        }
        Decision::Drop { before, reason, .. } => format!("dropped {}: {reason}", before.part.name),
        Decision::Split { before, after, .. } => format!("split {} into {}", before.part.name, after.len()),
        Decision::Merge { before, .. } => {
            let names: Vec<&str> = before.iter().map(|c| c.part.name.as_str()).collect();
            format!("merged {}", names.join(", "))
        }
        Decision::Add { after, .. } => {
            format!("added {}", after.part.as_ref().map_or("a finding", |p| p.name.as_str()))
        }
        Decision::Note { after, .. } if after.is_empty() => "took a note away".into(),
        Decision::Note { after, .. } => format!("noted: {after}"),
        Decision::PassOver { subject, .. } => match subject {
            Subject::Finding { before, .. } => format!("passed over {}, in doubt", before.part.name),
            Subject::Words(mark) => format!("passed over line {}", mark.line),
            Subject::Decision(line) => format!("passed over decision {line}, which no longer applies"),
        },
        Decision::HandOver { .. } => "handed over".into(),
        Decision::Undo { line } => format!("took decision {line} back"),
        Decision::Redo { line } => format!("made decision {line} again"),
    }
}

fn changes(c: &Change<Named>) -> String {
    let fields = [
        (c.part.is_some(), "part"),
        (c.place.is_some(), "place"),
        (c.verdict.is_some(), "verdict"),
        (c.conditions.is_some(), "what is wrong"),
        (c.urgency.is_some(), "urgency"),
        (c.actions.is_some(), "what to do"),
        (c.measurements.is_some(), "figures"),
        (c.wording.is_some(), "wording for the customer"),
    ];
    fields.into_iter().filter(|f| f.0).map(|f| f.1).collect::<Vec<_>>().join(", ")
}

/// What the customer answered.
pub fn answer(line: &AnswerLine) -> String {
    let wait = line.horizon.map(|h| format!(", to be asked again after {h}")).unwrap_or_default();
    format!("{} {}{wait}", line.answer.done(), report::at(&line.part, line.position()))
}

/// What was decided after a line.
pub fn since(contents: &Contents, seen: usize) -> Vec<String> {
    let worded = |e: &Entry| match e {
        Entry::Decision(l) => line(l),
        Entry::Other(_) => match AnswerLine::read(e) {
            Some(line) => format!("{}: {}", line.when.strftime("%Y-%m-%d %H:%M"), answer(&line)),
            None => "a decision of another kind".into(),
        },
        Entry::Unreadable(_) => "a line that can't be read".into(),
    };
    contents.entries.iter().skip(seen).map(worded).collect()
}
