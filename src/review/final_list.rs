//! Owns the final list: the document as people left it, and what became of everything else.

use serde::Serialize;

use crate::findings::{Document, Finding, ReviewState};

use super::anchor::Anchor;
use super::decision::{Content, Line};
use super::undo::Undoing;

/// What comes out of extraction and decisions.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FinalList {
    /// The document with the final findings; what was passed over or found a part is no longer unplaced.
    #[serde(flatten)]
    pub document: Document,
    /// How the review of each finding stands, in the order of the findings.
    #[serde(skip)]
    pub items: Vec<Item>,
    /// Words without a part, and what became of them.
    #[serde(skip)]
    pub loose: Vec<Loose>,
    /// Findings that a person took out.
    pub dropped: Vec<Dropped>,
    /// Findings that were once not to be driven with, and what became of them.
    pub lifted: Vec<Lifted>,
    /// Decisions that apply to nothing any more.
    pub stale: Vec<Stale>,
    /// Lines of the log that could not be read, 1-based.
    pub unreadable: Vec<usize>,
    /// Lines of the log.
    pub revision: usize,
    /// The line that says it was handed over, if nothing was decided after it.
    pub handed_over: Option<usize>,
    /// What can be undone.
    #[serde(skip)]
    pub undoing: Undoing,
}

/// How the review of one finding stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// How far it is.
    pub state: ReviewState,
    /// Why it must be looked at before anything is handed over; empty where it need not be.
    pub doubts: Vec<String>,
    /// How the program had it, where a person changed it.
    pub extracted: Option<Content>,
    /// What it holds on to.
    pub anchor: Anchor,
}

impl Item {
    /// Whether it still keeps the list from being handed over.
    pub fn is_open(&self) -> bool {
        self.state == ReviewState::Open && !self.doubts.is_empty()
    }
}

/// Words that no part was found for.
#[derive(Debug, Clone, PartialEq)]
pub struct Loose {
    /// 1-based line.
    pub line: usize,
    /// The line, whole.
    pub text: String,
    /// Why they stand here.
    pub reason: String,
    /// Passed over, or cited by a finding that was added.
    pub is_settled: bool,
}

/// A finding that was taken out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dropped {
    /// As it stood.
    pub finding: Finding,
    /// Why.
    pub reason: String,
    /// 1-based line of the log.
    pub line: usize,
}

/// A finding that was once not to be driven with and is so no longer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lifted {
    /// As it stood when it was.
    pub finding: Finding,
    /// Why it is so no longer.
    pub reason: String,
}

/// A decision that applies to nothing any more, or to something that now reads otherwise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stale {
    /// 1-based line of the log.
    pub line: usize,
    /// The decision.
    pub decision: Line,
    /// Why it does not apply.
    pub reason: String,
    /// The finding that now reads otherwise; absent where there is none any more.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finding: Option<String>,
    /// Whether that was looked at.
    pub is_passed: bool,
}

impl Stale {
    /// Whether it keeps the list from being handed over by itself; where its finding is there, that one does.
    pub fn is_open(&self) -> bool {
        !self.is_passed && self.finding.is_none()
    }
}

impl FinalList {
    /// How many things must still be looked at before anything is handed over.
    pub fn open(&self) -> usize {
        self.items.iter().filter(|i| i.is_open()).count()
            + self.loose.iter().filter(|l| !l.is_settled).count()
            + self.stale.iter().filter(|s| s.is_open()).count()
    }

    /// The finding with an id and how its review stands.
    pub fn find(&self, id: &str) -> Option<(&Finding, &Item)> {
        self.document.findings.iter().zip(&self.items).find(|(f, _)| f.id == id)
    }
}
