//! Owns the polarity of signals: which are negated and what they then mean, and what each would mean under an exception.

use crate::lexicon::{ActionId, ConditionId, Cue, DegreeId, Meaning, UrgencyId};
use crate::matching::SignalHit;
use crate::text::{Boundary, Clause, Token};

/// What a signal says of a part once negation is taken into account.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Says {
    /// Something is wrong.
    Defect(ConditionId),
    /// Something is wrong, only the kind is open ("not good").
    SomeDefect,
    /// Fine: plain praise, or a fault denied ("no play").
    Sound {
        /// The condition that was denied.
        denies: Option<ConditionId>,
    },
    /// Not seen, reached or tested.
    Unchecked,
    /// Replaced or repaired before.
    Serviced,
    /// To be done.
    Action(ActionId),
    /// Said not to be needed.
    NoAction(ActionId),
    /// How pressing.
    Urgency(UrgencyId),
    /// How much.
    Degree(DegreeId),
    /// Steers the reading.
    Cue(Cue),
}

/// A signal in its clause.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Signal {
    /// First token.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// What it says.
    pub says: Says,
    /// What it says instead in front of "except".
    pub opposite: Option<Says>,
    /// Counts only beside a part.
    pub weak: bool,
}

impl Signal {
    /// Whether it says that something is wrong.
    pub fn is_fault(&self) -> bool {
        matches!(self.says, Says::Defect(_) | Says::SomeDefect)
    }
}

/// Words a negation reaches over.
const REACH: usize = 7;

/// Words that say a negation over again, so shortly behind it.
const AGAIN: [&str; 3] = ["no", "nothing", "none"];
const AGAIN_WITHIN: usize = 2;

/// Turns the hits of each clause into signals.
pub fn signals(hits: &[SignalHit], clauses: &[Clause], tokens: &[Token]) -> Vec<Signal> {
    let mut out = Vec::with_capacity(hits.len());
    let mut at = 0;
    let mut open_list = false;
    for c in clauses {
        while at < hits.len() && hits[at].first < c.first {
            at += 1;
        }
        let from = at;
        while at < hits.len() && hits[at].first < c.end {
            at += 1;
        }
        let inside = &hits[from..at];
        // "no cracks, leaks or bulges": a short clause that opens with a signal carries the list on
        let carries = open_list
            && c.before == Boundary::Weak
            && c.end - c.first <= 3
            && inside.first().is_some_and(|h| h.first <= c.first + 1);
        let between =
            |from: usize, to: usize| inside.iter().any(|o| o.first >= from && o.end <= to && is_state(o.meaning));
        let mut negations: Vec<usize> = Vec::new();
        for h in inside.iter().filter(|h| h.meaning == Meaning::Cue(Cue::Negation)) {
            // "don't see no play" is no play
            let again = AGAIN.contains(&tokens[h.first].norm.as_str());
            let same = negations
                .last()
                .is_some_and(|e| again && h.first.saturating_sub(*e) <= AGAIN_WITHIN && !between(*e, h.first));
            match negations.last_mut().filter(|_| same) {
                Some(last) => *last = h.end,
                None => negations.push(h.end),
            }
        }
        let stops: Vec<usize> =
            inside.iter().filter(|h| h.meaning == Meaning::Cue(Cue::NegationEnd)).map(|h| h.first).collect();
        open_list = carries;
        for h in inside {
            // "no play no drip": what has denied something already denies nothing behind the next "no"
            let last = negations.iter().rev().find(|e| **e <= h.first);
            let reached = negations
                .iter()
                .filter(|&&e| e <= h.first && h.first - e <= REACH && !stops.iter().any(|&s| s >= e && s < h.first))
                .filter(|&&e| last.is_none_or(|last| !between(e, *last)))
                .count();
            let negated = reached % 2 == 1 || (carries && negations.is_empty());
            if negated && !carries && is_state(h.meaning) {
                open_list = true;
            }
            // "couldn't see any cracks" denies cracks; "couldn't see the hose" leaves it open
            let looks = matches!(h.meaning, Meaning::Inspect);
            if looks
                && inside
                    .iter()
                    .any(|o| o.first >= h.end && matches!(o.meaning, Meaning::Condition { weak: false, .. }))
            {
                continue;
            }
            if let Some((says, opposite, weak)) = read(h.meaning, negated) {
                out.push(Signal { first: h.first, end: h.end, says, opposite, weak });
            }
        }
    }
    out
}

/// Whether it says how a part is.
fn is_state(meaning: Meaning) -> bool {
    matches!(meaning, Meaning::Condition { .. } | Meaning::Sound { .. })
}

fn read(meaning: Meaning, negated: bool) -> Option<(Says, Option<Says>, bool)> {
    let sound_turned = |n: Option<ConditionId>| n.map_or(Says::SomeDefect, Says::Defect);
    Some(match meaning {
        Meaning::Condition { id, weak } => {
            let denied = Says::Sound { denies: Some(id) };
            if negated { (denied, Some(Says::Defect(id)), weak) } else { (Says::Defect(id), Some(denied), weak) }
        }
        Meaning::Sound { negated: turned, weak } => {
            let fine = Says::Sound { denies: None };
            if negated { (sound_turned(turned), Some(fine), weak) } else { (fine, Some(sound_turned(turned)), weak) }
        }
        Meaning::Function { lost } if negated => (sound_turned(lost), None, false),
        Meaning::Function { lost } => (Says::Sound { denies: None }, Some(sound_turned(lost)), true),
        Meaning::Inspect if negated => (Says::Unchecked, None, false),
        Meaning::Inspect => return None,
        Meaning::Unchecked { weak } => (Says::Unchecked, None, weak),
        Meaning::Serviced { weak } => (Says::Serviced, None, weak),
        Meaning::Action { id, weak } => {
            (if negated { Says::NoAction(id) } else { Says::Action(id) }, Some(Says::NoAction(id)), weak)
        }
        Meaning::Urgency { id, weak } => (Says::Urgency(id), None, weak),
        Meaning::Degree { id } => (Says::Degree(id), None, false),
        Meaning::Cue(c) => (Says::Cue(c), None, false),
        Meaning::Part { .. } | Meaning::NotPart | Meaning::Head | Meaning::Place { .. } => return None,
    })
}
