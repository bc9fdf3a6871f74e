//! Owns `why`: one finding of one dictation, explained.

use crate::dictation::Source;
use crate::findings::{Document, Finding};
use crate::report;

use super::find::Reader;
use super::outcome::{Failure, Outcome, say};
use super::request::Reading;
use super::sink::Sink;

/// Runs `why`.
pub(super) fn run(source: &Source, id: &str, reading: &Reading) -> Result<Outcome, Failure> {
    let reader = Reader::open(reading)?;
    let dictation = Reader::dictation(source).map_err(Failure::Unread)?;
    dictation.warnings.iter().for_each(|w| say(&w.to_string()));
    let document = reader.document(&dictation);
    let finding = pick(&document, id)?;
    let mut sink = Sink::open(None)?;
    let text = report::why(&document, finding, sink.width());
    sink.coloured(&text)?;
    Ok(Outcome::Fine)
}

/// The finding whose id is this or begins with it; a whole id wins over beginnings.
pub(super) fn pick<'d>(document: &'d Document, id: &str) -> Result<&'d Finding, Failure> {
    if let Some(whole) = document.findings.iter().find(|f| f.id == id) {
        return Ok(whole);
    }
    let fits: Vec<&Finding> = document.findings.iter().filter(|f| f.id.starts_with(id)).collect();
    let path = &document.source.path;
    match fits.as_slice() {
        [one] => Ok(one),
        [] if document.findings.is_empty() => Err(Failure::Usage(format!("{path}: no findings in this dictation"))),
        [] => Err(Failure::Usage(format!(
            "{path}: no finding has an id that begins with {id}; these are there:\n{}",
            list(document, document.findings.iter())
        ))),
        several => Err(Failure::Usage(format!(
            "{path}: more than one id begins with {id}; give more of it:\n{}",
            list(document, several.iter().copied())
        ))),
    }
}

fn list<'f>(document: &Document, findings: impl Iterator<Item = &'f Finding>) -> String {
    let line = |f: &Finding| {
        format!("  {}  {}", report::short_id(document, &f.id), report::part_at(&f.component, &f.position))
    };
    findings.map(line).collect::<Vec<_>>().join("\n")
}
