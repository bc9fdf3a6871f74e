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
