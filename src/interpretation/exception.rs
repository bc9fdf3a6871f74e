//! Owns exceptions: "all tires good except the left rear" says the opposite of what is excepted, named or only placed.

use crate::lexicon::Cue;
use crate::text::Boundary;

use super::polarity::Says;
use super::reading::Reading;
use super::tone::{Tone, tone};

/// Tokens between the words that make an exception and what is excepted.
const REACH: usize = 6;

/// The words that make an exception of what stands at token `at`, in the same sentence: their first token.
pub fn cue_before(r: &Reading, at: usize) -> Option<usize> {
    let c = r.clauses[r.clause_of[at]];
    let signals = r.signals_in(c.first, at);
    let cue = signals.iter().rev().find(|s| s.says == Says::Cue(Cue::Except) && s.end <= at && at - s.end <= REACH)?;
    let told = signals.iter().any(|s| s.first >= cue.end && !matches!(s.says, Says::Cue(_)));
    (!told).then_some(cue.first)
}

/// What is said, in the same sentence, of all that the exception in token `cue` is made from.
pub fn tone_before(r: &Reading, cue: usize) -> Option<Tone> {
    let here = r.clause_of[cue];
    let opens = (0..=here).rev().find(|k| r.clauses[*k].before >= Boundary::Strong)?;
    let first = r.clauses[opens].first;
    let rest = r.clauses[opens..=here].iter().map(|c| c.first..c.end.min(cue));
    let words = rest.flatten().filter(|t| r.tokens[*t].is_wordlike()).count();
    (words > 0).then(|| tone(r.signals_in(first, cue), r.measured_in(first, cue)))
}
