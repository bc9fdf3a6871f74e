//! Owns the estimate as it comes out: named as every later stage reads it. [`super::reckon`] fills it.

use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::findings::Vehicle;
use crate::lexicon::{ActionId, Position};

use super::answer::{Answer, Answered};
use super::money::{Amount, Rounding};
use super::need::Tier;
use super::plan::{BudgetPlan, VisitPlan};
use super::totals::Totals;

/// Value of [`Estimate::schema`].
pub const SCHEMA: &str = "hoistnote/estimate/1";

/// What the work on one vehicle costs. Amounts are decimal numbers written as text, in the book's currency.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Estimate {
    /// Always [`SCHEMA`].
    pub schema: String,
    /// The vehicle, as far as it was named.
    pub vehicle: Vehicle,
    /// What the findings were read from.
    pub sources: Vec<String>,
    /// How many things of the list behind it must still be looked at; 0 once it is reviewed.
    pub open: usize,
    /// Whose prices these are.
    pub book: BookInfo,
    /// Work to be done, most pressing first.
    pub jobs: Vec<JobOut>,
    /// Steps that jobs need, each once.
    pub steps: Vec<StepOut>,
    /// What no job of the book does: not in the total, not to be forgotten.
    pub unpriced: Vec<Unpriced>,
    /// Findings that are only to be watched.
    pub watched: Vec<About>,
    /// What the customer said so far.
    pub answers: Vec<Answered>,
    /// Where other jobs would do as well: what they would change.
    pub choices: Vec<Choice>,
    /// Sums by urgency, before supplies and taxes.
    pub by_urgency: Vec<TierSum>,
    /// What is to be paid.
    pub totals: Totals,
    /// What the writer's own choices cost; null where there are none.
    pub wishes: Option<WishesOut>,
    /// What a sum of money does best; null where none was given.
    pub budget: Option<BudgetPlan>,
    /// The work spread over visits; null where not asked for.
    pub visits: Option<VisitPlan>,
    /// What every reader must know.
    pub cautions: Vec<String>,
}

impl Estimate {
    /// That the list behind it is not reviewed, for every reader; `None` once it is.
    pub fn not_reviewed(&self) -> Option<String> {
        (self.open > 0).then(|| format!("Not yet reviewed: {} still to be looked at", self.open))
    }

    /// Findings that are not to be driven with and whose work the total does not hold: no job, declined or put off.
    pub fn stop_left_out(&self) -> Vec<&About> {
        let unpriced = self.unpriced.iter().map(|u| &u.about);
        let refused = self.answers.iter().filter(|a| a.answer != Answer::Approve).map(|a| &a.about);
        let mut out: Vec<&About> = unpriced.chain(refused).filter(|a| a.urgency == Tier::Stop).collect();
        out.dedup();
        out
    }
}

/// The rate book behind an estimate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BookInfo {
    /// How the shop calls it.
    pub name: String,
    /// What the book says of itself.
    pub note: Option<String>,
    /// ISO 4217 code.
    pub currency: String,
    /// Places behind the point.
    pub digits: u32,
    /// When amounts are rounded, always half away from zero.
    pub rounding: Rounding,
}

/// A finding, in short.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct About {
    /// Id of the finding.
    pub finding: String,
    /// Name of the part.
    pub part: String,
    /// Where.
    pub position: Vec<Position>,
    /// How pressing.
    pub urgency: Tier,
    /// The words ought to be read before it is relied on.
    pub uncertain: bool,
}

