//! Owns what is priced of a visit: the findings that nobody declined or put off, and what was answered so far.

use jiff::tz::TimeZone;

use crate::findings::{Document, Finding, Vehicle};
use crate::pricing::{About, Answer, Answered, Visit};
use crate::review::Entry;

use super::answer::{answer_on, answers};
use super::follow_up::follow_up;

/// The visit of one vehicle: of the findings that are `chosen`, those that were not declined or put off in the log. Days are those
/// of `zone`; `open` things of the list must still be looked at.
pub fn visit<'d>(
    documents: &'d [Document],
    entries: &[Entry],
    open: usize,
    chosen: impl Fn(&Finding) -> bool,
    zone: &TimeZone,
) -> Visit<'d> {
    let answers = answers(entries);
    let mut answered = Vec::new();
    let mut findings = Vec::new();
    for (document, f) in
        documents.iter().flat_map(|d| d.findings.iter().map(move |f| (d, f))).filter(|(_, f)| chosen(f))
    {
        let line = answer_on(&answers, f, document);
        if let Some(line) = line {
            let ask_again = follow_up("", line, zone).map(|f| f.when());
            answered.push(Answered { about: About::of(f), answer: line.answer, ask_again });
        }
        if line.is_none_or(|l| l.answer == Answer::Approve) {
            findings.push(f);
        }
    }
    let mut vehicle = Vehicle::default();
    let mut cautions: Vec<String> = Vec::new();
    for d in documents {
        vehicle.identification = vehicle.identification.or_else(|| d.vehicle.identification.clone());
        vehicle.odometer = vehicle.odometer.or_else(|| d.vehicle.odometer.clone());
        cautions.extend(d.cautions.iter().cloned());
    }
    cautions.sort();
    cautions.dedup();
    let sources = documents.iter().map(|d| d.source.path.clone()).collect();
    Visit { vehicle, sources, answers: answered, findings, open, cautions }
}
