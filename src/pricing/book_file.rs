//! Owns the shape of rate book files: TOML as the shop edits it, with the place of everything kept for [`super::book_check`].

use std::ops::Range;

use serde::Deserialize;
use toml::Spanned;

use crate::lexicon::{ActionId, ConditionId, Position};

use super::book::Base;
use super::money::Rounding;
use super::site::Per;

/// Any TOML value where a number should stand; its text is read exactly, since a float would lose cents.
pub(super) type Number = Spanned<toml::Value>;
/// Words that refer to something or name it.
pub(super) type Word = Spanned<String>;

/// One file; a book may lie in several.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BookFile {
    pub name: Option<Word>,
    pub note: Option<Word>,
    pub currency: Option<Word>,
    pub digits: Option<Number>,
    pub round: Option<Spanned<Rounding>>,
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
    pub on: Spanned<Vec<Base>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SuppliesEntry {
    pub percent: Number,
    pub of: Spanned<Vec<Base>>,
    pub cap: Option<Number>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct OperationEntry {
    pub id: Word,
    pub name: String,
    pub hours: Number,
    pub labour: Option<Word>,
    #[serde(default)]
    pub per: Per,
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
    #[serde(default)]
    pub per: Per,
    #[serde(default)]
    pub at: Vec<Position>,
    #[serde(default)]
    pub operations: Vec<Word>,
    pub hours: Option<Number>,
    pub labour: Option<Word>,
    #[serde(default)]
    pub parts: Vec<PartEntry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CoverEntry {
    pub part: Word,
    #[serde(default = "replace")]
    pub actions: Vec<ActionId>,
    #[serde(default)]
    pub conditions: Vec<ConditionId>,
    #[serde(default)]
    pub at: Vec<Position>,
}

fn replace() -> Vec<ActionId> {
    vec![ActionId::Replace]
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

/// Something in a rate book that can't stand: where, what, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BookProblem {
    /// File as the user knows it.
    pub file: String,
    /// Bytes of the file it is about.
    pub span: Range<usize>,
    /// 1-based line of its start.
    pub line: usize,
    /// 1-based column of its start, in characters.
    pub column: usize,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub help: String,
}

impl BookProblem {
    pub(super) fn new(file: &str, text: &str, span: Range<usize>, what: String, help: String) -> BookProblem {
        let before = text.get(..span.start).unwrap_or(text);
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
        BookProblem { file: file.to_string(), span, line, column, what, help }
    }
}

impl std::fmt::Display for BookProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}: {}; {}", self.file, self.line, self.column, self.what, self.help)
    }
}

/// Reads one file.
pub(super) fn parse(file: &str, text: &str) -> Result<BookFile, BookProblem> {
    toml::from_str(text).map_err(|e| {
        let span = e.span().unwrap_or(0..0);
        let what = e.message().trim().replace('\n', ", ");
        BookProblem::new(file, text, span, what, "correct the entry or take it out".into())
    })
}
