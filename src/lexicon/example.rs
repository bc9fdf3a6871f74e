//! Owns examples: what an entry says of itself, so that it can be tried.

use serde::{Deserialize, Serialize};

use super::entries::{ActionId, ConditionId, Position, UrgencyId, Verdict};

/// Words as they may be said, and what they must come to.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Example {
    /// The words, one line or more.
    pub say: String,
    /// What they must come to.
    pub means: Means,
}

/// What an example must come to.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(
    untagged,
    expecting = "`means` is the id of a part, a finding like { part = \"water-pump\", is = \"defect\" }, or a list of findings"
)]
pub enum Means {
    /// The words name this part, whatever else they say; empty: they name none.
    Part(String),
    /// This is among the findings.
    One(ExpectedFinding),
    /// These are all the findings.
    All(Vec<ExpectedFinding>),
}

/// A finding that must come out; what is left out may be anything.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ExpectedFinding {
    /// Id of the part.
    pub part: String,
    /// Where it is; an empty list: nowhere said.
    #[serde(default)]
    pub at: Option<Vec<Position>>,
    /// Its verdict.
    #[serde(default)]
    pub is: Option<Verdict>,
    /// A condition among those found.
    #[serde(default)]
    pub with: Option<ConditionId>,
    /// Its urgency.
    #[serde(default)]
    pub urgency: Option<UrgencyId>,
    /// An action among those found.
    #[serde(default)]
    pub action: Option<ActionId>,
}
