//! Owns what each token is to sound-alike matching: a border, a plain word, a word of the trade, or one nobody knows.

use super::SoundIndex;
use super::key::{Sounds, spoken};
use super::plain::{ASIDE, BY_NAME, LITTLE, PAST};
use crate::lexicon::{Lexicon, Meaning, PhraseHit, PlaceWord, Strength};
use crate::matching::PartHit;
use crate::text::{Kind, Token};

/// Letters of the longest word that two known words are looked for in.
const LONGEST: usize = 64;

/// One token as sound-alike matching sees it.
#[derive(Debug, Default)]
pub(super) struct Slot {
    /// Marks, speaker changes, measurements: no window crosses them.
    pub barrier: bool,
    /// Inside a phrase that the lexicon declares to be no part.
    pub not_part: bool,
    /// Inside a place: no window begins or ends here.
    pub place: bool,
    /// Inside a condition, verdict, action or urgency: poor material.
    pub signal: bool,
    /// A little word that holds sentences together.
    pub little: bool,
    /// A little word that may be the name of a letter.
    pub by_name: bool,
    /// A word for the vehicle, money or time.
    pub aside: bool,
    /// May be a verb: it ends in -ed or -ing or is an irregular past.
    pub verb: bool,
    /// Stands in a part name that may or may not be meant here.
    pub partish: bool,
    /// A plural of a plain word.
    pub plural: bool,
    /// Plain English.
    pub common: bool,
    /// Stands in part names.
    pub in_name: bool,
    /// Neither plain English nor in any phrase of the lexicon.
    pub strange: bool,
    /// A single letter.
    pub letter: bool,
    /// The part already found here.
    pub part: Option<usize>,
    /// How it sounds.
    pub sounds: Sounds,
}

impl Slot {
    /// Whether a window may begin here.
    pub(super) fn opens(&self) -> bool {
        !self.barrier && !self.place && !self.not_part && (!self.little || self.by_name || self.letter)
    }
}

/// Looks at every token once.
pub(super) fn slots(
    index: &SoundIndex,
    tokens: &[Token],
    lexicon: &Lexicon,
    hits: &[PhraseHit],
    parts: &[PartHit],
) -> Vec<Slot> {
    let mut out: Vec<Slot> = tokens.iter().map(|t| slot(index, t, lexicon)).collect();
    for h in hits {
        for m in &lexicon.meanings[h.phrase] {
            let slots = &mut out[h.first..h.end];
            match m {
                Meaning::NotPart if !is_firm(&lexicon.meanings[h.phrase]) => {
                    slots.iter_mut().for_each(|s| s.not_part = true)
                }
                Meaning::Part { .. } => slots.iter_mut().for_each(|s| s.partish = true),
                Meaning::Place { place, .. } if !lexicon.places[*place].contains(&PlaceWord::Nowhere) => {
                    slots.iter_mut().for_each(|s| s.place = true);
                }
                Meaning::Condition { .. }
                | Meaning::Sound { .. }
                | Meaning::Unchecked { .. }
                | Meaning::Serviced { .. }
                | Meaning::Action { .. }
                | Meaning::Urgency { .. }
                | Meaning::Degree { .. } => slots.iter_mut().for_each(|s| s.signal = true),
                _ => {}
            }
        }
    }
    for (i, p) in parts.iter().enumerate() {
        out[p.first..p.end].iter_mut().for_each(|s| s.part = Some(i));
    }
    out
}

fn slot(index: &SoundIndex, token: &Token, lexicon: &Lexicon) -> Slot {
    let small_number = matches!(token.kind, Kind::Number(v) if v.fract() == 0.0 && v < 100.0);
    if !(token.kind == Kind::Word && !token.norm.starts_with('\'') || small_number) {
        return Slot { barrier: true, ..Slot::default() };
    }
    let known = index.word(&token.norm);
    let letter = token.kind == Kind::Word && token.norm.len() == 1;
    let common = is_common(&token.word, lexicon) || is_common(&token.norm, lexicon);
    let strange = known.is_none() && !common && !letter && !small_number && !is_built(&token.norm, index, lexicon);
    let mut sounds = index.sounds_of_word(&token.norm);
    if strange && token.plural {
        // the ending may be no plural at all: "flecks" for "flex"
        sounds[1] = index.ear.sounds(&spoken(&token.word))[0];
    }
    Slot {
        little: LITTLE.contains(token.word.as_str()),
        by_name: BY_NAME.contains(token.word.as_str()),
        aside: ASIDE.contains(token.norm.as_str()),
        verb: token.plural
            || ["ed", "ing"].iter().any(|e| token.word.ends_with(e))
            || PAST.contains(token.word.as_str()),
        common,
        plural: token.plural && common,
        in_name: known.is_some_and(|w| w.in_name),
        strange,
        letter,
        sounds,
        ..Slot::default()
    }
}

/// A listed plain word or a regular form of one.
fn is_common(word: &str, lexicon: &Lexicon) -> bool {
    let listed = |w: &str| lexicon.common.contains(w);
    if listed(word) || word.contains('\'') {
        return true;
    }
    ["ing", "ed", "ly", "er", "ers"].iter().any(|ending| {
        let Some(stem) = word.strip_suffix(ending).filter(|s| s.len() > 3) else {
            return false;
        };
        let doubled = || {
            let mut back = stem.chars().rev();
            back.next().is_some_and(|last| back.next() == Some(last) && listed(&stem[..stem.len() - last.len_utf8()]))
        };
        listed(stem) || (*ending != "ly" && (listed(&format!("{stem}e")) || doubled()))
    })
}

/// Made of known words by the rules of English: `wheelbase`, `rebalance`, `wheeled`.
fn is_built(word: &str, index: &SoundIndex, lexicon: &Lexicon) -> bool {
    let known = |w: &str| w.len() > 2 && (index.word(w).is_some_and(|w| w.in_name) || lexicon.common.contains(w));
    let whole = |w: &str| known(w) && (w.len() > 3 || lexicon.common.contains(w));
    let ended = |ending: &str| word.strip_suffix(ending).is_some_and(|s| known(s) && s.len() > 3);
    let begun = |start: &str| word.strip_prefix(start).is_some_and(|s| known(s) && s.len() > 3);
    ["ed", "ing", "er", "ly", "less", "ish", "y"].iter().any(|e| ended(e))
        || ["re", "un", "de", "mis", "non"].iter().any(|s| begun(s))
        || (3..word.len().min(LONGEST).saturating_sub(2))
            .any(|i| word.is_char_boundary(i) && whole(&word[..i]) && whole(&word[i..]))
}

fn is_firm(meanings: &[Meaning]) -> bool {
    meanings.iter().any(|m| matches!(m, Meaning::Part { strength: Strength::Strong, .. }))
}