/// A job at a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct JobOut {
    /// Id in the rate book.
    pub job: String,
    /// For people.
    pub name: String,
    /// Where it is done; empty for the whole vehicle.
    pub position: Vec<Position>,
    /// What was not said of the place: it is priced for one.
    pub place_open: Vec<String>,
    /// Of the most pressing finding it serves.
    pub urgency: Tier,
    /// Findings it serves.
    pub findings: Vec<About>,
    /// The writer asked for it.
    pub pinned: bool,
    /// Its own hours, without steps.
    pub hours: Decimal,
    /// Its own labour.
    pub labour: Decimal,
    /// Its parts.
    pub parts: Vec<PartOut>,
    /// Indexes into `steps`: all that it needs.
    pub steps: Vec<usize>,
    /// Own labour, parts, and the steps that no other job needs.
    pub price: Amount,
    /// Parts within that whose price is not known: `price` lacks them.
    pub without_price: usize,
    /// What the total falls by when this job alone is left out.
    pub left_out_saves: Amount,
}

/// A part line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PartOut {
    /// Id in the rate book.
    pub id: String,
    /// For people.
    pub name: String,
    /// How many or how much.
    pub quantity: Decimal,
    /// Price of one; null where it is not known.
    pub price: Option<Amount>,
    /// Quantity times price; null where the price is not known.
    pub amount: Option<Amount>,
    /// False for optional parts that were not taken: not in any sum.
    pub used: bool,
    /// Parts that may be taken in its stead.
    pub instead: Vec<InsteadOut>,
}

/// Another part that would do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct InsteadOut {
    /// Id in the rate book.
    pub id: String,
    /// For people.
    pub name: String,
    /// How much more all of them would cost, before supplies and taxes; null where a price is not known.
    pub difference: Option<Amount>,
}

/// A step at a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StepOut {
    /// Id of the operation in the rate book.
    pub operation: String,
    /// For people.
    pub name: String,
    /// Where; empty for the whole vehicle.
    pub position: Vec<Position>,
    /// Hours.
    pub hours: Decimal,
    /// Labour.
    pub labour: Decimal,
    /// What it uses up.
    pub parts: Vec<PartOut>,
    /// Labour and parts.
    pub price: Amount,
    /// Parts within that whose price is not known: `price` lacks them.
    pub without_price: usize,
    /// Of the most pressing job that needs it.
    pub urgency: Tier,
    /// Indexes into `jobs`.
    pub jobs: Vec<usize>,
    /// What it would cost more if every job did it for itself.
    pub saved: Amount,
}

/// Work without a price.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Unpriced {
    /// The finding.
    pub about: About,
    /// The place that has no job.
    pub position: Vec<Position>,
    /// Work asked for; null where none was named.
    pub action: Option<ActionId>,
    /// Why.
    pub reason: WithoutJob,
}

/// Why there is no job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WithoutJob {
    /// The book has none.
    NotInBook,
    /// The writer forbade those that it has.
    Forbidden,
}

/// Jobs that compete for a finding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Choice {
    /// The finding.
    pub about: About,
    /// Indexes into `jobs`: what was chosen.
    pub chosen: Vec<usize>,
    /// What else would do.
    pub others: Vec<OtherJob>,
}

/// A job that was not chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OtherJob {
    /// Id in the rate book.
    pub job: String,
    /// For people.
    pub name: String,
    /// Where.
    pub position: Vec<Position>,
    /// The speaker named this repair.
    pub offered: bool,
    /// How much the whole estimate changes with it, supplies and taxes included; at most, where a caution says that many compete.
    pub difference: Amount,
    /// Parts without a known price that it would bring in or, below zero, do without.
    pub without_price_difference: i64,
}

/// A sum by urgency.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TierSum {
    /// Urgency.
    pub urgency: Tier,
    /// Jobs.
    pub jobs: usize,
    /// Labour and parts; a shared step counts with the most pressing job that needs it.
    pub price: Amount,
    /// Parts within that whose price is not known: `price` lacks them.
    pub without_price: usize,
    /// Findings or pieces of them that no job does.
    pub unpriced: usize,
}

/// What pinned and forbidden jobs cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WishesOut {
    /// The total if nothing had been pinned or forbidden.
    pub free_total: Amount,
    /// How much more the writer's choice costs.
    pub difference: Amount,
}
