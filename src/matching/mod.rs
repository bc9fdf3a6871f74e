//! Owns mentions of lexicon entries in the token stream: parts, places, signals and cues, with overlaps settled.
//! Knows nothing of what is being said about them.

mod sound_alike;

pub use sound_alike::{CloseCall, Comparison, Refusal, SoundIndex, is_aside, is_little};

use crate::lexicon::{Cue, Lexicon, Meaning, PhraseHit, PlaceWord, Strength};
use crate::text::Token;

/// How the words were recognised as the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// The very words of a phrase.
    Exact,
    /// A word that means the part only in its context.
    Context,
    /// A part made of a known part and a noun behind it ("compressor bracket").
    Compound,
    /// Sounds or is spelt like a phrase.
    SoundAlike,
    /// A trouble code that points at it, read out with no part named.
    Code,
}

/// Words that stand for a part. For a context word all candidates are kept; interpretation chooses.
#[derive(Debug, Clone, PartialEq)]
pub struct PartHit {
    /// First token.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// Candidate parts; one for anything but context words.
    pub parts: Vec<usize>,
    /// How it was recognised.
    pub how: How,
    /// Nouns behind the known part that make another part of it: tokens `end - heads..end`.
    pub heads: usize,
    /// 1 for exact words, less for sound-alikes.
    pub score: f64,
}

/// A place on the vehicle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceHit {
    /// First token.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// Index into [`Lexicon::places`].
    pub place: usize,
}

/// A signal (condition, verdict, action, urgency, degree) or a cue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SignalHit {
    /// First token.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// What it means.
    pub meaning: Meaning,
}

/// All mentions, each list ordered by position.
#[derive(Debug, Clone, Default)]
pub struct Mentions {
    /// Parts, not overlapping each other.
    pub parts: Vec<PartHit>,
    /// Places, outside the parts.
    pub places: Vec<PlaceHit>,
    /// Signals and cues, outside the parts.
    pub signals: Vec<SignalHit>,
    /// Nouns that could be parts but belong to no known one: `first..end`.
    pub loose_heads: Vec<(usize, usize)>,
}

/// Score of a name with one word as recognisers mishear it.
const MISHEARD: f64 = 0.85;

/// Finds everything the lexicon knows in the stream. `notes` switches the abbreviations of typed notes on.
pub fn find(tokens: &[Token], lexicon: &Lexicon, sounds: &SoundIndex, notes: bool) -> Mentions {
    let hits = lexicon.scan(tokens);
    let mut parts = exact_parts(&hits, lexicon);
    sounds.extend(tokens, lexicon, &hits, &mut parts);
    let mut taken = vec![false; tokens.len()];
    let heads: Vec<&PhraseHit> = hits.iter().filter(|h| has(lexicon, h, |m| matches!(m, Meaning::Head))).collect();
    extend_with_heads(&mut parts, &heads);
    for p in &parts {
        taken[p.first..p.end].fill(true);
    }
    let mut loose_heads = Vec::new();
    for h in &heads {
        if !taken[h.first..h.end].contains(&true) && loose_heads.last().is_none_or(|&(_, e)| e <= h.first) {
            loose_heads.push((h.first, h.end));
        }
    }
    let places = places(&hits, lexicon, &taken, notes);
    let mut signals = signals(&hits, lexicon, &taken);
    // "right steer": a word inside a longer place says nothing of how it works
    signals.retain(|s| {
        let cue = matches!(s.meaning, Meaning::Cue(_));
        let k = places.partition_point(|p| p.first <= s.first);
        cue || !k
            .checked_sub(1)
            .is_some_and(|k| s.end <= places[k].end && s.end - s.first < places[k].end - places[k].first)
    });
    Mentions { parts, places, signals, loose_heads }
}

fn has(lexicon: &Lexicon, hit: &PhraseHit, test: impl Fn(&Meaning) -> bool) -> bool {
    lexicon.meanings[hit.phrase].iter().any(test)
}

/// Takes the tokens `first..end` unless one of them is taken already.
fn cover(covered: &mut [bool], first: usize, end: usize) -> bool {
    let free = !covered[first..end].contains(&true);
    if free {
        covered[first..end].fill(true);
    }
    free
}

