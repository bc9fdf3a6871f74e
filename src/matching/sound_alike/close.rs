//! Owns what came close to a name and was not taken for it, for those who ask why.

use super::judge::{Refusal, Window, judge, refusal};
use super::key::{Sounds, alike, then};
use super::likeness::Likeness;
use super::slots::slots;
use super::{SoundIndex, Target, WIDEST, near};
use crate::lexicon::Lexicon;
use crate::matching::PartHit;
use crate::text::Token;

/// How words compare with a name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// They sound the same.
    pub same_sound: bool,
    /// One sound is wrong.
    pub near_sound: bool,
    /// Normalised Damerau-Levenshtein, 0 to 1.
    pub spelling: f64,
}

/// Words that came close to a name.
#[derive(Debug, Clone, PartialEq)]
pub struct CloseCall {
    /// First token.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// The part.
    pub part: usize,
    /// The phrase that names it.
    pub phrase: usize,
    /// How close.
    pub comparison: Comparison,
    /// Why it was not taken.
    pub refusal: Refusal,
}

/// Words spelt less like a name than this did not come close.
const CLOSE: f64 = 0.6;

impl SoundIndex {
    /// How a folded phrase compares with a folded name.
    pub fn compare(&self, said: &str, name: &str) -> Comparison {
        let (said, name): (Vec<&str>, Vec<&str>) = (said.split(' ').collect(), name.split(' ').collect());
        self.comparison(&said, &name, self.sounds_of(&said), self.sounds_of(&name))
    }

    fn comparison<A: AsRef<str>>(&self, said: &[A], name: &[&str], ours: Sounds, theirs: Sounds) -> Comparison {
        Comparison {
            same_sound: alike(ours, theirs),
            near_sound: theirs.iter().any(|k| ours.iter().any(|o| near(*k, *o))),
            spelling: Likeness::of(said, name).edit,
        }
    }

    /// What came close in the stream outside `parts` and was not taken, the closest first: one name for the same words.
    pub fn close_calls(&self, tokens: &[Token], lexicon: &Lexicon, parts: &[PartHit]) -> Vec<CloseCall> {
        let hits = lexicon.scan(tokens);
        let slots = slots(self, tokens, lexicon, &hits, parts);
        let taken = |first: usize, end: usize| parts.iter().any(|p| p.first < end && first < p.end);
        let mut out: Vec<CloseCall> = Vec::new();
        for first in (0..slots.len()).filter(|first| slots[*first].opens()) {
            let mut sounds = Sounds::default();
            for end in first + 1..=(first + WIDEST).min(slots.len()) {
                let slot = &slots[end - 1];
                if slot.barrier || slot.not_part || taken(first, end) {
                    break;
                }
                sounds = then(sounds, slot.sounds);
                let window = Window::new(first, end, &slots, tokens, sounds, false);
                let mut best: Option<CloseCall> = None;
                let mut consider = |window: &Window, name: u32| {
                    let n = &self.names[name as usize];
                    let Target::Part { part, phrase } = n.target else { return };
                    let text = &lexicon.phrases[phrase];
                    if judge(self, window, text, n.sounds).is_some() {
                        return;
                    }
                    let meant: Vec<&str> = text.split(' ').collect();
                    let comparison = self.comparison(&window.words, &meant, window.sounds, n.sounds);
                    let better = best.as_ref().is_none_or(|b| comparison.spelling > b.comparison.spelling);
                    if comparison.spelling >= CLOSE && comparison.spelling < 1.0 && better {
                        let refusal = refusal(self, window, text, n.sounds);
                        best = Some(CloseCall { first, end, part, phrase, comparison, refusal });
                    }
                };
                self.candidates(&window, true, &mut consider);
                out.extend(best);
            }
        }
        out.sort_by(|a, b| b.comparison.spelling.total_cmp(&a.comparison.spelling).then(a.first.cmp(&b.first)));
        let mut kept: Vec<CloseCall> = Vec::new();
        for call in out {
            if kept.iter().all(|k| k.end <= call.first || call.end <= k.first) {
                kept.push(call);
            }
        }
        kept
    }
}
