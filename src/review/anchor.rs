//! Owns what a decision holds on to: the part, its place and the words around it, so that it is found again in a list that a
//! better lexicon made of the same words.

use serde::{Deserialize, Serialize};

use crate::findings::{Evidence, Finding, Role, UtteranceOut};
use crate::lexicon::Position;

/// Of longer lines, this many bytes on each side of the words are kept.
const AROUND: usize = 80;
/// What must agree at least for two anchors to mean one finding.
const ENOUGH: u8 = 6;

/// A finding, told by what it is about.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Anchor {
    /// Its id when the decision was made.
    pub id: String,
    /// Id of the part.
    pub part: String,
    /// Where on the vehicle.
    pub place: Vec<Position>,
    /// The words that named the part.
    pub said: String,
    /// The line they stand in, or of a long one the words around.
    pub around: String,
}

impl Anchor {
    /// The anchor of a finding.
    pub fn of(finding: &Finding, utterances: &[UtteranceOut]) -> Anchor {
        let named = finding.evidence.iter().find(|e| e.role == Role::Component).or(finding.evidence.first());
        Anchor {
            id: finding.id.clone(),
            part: finding.component.id.clone(),
            place: finding.position.clone(),
            said: named.map(|e| e.text.clone()).unwrap_or_default(),
            around: named.map(|e| around(e, utterances)).unwrap_or_default(),
        }
    }

    /// How much speaks for both meaning one finding; 0 where it is not enough.
    fn likeness(&self, other: &Anchor) -> u8 {
        let words = !self.around.is_empty() && alike(&self.around, &other.around);
        let said = !self.said.is_empty() && alike(&self.said, &other.said);
        let place = self.place == other.place;
        let score = 4 * u8::from(self.part == other.part)
            + 2 * u8::from(place)
            + 4 * u8::from(words)
            + 2 * u8::from(words && said);
        // a part at no place in other words may be any part of that name
        let told = words || !self.place.is_empty();
        if told && score >= ENOUGH { score } else { 0 }
    }

    /// Which of these it means: the one with its id, else the one it is clearly most like.
    pub fn find<'a>(&self, among: impl Iterator<Item = (usize, &'a Anchor)> + Clone) -> Option<usize> {
        if let Some((at, _)) = among.clone().find(|(_, a)| a.id == self.id) {
            return Some(at);
        }
        let mut scored: Vec<(u8, usize)> =
            among.map(|(at, a)| (self.likeness(a), at)).filter(|(score, _)| *score > 0).collect();
        scored.sort_by_key(|s| std::cmp::Reverse(s.0));
        match scored.as_slice() {
            [(_, at)] => Some(*at),
            [first, second, ..] if first.0 > second.0 => Some(first.1),
            _ => None,
        }
    }
}

/// Words marked in the dictation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// 1-based line when the decision was made: the first place to look.
    pub line: usize,
    /// The words; empty for the whole line.
    pub words: String,
    /// The whole line.
    pub around: String,
}

impl Mark {
    /// The line it means now: the one it names if that still says the same, else the nearest that does.
    pub fn find(&self, utterances: &[UtteranceOut]) -> Option<usize> {
        utterances.iter().filter(|u| alike(&u.text, &self.around)).min_by_key(|u| u.n.abs_diff(self.line)).map(|u| u.n)
    }

    /// The words as evidence, where they still stand.
    pub fn evidence(&self, utterances: &[UtteranceOut]) -> Option<Evidence> {
        let line = self.find(utterances)?;
        let u = utterances.get(line - 1)?;
        let words = if self.words.is_empty() { u.text.as_str() } else { self.words.as_str() };
        let start = u.text.find(words)?;
        Some(Evidence {
            utterance: line,
            start,
            end: start + words.len(),
            start_ms: u.start_ms,
            end_ms: u.end_ms,
            role: Role::Component,
            text: words.to_string(),
        })
    }
}

fn around(e: &Evidence, utterances: &[UtteranceOut]) -> String {
    let Some(u) = e.utterance.checked_sub(1).and_then(|n| utterances.get(n)) else {
        return e.text.clone();
    };
    let from = u.text.floor_char_boundary(e.start.saturating_sub(AROUND));
    let to = u.text.ceil_char_boundary(e.end.saturating_add(AROUND).min(u.text.len()));
    u.text.get(from..to).unwrap_or(&u.text).to_string()
}

/// The same words, however spaced and cased.
fn alike(a: &str, b: &str) -> bool {
    fn words(t: &str) -> impl Iterator<Item = String> + '_ {
        t.split_whitespace().map(str::to_lowercase)
    }
    words(a).eq(words(b))
}