/// Longest part first; at the same length a firm name beats a context word.
fn exact_parts(hits: &[PhraseHit], lexicon: &Lexicon) -> Vec<PartHit> {
    let mut candidates: Vec<(usize, Option<PartHit>, usize, usize)> = Vec::new();
    let last = hits.iter().map(|h| h.end).max().unwrap_or(0);
    let mut placeish = vec![false; last];
    // "left drive": a word inside a longer place is no part by itself unless its name is firm
    let mut in_place = vec![false; last];
    for h in hits.iter().filter(|h| has(lexicon, h, |m| matches!(m, Meaning::Place { .. }))) {
        placeish[h.first..h.end].fill(true);
        let longer = h.end - h.first > 1 && has(lexicon, h, |m| matches!(m, Meaning::Place { short: false, .. }));
        if longer
            && !has(
                lexicon,
                h,
                |m| matches!(m, Meaning::Place { place, .. } if lexicon.places[*place].contains(&PlaceWord::Nowhere)),
            )
        {
            in_place[h.first..h.end].fill(true);
        }
    }
    for h in hits {
        let mut strong = Vec::new();
        let mut weak = Vec::new();
        let mut none = false;
        let mut misheard = Vec::new();
        for m in &lexicon.meanings[h.phrase] {
            match m {
                Meaning::Part { part, strength: Strength::Strong } => strong.push(*part),
                Meaning::Part { part, strength: Strength::Weak } => weak.push(*part),
                Meaning::Part { part, strength: Strength::Misheard } => misheard.push(*part),
                Meaning::NotPart => none = true,
                _ => {}
            }
        }
        // "driver's seat | belt webbing": place words in front of a name do not make it longer
        let places = (h.first..h.end).take_while(|t| placeish.get(*t).copied().unwrap_or(false)).count();
        let length = (h.end - h.first - places.min(h.end - h.first - 1)) * 2;
        let hit = |parts: Vec<usize>, how| PartHit { first: h.first, end: h.end, parts, how, heads: 0, score: 1.0 };
        if strong.len() == 1 {
            candidates.push((length + 1, Some(hit(strong, How::Exact)), h.first, h.end));
        } else if misheard.len() == 1 && strong.is_empty() && weak.is_empty() && !none {
            let heard = PartHit { score: MISHEARD, ..hit(misheard, How::SoundAlike) };
            candidates.push((length, Some(heard), h.first, h.end));
        } else if none {
            candidates.push((length + 1, None, h.first, h.end));
        } else if strong.is_empty() && h.end == h.first + 1 && (in_place[h.first] || in_saying(hits, lexicon, h)) {
            continue;
        } else if !strong.is_empty() || !weak.is_empty() {
            strong.extend(weak);
            candidates.push((length, Some(hit(strong, How::Context)), h.first, h.end));
        }
    }
    candidates.sort_by_key(|(len, _, first, _)| (std::cmp::Reverse(*len), *first));
    let mut covered = vec![false; last];
    let mut out = Vec::new();
    for (_, hit, first, end) in candidates {
        if cover(&mut covered, first, end) {
            out.extend(hit);
        }
    }
    out.sort_by_key(|p: &PartHit| p.first);
    out
}

/// Words of a saying that outweigh a bare word in it: "tight as a drum".
const SAYING: usize = 4;
/// No saying has more words.
const LONGEST_SAYING: usize = 16;

/// Whether the word of this hit stands in a saying that tells how a part is.
fn in_saying(hits: &[PhraseHit], lexicon: &Lexicon, word: &PhraseHit) -> bool {
    let near = &hits[hits.partition_point(|h| h.first + LONGEST_SAYING < word.end)..];
    let around = near.iter().take_while(|h| h.first <= word.first).filter(|h| h.end >= word.end);
    let verdict = |m: &Meaning| matches!(m, Meaning::Sound { .. } | Meaning::Condition { .. });
    around.filter(|h| h.end - h.first >= SAYING).any(|h| has(lexicon, h, verdict))
}

