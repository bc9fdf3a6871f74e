//! Owns what a customer says to the lines of an estimate.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::estimate::About;

/// What a customer says to a line of an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    /// Do it.
    Approve,
    /// Not done.
    Decline,
    /// Put off.
    Later,
}

impl Answer {
    /// For people, of what was answered.
    pub fn done(self) -> &'static str {
        match self {
            Answer::Approve => "approved",
            Answer::Decline => "declined",
            Answer::Later => "put off",
        }
    }
}

/// A finding that was answered on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Answered {
    /// The finding.
    pub about: About,
    /// The answer. What was declined or put off is not in the estimate.
    pub answer: Answer,
    /// When it is to be asked again ("2026-12-09", "at 71,900 mi"); null for approvals.
    pub ask_again: Option<String>,
}
