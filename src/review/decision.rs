//! Owns the decision: what a person did to a list, as one line of the log says it.

use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value;

use crate::findings::{Component, Condition, Finding, Measurement};
use crate::lexicon::{ActionId, Position, UrgencyId, Verdict};
use crate::text::Unit;

use super::anchor::{Anchor, Mark};

/// One line of the log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// When, as RFC 3339 has it.
    pub when: String,
    /// What was decided.
    #[serde(flatten)]
    pub decision: Decision,
}

/// What a person did to a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "snake_case")]
#[allow(clippy::large_enum_variant)] // few are held at a time
pub enum Decision {
    /// The finding is right as it stands.
    Accept {
        /// Which finding.
        finding: Anchor,
        /// What was accepted.
        before: Content,
    },
    /// Something of the finding is otherwise.
    Correct {
        /// Which finding.
        finding: Anchor,
        /// What all of it was.
        before: Box<Change<Named>>,
        /// What they are.
        after: Box<Change<Named>>,
        /// Why; needed where a finding is no longer one not to be driven with.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reason: Option<String>,
    },
    /// The finding goes.
    Drop {
        /// Which finding.
        finding: Anchor,
        /// What was dropped.
        before: Content,
        /// Why.
        reason: String,
    },
    /// One finding becomes several; the first piece keeps the id.
    Split {
        /// Which finding.
        finding: Anchor,
        /// What was split.
        before: Content,
        /// What it became.
        after: Vec<Piece>,
    },
    /// Several findings become one: the first takes the words and attributes of the others.
    Merge {
        /// Which findings, the one that stays first.
        findings: Vec<Anchor>,
        /// What they were.
        before: Vec<Content>,
    },
    /// A finding that was missed.
    Add {
        /// Its id.
        id: String,
        /// The words that say it.
        words: Vec<Mark>,
        /// What it is.
        after: Change<Named>,
    },
    /// A note on the finding, for the shop.
    Note {
        /// Which finding.
        finding: Anchor,
        /// The note before; empty for none.
        before: String,
        /// The note; empty for none.
        after: String,
    },
    /// Looked at and knowingly left as it is.
    PassOver {
        /// What is passed over.
        subject: Subject,
        /// Why, if said.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        reason: String,
    },
    /// The list was handed over as it stood.
    HandOver {
        /// Lines of the log it was made of.
        revision: usize,
    },
    /// An earlier line no longer counts.
    Undo {
        /// 1-based line of the log.
        line: usize,
    },
    /// A line that was undone counts again.
    Redo {
        /// 1-based line of the log.
        line: usize,
    },
}

/// What can be passed over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(clippy::large_enum_variant)] // few are held at a time
pub enum Subject {
    /// A finding that is doubtful, as it reads.
    Finding {
        /// Which finding.
        finding: Anchor,
        /// How it reads.
        before: Box<Content>,
    },
    /// Words that no part was found for.
    Words(Mark),
    /// A decision that no longer applies: 1-based line of the log.
    Decision(usize),
}

/// One piece of a finding that was split.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Piece {
    /// Its id.
    pub id: String,
    /// In what it differs from the whole.
    #[serde(flatten)]
    pub change: Change<Named>,
}

/// A part by id, name and system.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Named {
    /// Lexicon id, or made of the words.
    pub id: String,
    /// Trade name.
    pub name: String,
    /// System; empty where unknown.
    #[serde(default)]
    pub system: String,
}

impl From<&Component> for Named {
    fn from(c: &Component) -> Named {
        Named { id: c.id.clone(), name: c.name.clone(), system: c.system.clone() }
    }
}

/// A measured value without its limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// Figure in `unit`.
    pub value: f64,
    /// Unit.
    pub unit: Unit,
}

impl Figure {
    /// Reads a number and the symbol of a unit: "2 mm", "12.4V", "4/32in".
    pub fn parse(words: &str) -> Option<Figure> {
        let words = words.trim();
        let at = words.find(|c: char| !matches!(c, '0'..='9' | '.' | '-'))?;
        let (number, unit) = words.split_at(at);
        let unit: String = unit.split_whitespace().collect();
        let unit = if unit.starts_with('/') { format!("1{unit}") } else { unit };
        let unit = Unit::ALL.into_iter().find(|u| symbol(*u).eq_ignore_ascii_case(&unit))?;
        Some(Figure { value: number.parse().ok()?, unit })
    }
}

