//! Owns what became of the list with the last words: what is new on it, what changed, what was taken back, what was not understood.

use std::collections::HashSet;

use crate::findings::{Document, Finding};
use crate::report;

/// One thing that the last words did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct News {
    /// What kind of thing.
    pub what: Kind,
    /// It, in words.
    pub words: String,
}

/// What became of a line of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// It was not there before.
    New,
    /// More, less or something else is said of it.
    Changed,
    /// It was taken back, or became part of another one.
    Gone,
    /// Words that no part was found for.
    NotPlaced,
}

impl Kind {
    /// The sign that stands before it.
    pub fn sign(self) -> char {
        match self {
            Kind::New => '+',
            Kind::Changed => '~',
            Kind::Gone => '-',
            Kind::NotPlaced => '?',
        }
    }
}

/// A finding in one line: part, place, what is said of it, what to do.
pub fn line(f: &Finding) -> String {
    let mut said: Vec<String> = f.conditions.iter().map(report::condition).collect();
    said.extend(f.measurements.iter().map(report::measurement));
    if said.is_empty() || f.verdict != crate::lexicon::Verdict::Defect {
        said.insert(0, report::verdict(f.verdict).to_string());
    }
    said.extend(report::to_do(f));
    said.extend(f.urgency.map(|u| report::urgency(u).to_string()));
    format!("{}: {}", report::shown(&report::part_at(&f.component, &f.position)), said.join("; "))
}

/// What became of the list; `before` is `None` at the start.
pub fn growth(before: Option<&Document>, now: &Document) -> Vec<News> {
    let mut out = Vec::new();
    let had = before.map_or(&[][..], |b| b.findings.as_slice());
    let mut matched: HashSet<usize> = HashSet::new();
    for f in &now.findings {
        let same = had.iter().enumerate().find(|(i, b)| !matched.contains(i) && b.id == f.id);
        let same = same.or_else(|| had.iter().enumerate().find(|(i, b)| !matched.contains(i) && is_of(b, f)));
        let words = line(f);
        match same {
            Some((i, b)) => {
                matched.insert(i);
                if line(b) != words {
                    out.push(News { what: Kind::Changed, words });
                }
            }
            None => out.push(News { what: Kind::New, words }),
        }
    }
    let gone = had.iter().enumerate().filter(|(i, _)| !matched.contains(i));
    out.extend(gone.map(|(_, b)| News { what: Kind::Gone, words: line(b) }));
    // by their words: lines may get other numbers when notes come in
    let known: HashSet<&str> = before.map(|b| b.unplaced.iter().map(|u| u.text.as_str()).collect()).unwrap_or_default();
    let fresh = now.unplaced.iter().filter(|u| !known.contains(u.text.as_str()));
    out.extend(fresh.map(|u| {
        let words = format!("{}: \"{}\"", report::shown(&u.reason), report::shown(&u.text));
        News { what: Kind::NotPlaced, words }
    }));
    out
}

/// Whether two findings are of one part and rest on the same words.
fn is_of(a: &Finding, b: &Finding) -> bool {
    let first = |f: &Finding| f.evidence.first().map(|e| (e.utterance, e.start));
    a.component.id == b.component.id && first(a).is_some() && first(a) == first(b)
}
