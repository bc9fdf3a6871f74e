//! Owns the rate book as it is once checked: every reference holds, every figure makes sense. [`super::book_file`] reads it.

use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::lexicon::{ActionId, ConditionId, Position};

use super::money::{Amount, Rounding};
use super::site::{Per, Site};

/// What a shop asks for its work.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RateBook {
    /// How the shop calls it.
    pub name: String,
    /// What every reader of an estimate must know of it ("invented figures").
    pub note: Option<String>,
    /// Currency code (ISO 4217).
    pub currency: String,
    /// Places behind the point of the currency's smallest unit.
    pub digits: u32,
    /// When amounts are rounded.
    pub rounding: Rounding,
    /// Kinds of labour.
    pub labour: Vec<Labour>,
    /// Taxes, in the order of the book.
    pub taxes: Vec<Tax>,
    /// Shop supplies.
    pub supplies: Option<Supplies>,
    /// Steps that jobs share.
    pub operations: Vec<Operation>,
    /// Work that is sold.
    pub jobs: Vec<Job>,
}

/// A kind of labour.
#[derive(Debug, Clone, PartialEq)]
pub struct Labour {
    /// Stable id.
    pub id: String,
    /// For people.
    pub name: String,
    /// Price of an hour.
    pub rate: Decimal,
}

/// What a tax or the supplies are reckoned on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Base {
    /// All labour.
    Labour,
    /// All parts.
    Parts,
    /// Shop supplies.
    Supplies,
}

/// A tax.
#[derive(Debug, Clone, PartialEq)]
pub struct Tax {
    /// For people.
    pub name: String,
    /// Percent of what it is on.
    pub percent: Decimal,
    /// What it is on.
    pub on: Vec<Base>,
}

/// Small things that are used up and not counted singly.
#[derive(Debug, Clone, PartialEq)]
pub struct Supplies {
    /// Percent of what it is reckoned on.
    pub percent: Decimal,
    /// What it is reckoned on: labour, parts or both.
    pub of: Vec<Base>,
    /// Never more than this.
    pub cap: Option<Decimal>,
}

/// Time at a kind of labour.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// Hours, where nothing else is said of the place.
    pub hours: Decimal,
    /// Hours at some places.
    pub hours_at: Vec<HoursAt>,
    /// Index into [`RateBook::labour`].
    pub labour: usize,
}

/// Hours at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct HoursAt {
    /// Words of the place; never empty.
    pub at: Vec<Position>,
    /// Hours there.
    pub hours: Decimal,
}

impl Work {
    /// Hours at a place: those of the first entry that the place is known to lie at.
    pub fn hours_for(&self, site: Site) -> Decimal {
        self.hours_at.iter().find(|h| site.is_at(&h.at)).map_or(self.hours, |h| h.hours)
    }
}

/// A step that is done once however many jobs need it.
#[derive(Debug, Clone, PartialEq)]
pub struct Operation {
    /// Stable id.
    pub id: String,
    /// For people.
    pub name: String,
    /// Its time.
    pub work: Work,
    /// What it is done once for.
    pub per: Per,
    /// Indexes of operations that must be done for it; no cycles.
    pub needs: Vec<usize>,
    /// What it uses up.
    pub parts: Vec<PartLine>,
}

/// Work that is sold as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Stable id.
    pub id: String,
    /// For people.
    pub name: String,
    /// What it puts right.
    pub covers: Vec<Cover>,
    /// What it is done once for.
    pub per: Per,
    /// Only at one of these places; empty: anywhere.
    pub at: Vec<Position>,
    /// Indexes of operations it needs.
    pub operations: Vec<usize>,
    /// Its own time beyond the operations.
    pub work: Work,
    /// What it fits or uses up.
    pub parts: Vec<PartLine>,
}

/// A kind of finding that a job puts right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cover {
    /// Part id of the lexicon.
    pub part: String,
    /// What may have been asked for.
    pub actions: Vec<ActionId>,
    /// Only for these conditions; empty: any.
    pub conditions: Vec<ConditionId>,
    /// Only at one of these places; empty: wherever the job is done.
    pub at: Vec<Position>,
}

/// Parts of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct PartLine {
    /// What is used unless another is taken.
    pub usual: PartChoice,
    /// How many or how much.
    pub quantity: Decimal,
    /// Left out unless taken.
    pub optional: bool,
    /// What may be taken in its stead.
    pub instead: Vec<PartChoice>,
}

/// A part that can be bought.
#[derive(Debug, Clone, PartialEq)]
pub struct PartChoice {
    /// Stable id, to take it by.
    pub id: String,
    /// For people.
    pub name: String,
    /// Price of one; `None` where the shop has to ask.
    pub price: Option<Amount>,
}
