//! Owns the findings document: what comes out, named as every later stage reads it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::lexicon::{ActionId, ConditionId, DegreeId, Position, UrgencyId, Verdict};
use crate::text::Unit;

/// Value of [`Document::schema`].
pub const SCHEMA: &str = "hoistnote/findings/1";

/// Below this confidence a finding is marked in words.
pub const CERTAIN: f64 = 0.6;

/// The findings of one dictation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Document {
    /// Always [`SCHEMA`].
    pub schema: String,
    /// What was read.
    pub source: SourceInfo,
    /// What was said of the vehicle itself.
    pub vehicle: Vehicle,
    /// Every utterance, in order, whole.
    pub utterances: Vec<UtteranceOut>,
    /// What was found, in the order it was spoken of.
    pub findings: Vec<Finding>,
    /// Parts spoken of in general, with nothing said of this vehicle's.
    pub general_talk: Vec<GeneralTalk>,
    /// What was said and taken back.
    pub withdrawn: Vec<Withdrawn>,
    /// Words that carry a signal and could not be placed on a part.
    pub unplaced: Vec<Unplaced>,
    /// What every reader of the list must know.
    pub cautions: Vec<String>,
}

/// The file a document was made from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SourceInfo {
    /// Path as given; `-` for standard input.
    pub path: String,
    /// Format as told from the content.
    pub format: String,
    /// SHA-256 of the bytes, lower-case hexadecimal.
    pub sha256: String,
}

/// What was said of the vehicle itself.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Vehicle {
    /// Distance it has run.
    pub odometer: Option<Odometer>,
    /// How it was called ("unit 14").
    pub identification: Option<String>,
}

/// Distance a vehicle has run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Odometer {
    /// Figure in `unit`.
    pub value: f64,
    /// Miles or kilometres.
    pub unit: Unit,
}

/// One line as it was said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct UtteranceOut {
    /// 1-based number.
    pub n: usize,
    /// Start in milliseconds; null for untimed notes.
    pub start_ms: Option<u64>,
    /// End in milliseconds; null where unknown.
    pub end_ms: Option<u64>,
    /// Who spoke, where the source says so.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub speaker: Option<String>,
    /// The words, whole.
    pub text: String,
}

/// One part at one place (or several places in one breath) with one verdict.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// Stays the same while part, place and words stay the same.
    pub id: String,
    /// The part.
    pub component: Component,
    /// Where on the vehicle.
    pub position: Vec<Position>,
    /// What is said of it.
    pub verdict: Verdict,
    /// What is wrong with it.
    pub conditions: Vec<Condition>,
    /// How pressing, where said or where a limit is passed.
    pub urgency: Option<UrgencyId>,
    /// What is to be done.
    pub actions: Vec<ActionId>,
    /// Other repairs offered.
    pub alternatives: Vec<Alternative>,
    /// What was measured on it.
    pub measurements: Vec<Measurement>,
    /// Share of findings with this figure that are right, 0 to 1.
    pub confidence: f64,
    /// The words behind it.
    pub evidence: Vec<Evidence>,
    /// How it came to be, for people.
    pub why: Vec<String>,
    /// What a person made of it; absent where nobody looked.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub review: Option<Reviewed>,
}

impl Finding {
    /// Whether its confidence alone asks for a look at the words, and nobody took that look.
    pub fn is_uncertain(&self) -> bool {
        let looked_at = self.review.as_ref().is_some_and(|r| r.state.is_looked_at());
        self.confidence < CERTAIN && !looked_at
    }

    /// Whether a figure said of it fails its limit.
    pub fn fails_limit(&self) -> bool {
        self.measurements.iter().any(|m| m.limit.as_ref().is_some_and(|l| l.passed_limit))
    }
}

/// What a person made of a finding.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Reviewed {
    /// How far the review of it is.
    pub state: ReviewState,
    /// How it is put to the customer, where a person worded it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub wording: Option<String>,
    /// Note for the shop.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub note: Option<String>,
}

/// How far the review of a finding is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReviewState {
    /// Nobody has decided on it.
    #[default]
    Open,
    /// Right as it stood.
    Accepted,
    /// Changed, split or merged.
    Corrected,
    /// Added from words that the program had not understood.
    Added,
    /// Looked at and left in doubt.
    PassedOver,
}

impl ReviewState {
    /// Whether a person stands behind what it says.
    pub fn is_looked_at(self) -> bool {
        matches!(self, ReviewState::Accepted | ReviewState::Corrected | ReviewState::Added)
    }
}

/// A part, named.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Component {
    /// Lexicon id, or made of the words where the lexicon has none.
    pub id: String,
    /// Trade name without place words.
    pub name: String,
    /// System of the vehicle; empty where unknown.
    pub system: String,
    /// Other names of the same part.
    #[serde(default)]
    pub aliases: Vec<String>,
}