impl From<&Measurement> for Figure {
    fn from(m: &Measurement) -> Figure {
        Figure { value: m.value, unit: m.unit }
    }
}

/// The symbol that stands for a unit in every file.
pub fn symbol(unit: Unit) -> String {
    let value = serde_json::to_value(unit).unwrap_or_default();
    value.as_str().unwrap_or_default().to_string()
}

/// All that a person can decide on of a finding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Content {
    /// The part.
    pub part: Named,
    /// Where on the vehicle.
    pub place: Vec<Position>,
    /// What is said of it.
    pub verdict: Verdict,
    /// What is wrong with it.
    pub conditions: Vec<Condition>,
    /// How pressing.
    pub urgency: Option<UrgencyId>,
    /// What is to be done.
    pub actions: Vec<ActionId>,
    /// What was measured.
    pub measurements: Vec<Figure>,
}

impl From<&Finding> for Content {
    fn from(f: &Finding) -> Content {
        Content {
            part: (&f.component).into(),
            place: f.position.clone(),
            verdict: f.verdict,
            conditions: f.conditions.clone(),
            urgency: f.urgency,
            actions: f.actions.clone(),
            measurements: f.measurements.iter().map(Figure::from).collect(),
        }
    }
}

/// Fields that change; what is absent stays. The part is a [`Named`] in the log and plain words where a person asks for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Change<Part> {
    /// The part.
    #[serde(default = "none", skip_serializing_if = "Option::is_none")]
    pub part: Option<Part>,
    /// Where on the vehicle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Vec<Position>>,
    /// What is said of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verdict: Option<Verdict>,
    /// What is wrong with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conditions: Option<Vec<Condition>>,
    /// How pressing; `null` for not said.
    #[serde(default, skip_serializing_if = "Option::is_none", deserialize_with = "present")]
    pub urgency: Option<Option<UrgencyId>>,
    /// What is to be done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub actions: Option<Vec<ActionId>>,
    /// What was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measurements: Option<Vec<Figure>>,
    /// How it is put to the customer; empty for the program's own words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wording: Option<String>,
}

fn none<T>() -> Option<T> {
    None
}

/// A field that is there, though it may be null.
fn present<'de, D: Deserializer<'de>>(field: D) -> Result<Option<Option<UrgencyId>>, D::Error> {
    Option::deserialize(field).map(Some)
}

impl<Part> Default for Change<Part> {
    fn default() -> Change<Part> {
        Change {
            part: None,
            place: None,
            verdict: None,
            conditions: None,
            urgency: None,
            actions: None,
            measurements: None,
            wording: None,
        }
    }
}

/// Values of `what` that stand for a [`Decision`]: a line with one of them that can't be read is damaged, not of another kind.
const KINDS: [&str; 11] =
    ["accept", "correct", "drop", "split", "merge", "add", "note", "pass_over", "hand_over", "undo", "redo"];

/// A line of the log as it was read.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A decision on the list.
    Decision(Box<Line>),
    /// A line of another kind: kept, and read by whoever knows it.
    Other(Value),
    /// A line that is no JSON object, or a damaged decision: kept as it stands.
    Unreadable(String),
}

impl Entry {
    /// Reads one line.
    pub fn parse(line: &str) -> Entry {
        let Ok(value) = serde_json::from_str::<Value>(line) else {
            return Entry::Unreadable(line.to_string());
        };
        if !value.is_object() {
            return Entry::Unreadable(line.to_string());
        }
        let is_own = value.get("what").and_then(Value::as_str).is_some_and(|w| KINDS.contains(&w));
        match serde_json::from_value::<Line>(value.clone()) {
            Ok(line) => Entry::Decision(Box::new(line)),
            Err(_) if is_own => Entry::Unreadable(line.to_string()),
            Err(_) => Entry::Other(value),
        }
    }

    /// The decision, where it is one.
    pub fn decision(&self) -> Option<&Decision> {
        match self {
            Entry::Decision(line) => Some(&line.decision),
            Entry::Other(_) | Entry::Unreadable(_) => None,
        }
    }
}