/// "compressor" + "bracket": the noun right behind a part makes another part, known or not.
fn extend_with_heads(parts: &mut Vec<PartHit>, heads: &[&PhraseHit]) {
    let starts: Vec<(usize, usize)> = parts.iter().map(|p| (p.first, p.end)).collect();
    let mut swallowed = vec![false; parts.len()];
    for i in 0..parts.len() {
        if parts[i].how == How::Context && parts[i].parts.len() > 1 {
            continue;
        }
        loop {
            let end = parts[i].end;
            let Some(h) = heads.get(heads.partition_point(|h| h.first < end)).filter(|h| h.first == end) else { break };
            // the noun may itself be a context word ("pump"): then it is swallowed; a firm part of its own stays
            let k = starts.partition_point(|&(_, e)| e <= h.first);
            if starts.get(k).is_some_and(|&(f, _)| f < h.end) {
                if parts[k].how != How::Context || parts[k].end > h.end {
                    break;
                }
                swallowed[k] = true;
            }
            parts[i].heads += h.end - h.first;
            parts[i].end = h.end;
            parts[i].how = How::Compound;
        }
    }
    let mut k = 0;
    parts.retain(|_| {
        k += 1;
        !swallowed[k - 1]
    });
}

fn places(hits: &[PhraseHit], lexicon: &Lexicon, taken: &[bool], notes: bool) -> Vec<PlaceHit> {
    let mut found: Vec<PlaceHit> = Vec::new();
    for h in hits {
        for m in &lexicon.meanings[h.phrase] {
            if let Meaning::Place { place, short } = m
                && (!short || notes)
                && !taken[h.first..h.end].contains(&true)
            {
                found.push(PlaceHit { first: h.first, end: h.end, place: *place });
                break;
            }
        }
    }
    found.sort_by_key(|p| (std::cmp::Reverse(p.end - p.first), p.first));
    let mut covered = vec![false; taken.len()];
    found.retain(|p| cover(&mut covered, p.first, p.end));
    found.retain(|p| !lexicon.places[p.place].contains(&PlaceWord::Nowhere));
    found.sort_by_key(|p| p.first);
    found
}

/// Signals and cues outside the parts: the longest phrase wins, one phrase may carry several meanings.
fn signals(hits: &[PhraseHit], lexicon: &Lexicon, taken: &[bool]) -> Vec<SignalHit> {
    let mut out = Vec::new();
    for layer in [Layer::Signal, Layer::Preposition, Layer::Bearing, Layer::Reference, Layer::Request, Layer::Story] {
        let mut found: Vec<&PhraseHit> = hits
            .iter()
            .filter(|h| has(lexicon, h, |m| layer_of(m) == Some(layer)) && !taken[h.first..h.end].contains(&true))
            .collect();
        found.sort_by_key(|h| (std::cmp::Reverse(h.end - h.first), h.first));
        let mut covered = vec![false; taken.len()];
        for h in found {
            if !cover(&mut covered, h.first, h.end) {
                continue;
            }
            for m in lexicon.meanings[h.phrase].iter().filter(|m| layer_of(m) == Some(layer)) {
                out.push(SignalHit { first: h.first, end: h.end, meaning: *m });
            }
        }
    }
    out.sort_by_key(|s| s.first);
    out
}

/// Phrases compete for words within a layer only: "on this" points at this vehicle and its "on" is a preposition all the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Layer {
    Signal,
    Preposition,
    Bearing,
    Reference,
    Request,
    Story,
}

fn layer_of(m: &Meaning) -> Option<Layer> {
    Some(match m {
        Meaning::Part { .. } | Meaning::NotPart | Meaning::Head | Meaning::Place { .. } => return None,
        Meaning::Cue(Cue::Want | Cue::Fresh | Cue::LimitBehind) => Layer::Request,
        Meaning::Cue(Cue::Landmark | Cue::Within | Cue::NoPreposition) => Layer::Preposition,
        Meaning::Cue(
            Cue::General
            | Cue::Specific
            | Cue::Hypothetical
            | Cue::Hearsay
            | Cue::Summary
            | Cue::NewTopic
            | Cue::Join
            | Cue::Limit,
        ) => Layer::Bearing,
        Meaning::Cue(
            Cue::ThisOne | Cue::SameAgain | Cue::OtherOne | Cue::Both | Cue::AllOf | Cue::RestOf | Cue::Ordinal,
        ) => Layer::Reference,
        Meaning::Cue(Cue::Noted | Cue::OtherVehicle) => Layer::Story,
        _ => Layer::Signal,
    })
}