/// What is wrong, how much.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Condition {
    /// Kind of defect.
    pub id: ConditionId,
    /// Where the speaker graded it.
    pub degree: Option<DegreeId>,
}

/// Another repair offered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Alternative {
    /// Part it is about.
    pub component: Component,
    /// What would be done.
    pub action: ActionId,
}

/// A measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Measurement {
    /// Figure in `unit`.
    pub value: f64,
    /// Unit.
    pub unit: Unit,
    /// The published limit it was held against.
    pub limit: Option<LimitCheck>,
}

/// A published limit and how the value stands to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LimitCheck {
    /// Rule, as the lexicon names it.
    pub rule: String,
    /// Limit in the rule's own unit.
    pub value: f64,
    /// Unit of `value`.
    pub unit: Unit,
    /// Whether the measured value fails.
    pub passed_limit: bool,
    /// Where the limit was published.
    pub source: String,
}

/// What a piece of evidence stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)] // the names say it
pub enum Role {
    Component,
    Position,
    Condition,
    Verdict,
    Action,
    Urgency,
    Measurement,
    Context,
}

/// Words of the source, byte for byte.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Evidence {
    /// 1-based utterance.
    pub utterance: usize,
    /// First byte in the utterance's text.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
    /// Start in milliseconds; null for untimed notes.
    pub start_ms: Option<u64>,
    /// End in milliseconds; null where unknown.
    pub end_ms: Option<u64>,
    /// What the words stand for.
    pub role: Role,
    /// The words.
    pub text: String,
}

/// A part spoken of in general.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct GeneralTalk {
    /// The part.
    pub component: Component,
    /// The words.
    pub evidence: Vec<Evidence>,
}

/// Something said and taken back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Withdrawn {
    /// The part.
    pub component: Component,
    /// Where it was first said to be.
    pub position: Vec<Position>,
    /// The words.
    pub evidence: Vec<Evidence>,
}

/// An utterance that carries a signal no part could be found for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Unplaced {
    /// 1-based utterance.
    pub utterance: usize,
    /// Its text, whole.
    pub text: String,
    /// Why it stands here.
    pub reason: String,
}

/// A line that holds no findings document.
#[derive(Debug, thiserror::Error)]
#[error("{line}:{column}: {what}")]
pub struct Unreadable {
    /// 1-based line.
    pub line: usize,
    /// 1-based column.
    pub column: usize,
    /// What is wrong.
    pub what: String,
}

/// Documents written one a line; `None` where the bytes are something else.
pub fn read_lines(bytes: &[u8]) -> Option<Result<Vec<Document>, Unreadable>> {
    let text = std::str::from_utf8(bytes).ok()?;
    let first = text.lines().find(|l| !l.trim().is_empty())?;
    let start = first.trim_start().strip_prefix('{')?.trim_start().strip_prefix("\"schema\"")?;
    start.trim_start().strip_prefix(':')?.trim_start().strip_prefix("\"hoistnote/findings/")?;
    let mut out = Vec::new();
    // NDJSON, and a single document laid out over many lines
    let mut documents = serde_json::Deserializer::from_str(text).into_iter::<Document>();
    let place = |offset: usize| {
        let before = text.get(..offset).unwrap_or(text);
        let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
        (before.matches('\n').count() + 1, column)
    };
    loop {
        let start = documents.byte_offset();
        match documents.next() {
            None => return Some(Ok(out)),
            Some(Ok(document)) => {
                if let Some(what) = document.misquote() {
                    let (line, column) = place(start + text[start..].len() - text[start..].trim_start().len());
                    return Some(Err(Unreadable { line, column, what }));
                }
                out.push(document);
            }
            Some(Err(e)) => {
                let what = e.to_string();
                let what = what.split(" at line ").next().unwrap_or_default().to_string();
                return Some(Err(Unreadable { line: e.line(), column: e.column(), what }));
            }
        }
    }
}

impl Document {
    /// The first quote that is not in its utterance, told; every later stage relies on quotes.
    fn misquote(&self) -> Option<String> {
        if self.schema != SCHEMA {
            return Some(format!("this is {}, not {SCHEMA}", self.schema));
        }
        let general = self.general_talk.iter().flat_map(|g| &g.evidence);
        let back = self.withdrawn.iter().flat_map(|w| &w.evidence);
        let mut all = self.findings.iter().flat_map(|f| &f.evidence).chain(general).chain(back);
        let said = |e: &Evidence| {
            let utterance = self.utterances.get(e.utterance.checked_sub(1)?)?;
            utterance.text.get(e.start..e.end).filter(|t| *t == e.text)
        };
        let wrong = all.find(|e| said(e).is_none())?;
        Some(format!("\"{}\" is not at {} to {} of utterance {}", wrong.text, wrong.start, wrong.end, wrong.utterance))
    }
}
