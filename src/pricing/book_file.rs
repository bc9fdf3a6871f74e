//! Owns the shape of rate book files: TOML as the shop edits it, with the place of everything kept for [`super::book_check`].

use std::sync::Arc;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};
use toml::Spanned;

use crate::diagnostic::{Diagnostic, Kind, Severity, SourceFile};
use crate::lexicon::{ActionId, ConditionId, Position};

use super::book::Base;
use super::money::Rounding;
use super::site::Per;

/// Any TOML value where a number should stand; its text is read exactly, since a float would lose cents.
pub(super) type Number = Spanned<toml::Value>;
/// Words that refer to something or name it.
pub(super) type Word = Spanned<String>;
/// One of a few words, with its place.
pub(super) type Chosen<T> = Spanned<OneOf<T>>;

/// One of a few words, or why what stands there is none of them: the rest of the book is checked all the same.
#[derive(Debug, Clone)]
pub(super) enum OneOf<T> {
    Known(T),
    Unknown(String),
}

impl<'de, T: DeserializeOwned> Deserialize<'de> for OneOf<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<OneOf<T>, D::Error> {
        let value = toml::Value::deserialize(deserializer)?;
        Ok(T::deserialize(value).map_or_else(|e| OneOf::Unknown(in_one_line(e.message())), OneOf::Known))
    }
}

fn in_one_line(message: &str) -> String {
    message.trim().replace('\n', ", ")
}

/// One file; a book may lie in several.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BookFile {
    pub name: Option<Word>,
    pub note: Option<Word>,
    pub currency: Option<Word>,
    pub digits: Option<Number>,
    pub round: Option<Chosen<Rounding>>,
    pub supplies: Option<Spanned<SuppliesEntry>>,
    #[serde(default)]
    pub labour: Vec<LabourEntry>,
    #[serde(default)]
    pub tax: Vec<TaxEntry>,
    #[serde(default)]
    pub operation: Vec<OperationEntry>,
    #[serde(default)]
    pub job: Vec<JobEntry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LabourEntry {
    pub id: Word,
    pub name: Option<String>,
    pub rate: Number,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TaxEntry {
    pub name: Word,
    pub percent: Number,
    pub on: Spanned<Vec<Chosen<Base>>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SuppliesEntry {
    pub percent: Number,
    pub of: Spanned<Vec<Chosen<Base>>>,
    pub cap: Option<Number>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct OperationEntry {
    pub id: Word,
    pub name: String,
    pub hours: Number,
    #[serde(default)]
    pub hours_at: Vec<HoursAtEntry>,
    pub labour: Option<Word>,
    pub per: Option<Chosen<Per>>,
    #[serde(default)]
    pub needs: Vec<Word>,
    #[serde(default)]
    pub parts: Vec<PartEntry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JobEntry {
    pub id: Word,
    pub name: String,
    pub covers: Spanned<Vec<CoverEntry>>,
    pub per: Option<Chosen<Per>>,
    #[serde(default)]
    pub at: Vec<Chosen<Position>>,
    #[serde(default)]
    pub operations: Vec<Word>,
    pub hours: Option<Number>,
    #[serde(default)]
    pub hours_at: Vec<HoursAtEntry>,
    pub labour: Option<Word>,
    #[serde(default)]
    pub parts: Vec<PartEntry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HoursAtEntry {
    pub at: Spanned<Vec<Chosen<Position>>>,
    pub hours: Number,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CoverEntry {
    pub part: Word,
    pub actions: Option<Vec<Chosen<ActionId>>>,
    #[serde(default)]
    pub conditions: Vec<Chosen<ConditionId>>,
    #[serde(default)]
    pub at: Vec<Chosen<Position>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PartEntry {
    pub id: Option<Word>,
    pub name: Word,
    pub quantity: Option<Number>,
    pub price: Option<Number>,
    pub price_to: Option<Number>,
    #[serde(default)]
    pub optional: bool,
    #[serde(default)]
    pub instead: Vec<ChoiceEntry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ChoiceEntry {
    pub id: Option<Word>,
    pub name: Word,
    pub price: Option<Number>,
    pub price_to: Option<Number>,
}

/// A part that can be bought, whichever way it is written.
#[derive(Clone, Copy)]
pub(super) struct ChoiceParts<'e> {
    pub id: &'e Option<Word>,
    pub name: &'e Word,
    pub price: &'e Option<Number>,
    pub to: &'e Option<Number>,
}

impl PartEntry {
    pub(super) fn usual(&self) -> ChoiceParts<'_> {
        ChoiceParts { id: &self.id, name: &self.name, price: &self.price, to: &self.price_to }
    }
}

impl ChoiceEntry {
    pub(super) fn parts(&self) -> ChoiceParts<'_> {
        ChoiceParts { id: &self.id, name: &self.name, price: &self.price, to: &self.price_to }
    }
}

/// What can be wrong with a rate book. Everything is an error: half a book would make wrong prices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BookFault {
    /// No TOML, an unknown key, a value of the wrong kind.
    Unreadable,
    /// Something without which there are no prices is nowhere to be found.
    Missing,
    /// A second entry of an id, or of what may stand once.
    Twice,
    /// More than one currency.
    TwoCurrencies,
    /// A currency code, a rule or a list that makes no sense.
    Senseless,
    /// A figure that is none, or is out of all bounds.
    BadNumber,
    /// A figure below zero.
    Negative,
    /// A part id that the lexicon does not know.
    UnknownPart,
    /// An operation or a kind of labour that is nowhere in the book.
    UnknownReference,
    /// Operations that need each other.
    Cycle,
}

impl Kind for BookFault {
    fn name(self) -> &'static str {
        match self {
            BookFault::Unreadable => "unreadable",
            BookFault::Missing => "missing",
            BookFault::Twice => "twice",
            BookFault::TwoCurrencies => "two_currencies",
            BookFault::Senseless => "senseless",
            BookFault::BadNumber => "bad_number",
            BookFault::Negative => "negative",
            BookFault::UnknownPart => "unknown_part",
            BookFault::UnknownReference => "unknown_reference",
            BookFault::Cycle => "cycle",
        }
    }

    fn severity(self) -> Severity {
        Severity::Error
    }
}

/// What to do about an entry that is none.
pub(super) const CORRECT: &str = "correct the entry or take it out";

/// Something in a rate book that can't stand: where, what, and what to do.
pub type BookProblem = Diagnostic<BookFault>;

/// Reads one file.
pub(super) fn parse(file: &Arc<SourceFile>) -> Result<BookFile, Box<BookProblem>> {
    toml::from_str(&file.text).map_err(|e| Box::new(BookProblem::noticed(BookFault::Unreadable, file, &e, CORRECT)))
}
