//! Owns what the kind of a part tells where the words leave it open.

use crate::lexicon::{ActionId, ConditionId, Figure, PartKind};
use crate::text::Unit;

/// What is known of parts of this kind.
#[derive(Debug, Default)]
pub struct PartNature<'a> {
    /// What is measured on them.
    pub figures: &'a [Figure],
    /// What unspecific words most often mean.
    pub usual: Option<ConditionId>,
}

/// What a figure tells by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Telling {
    /// The part is bad.
    Poor,
    /// Neither.
    Between,
    /// The part is fine.
    Fine,
}

impl Telling {
    /// Word in the names of features.
    pub fn as_str(self) -> &'static str {
        match self {
            Telling::Poor => "poor",
            Telling::Between => "between",
            Telling::Fine => "fine",
        }
    }
}

impl<'a> PartNature<'a> {
    /// The kind of the part with this name; each question takes the first answer.
    pub fn of(name: &str, kinds: &'a [PartKind]) -> PartNature<'a> {
        let name = name.to_lowercase();
        let fits = |k: &PartKind| k.ends.iter().any(|e| ends_with_words(&name, e));
        let mut out = PartNature::default();
        for k in kinds.iter().filter(|k| fits(k)) {
            if out.figures.is_empty() {
                out.figures = &k.figure;
            }
            out.usual = out.usual.or(k.usual);
        }
        out
    }

    /// The condition a word means on this kind of part: a soaked damper leaks, a wiper blade that wipes poorly is worn.
    pub fn meant(&self, said: ConditionId) -> ConditionId {
        match (said, self.usual) {
            (ConditionId::Moisture, Some(ConditionId::Leak)) => ConditionId::Leak,
            (ConditionId::Weak, Some(ConditionId::Worn)) => ConditionId::Worn,
            (ConditionId::Crack, Some(ConditionId::Tear)) => ConditionId::Tear,
            (ConditionId::Thin, Some(ConditionId::Contaminated | ConditionId::Low)) => ConditionId::Low,
            _ => said,
        }
    }

    /// Whether this unit is used on the part.
    pub fn has(&self, unit: Unit) -> bool {
        self.figures.iter().any(|f| f.unit == unit)
    }

    /// What so much of this unit tells by itself, where the kind of part knows.
    pub fn tells(&self, unit: Unit, value: f64) -> Option<Telling> {
        let in_span = |f: &Figure| f.from >= f.to || (f.from..=f.to).contains(&value);
        let figure = self.figures.iter().find(|f| f.unit == unit && in_span(f))?;
        let (poor, fine) = (figure.poor?, figure.fine?);
        // moisture in a fluid is bad from its mark upward, what wears down from its mark downward
        let beyond = |mark: f64, other: f64| if mark > other { value >= mark } else { value <= mark };
        Some(if beyond(poor, fine) {
            Telling::Poor
        } else if beyond(fine, poor) {
            Telling::Fine
        } else {
            Telling::Between
        })
    }

    /// What a figure in this unit means on a part that is called bad.
    pub fn meaning(&self, unit: Unit) -> Option<ConditionId> {
        self.figures.iter().find(|f| f.unit == unit)?.means
    }
}

fn ends_with_words(name: &str, end: &str) -> bool {
    name.strip_suffix(end).is_some_and(|rest| rest.is_empty() || rest.ends_with([' ', '-']))
}

/// The condition that the work asked for gives away: what is topped up is low, what is tightened is loose.
pub fn implied_by(action: ActionId) -> Option<ConditionId> {
    match action {
        ActionId::TopUp => Some(ConditionId::Low),
        ActionId::Tighten => Some(ConditionId::Loose),
        ActionId::Reseal => Some(ConditionId::Leak),
        ActionId::Clean => Some(ConditionId::Contaminated),
        ActionId::Align | ActionId::Adjust => Some(ConditionId::Misaligned),
        _ => None,
    }
}
