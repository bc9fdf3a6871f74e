//! Owns the customer's answers: lines of an inspection's log, beside the decisions of the desk. Each carries what it was given on,
//! so that follow-ups are listed without reading any dictation again.

use jiff::Timestamp;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::findings::{Document, Finding, Odometer};
use crate::lexicon::{Lexicon, Position, UrgencyId, Verdict};
use crate::pricing::Answer;
use crate::report;
use crate::review::{Anchor, Entry};

use super::horizon::Horizon;

/// Marks a line of the log as an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Customer,
}

/// A line of the log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AnswerLine {
    /// When, RFC 3339.
    pub when: Timestamp,
    what: What,
    /// The answer.
    pub answer: Answer,
    /// The finding it is on.
    pub finding: Anchor,
    /// How the part was named.
    pub part: String,
    /// What was said of it.
    pub verdict: Verdict,
    /// How pressing it was.
    pub urgency: Option<UrgencyId>,
    /// How long it may wait; null for approvals.
    pub horizon: Option<Horizon>,
    /// Where the horizon is from; null for approvals.
    pub horizon_from: Option<HorizonFrom>,
    /// How the vehicle was called.
    pub vehicle: Option<String>,
    /// What it had run.
    pub odometer: Option<Odometer>,
    /// The words behind the finding.
    pub words: Vec<String>,
}

/// Where a horizon is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HorizonFrom {
    /// Given with the answer.
    Given,
    /// Said by the technician.
    Said,
    /// Usual for the urgency.
    Usual,
}

impl AnswerLine {
    /// An answer on a finding. Without a horizon, the one that was said holds, else the usual one.
    pub fn new(
        when: Timestamp,
        answer: Answer,
        given: Option<Horizon>,
        finding: &Finding,
        document: &Document,
        lexicon: &Lexicon,
    ) -> AnswerLine {
        let said = || Horizon::said(finding, document, lexicon);
        let (horizon, from) = match (answer, given) {
            (Answer::Approve, _) => (None, None),
            (_, Some(given)) => (Some(given), Some(HorizonFrom::Given)),
            (_, None) => match said() {
                Some(said) => (Some(said), Some(HorizonFrom::Said)),
                None => (Some(Horizon::usual(finding.urgency)), Some(HorizonFrom::Usual)),
            },
        };
        AnswerLine {
            when,
            what: What::Customer,
            answer,
            finding: Anchor::of(finding, &document.utterances),
            part: report::part(&finding.component),
            verdict: finding.verdict,
            urgency: finding.urgency,
            horizon,
            horizon_from: from,
            vehicle: document.vehicle.identification.clone(),
            odometer: document.vehicle.odometer.clone(),
            words: report::quotes(document, &finding.evidence).into_iter().map(|q| q.words).collect(),
        }
    }

    /// The answer that a line of the log is, if it is one.
    pub fn read(entry: &Entry) -> Option<AnswerLine> {
        match entry {
            Entry::Other(value) => AnswerLine::deserialize(value).ok(),
            Entry::Decision(_) | Entry::Unreadable(_) => None,
        }
    }

    /// Where the part is.
    pub fn position(&self) -> &[Position] {
        &self.finding.place
    }
}

/// The answers that count: the last one on each finding, in the order they were given.
pub fn answers(entries: &[Entry]) -> Vec<AnswerLine> {
    let mut out: Vec<AnswerLine> = Vec::new();
    for line in entries.iter().filter_map(AnswerLine::read) {
        out.retain(|known| known.finding.id != line.finding.id);
        out.push(line);
    }
    out
}

/// The answer that counts for a finding, though a better lexicon may have given it another id.
pub fn answer_on<'a>(answers: &'a [AnswerLine], finding: &Finding, document: &Document) -> Option<&'a AnswerLine> {
    let anchor = Anchor::of(finding, &document.utterances);
    let known = answers.iter().map(|a| &a.finding).enumerate();
    anchor.find(known).and_then(|at| answers.get(at))
}
