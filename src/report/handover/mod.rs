//! Owns what is handed over once a list is read through: the customer's report and the shop's work list. Both are pure functions
//! of a [`Handover`]; everything that was said is escaped, and nothing in the pages runs or is loaded from elsewhere.

mod card;
mod customer;
mod page;
mod photo;
mod rounds;
mod worklist;

use std::collections::{BTreeMap, BTreeSet};

use crate::checklist::Coverage;
use crate::findings::{Document, Finding};
use crate::lexicon::{Lexicon, Outline};

use super::drawing;

pub use customer::customer_report;
pub use photo::{Photo, PhotoError};
pub use worklist::{work_list_html, work_list_text};

/// How far a list has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Straight from the words, read by nobody yet; the report says so at its head and on every printed page.
    NotReviewed,
    /// Somebody has looked at every line.
    Reviewed,
}

/// A finding that was taken off the list on review, or made less pressing. Of these the customer's report keeps the ones not to be driven with.
#[derive(Debug, Clone)]
pub struct SetAside {
    /// As it stood before.
    pub finding: Finding,
    /// Why it was taken off.
    pub reason: String,
}

/// Everything that is handed over for one vehicle.
#[derive(Debug, Clone)]
pub struct Handover<'a> {
    /// The list.
    pub document: &'a Document,
    /// For plain words, why things matter, and the drawing.
    pub lexicon: &'a Lexicon,
    /// How far the list has come.
    pub standing: Standing,
    /// What the vehicle is drawn as.
    pub outline: Outline,
    /// Who hands over; shown at the head.
    pub shop: Option<String>,
    /// When the vehicle was looked at, as people write it.
    pub when: Option<String>,
    /// The writer's own wording by id of the finding; it is added, it replaces nothing.
    pub notes: BTreeMap<String, String>,
    /// Ids of findings that the customer's report leaves out. What is not to be driven with stays in all the same.
    pub left_out: BTreeSet<String>,
    /// Photos, in the order they are shown.
    pub photos: Vec<Photo>,
    /// A checklist held against the list.
    pub coverage: Option<Coverage>,
    /// What was taken off the list.
    pub set_aside: Vec<SetAside>,
}

impl<'a> Handover<'a> {
    /// A list straight from the words, with nothing added.
    pub fn not_reviewed(document: &'a Document, lexicon: &'a Lexicon) -> Handover<'a> {
        Handover {
            document,
            lexicon,
            standing: Standing::NotReviewed,
            outline: drawing::outline_of(document, lexicon),
            shop: None,
            when: None,
            notes: BTreeMap::new(),
            left_out: BTreeSet::new(),
            photos: Vec::new(),
            coverage: None,
            set_aside: Vec::new(),
        }
    }
}
