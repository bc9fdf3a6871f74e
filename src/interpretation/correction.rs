//! Owns corrections: "left rear, no, right rear", "scratch that", "make that five". What is withdrawn stays visible as withdrawn.

use crate::lexicon::{Cue, Lexicon};
use crate::text::Kind;

use super::mention::{Naming, Scene};
use super::place::{DrivesOn, Place};
use super::polarity::Says;
use super::reading::Reading;

/// A part at a place that was said and taken back, with the mention it was said in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenBack {
    /// Mention whose words were taken back.
    pub mention: usize,
    /// Where it was said to be.
    pub place: Place,
}

/// Tokens a correction may look back over for what it corrects.
const BACK: usize = 32;
/// Tokens behind the cue in which the right word comes.
const AHEAD: usize = 14;

/// Applies the corrections to the scene and returns what was taken back. Ranges of tokens that hold withdrawn numbers are
/// returned too.
pub fn apply(
    r: &Reading,
    scene: &mut Scene,
    lexicon: &Lexicon,
    drives_on: DrivesOn,
) -> (Vec<TakenBack>, Vec<(usize, usize)>) {
    let mut taken = Vec::new();
    let mut numbers = Vec::new();
    let mut done_until = 0;
    let cues: Vec<(usize, usize, bool)> = cues(r);
    for (n, &(first, end, withdraw)) in cues.iter().enumerate() {
        if first < done_until {
            continue;
        }
        let next_cue = cues.get(n + 1).map_or(r.tokens.len(), |c| c.0);
        if number_follows(r, end)
            && let Some(wrong) = r.measures.iter().rev().find(|m| m.end <= first && first - m.end <= 6)
        {
            numbers.push((wrong.first, wrong.end));
            done_until = end;
            continue;
        }
        let bare = end == first + 1 && matches!(r.tokens[first].word.as_str(), "no" | "nope");
        if place_follows(r, scene, lexicon, drives_on, (first, end), bare, &mut taken) {
            done_until = end + 6;
            continue;
        }
        if withdraw {
            if withdraw_before(r, scene, first, end, next_cue, &mut taken) {
                done_until = end;
            }
        } else if part_follows(r, scene, first, end, &mut taken) {
            done_until = end;
        }
    }
    (taken, numbers)
}

/// Correction cues in order: first, end, whether it withdraws. A bare "no" between marks counts as one that amends.
fn cues(r: &Reading) -> Vec<(usize, usize, bool)> {
    let mut out: Vec<(usize, usize, bool)> = r
        .signals
        .iter()
        .filter_map(|s| match s.says {
            Says::Cue(Cue::Withdraw) => Some((s.first, s.end, true)),
            Says::Cue(Cue::Amend) => Some((s.first, s.end, false)),
            _ => None,
        })
        .collect();
    for (i, t) in r.tokens.iter().enumerate() {
        if matches!(t.word.as_str(), "no" | "nope")
            && i > 0
            && matches!(r.tokens[i - 1].kind, Kind::Mark(_) | Kind::Speaker)
            && r.tokens.get(i + 1).is_some_and(|n| matches!(n.kind, Kind::Mark(',' | '.' | '…')))
        {
            out.push((i, i + 1, false));
        }
    }
    out.sort_unstable();
    // a run of cues ("no, sorry, I mean") is one: the last end counts, and the strongest kind
    let mut runs: Vec<(usize, usize, bool)> = Vec::new();
    for c in out {
        match runs.last_mut() {
            Some(l) if c.0 <= l.1 + 2 => {
                l.1 = l.1.max(c.1);
                l.2 |= c.2;
            }
            _ => runs.push(c),
        }
    }
    runs
}

fn number_follows(r: &Reading, end: usize) -> bool {
    let mut at = end;
    while r.tokens.get(at).is_some_and(|t| {
        matches!(t.kind, Kind::Mark(_)) || matches!(t.word.as_str(), "it" | "'s" | "make" | "that" | "call")
    }) && at < end + 4
    {
        at += 1;
    }
    r.measures.iter().any(|m| m.first == at)
}

/// A place behind the cue that excludes the one said before it: the part was at the second.
#[allow(clippy::too_many_arguments)]
fn place_follows(
    r: &Reading,
    scene: &mut Scene,
    lexicon: &Lexicon,
    drives_on: DrivesOn,
    (first, end): (usize, usize),
    bare: bool,
    taken: &mut Vec<TakenBack>,
) -> bool {
    let ahead = if bare { 5 } else { AHEAD };
    let says = |n: usize| Place::from_words(&lexicon.places[r.mentions.places[n].place], drives_on);
    let Some(right) = r
        .mentions
        .places
        .iter()
        .enumerate()
        .filter(|(_, p)| p.first >= end && p.first < end + ahead)
        .find_map(|(n, _)| says(n))
    else {
        return false;
    };
    // what stands right behind the place must not be another part than the one corrected
    let Some(i) = scene
        .mentions
        .iter()
        .rposition(|m| m.first < first && first - m.first <= BACK && m.preposition != Some(Cue::Landmark))
    else {
        return false;
    };
    let wrong_said = r
        .mentions
        .places
        .iter()
        .enumerate()
        .rev()
        .filter(|(_, p)| p.end <= first && first - p.end <= BACK)
        .find_map(|(n, _)| says(n).filter(|p| p.differs(right)));
    let wrong = scene.mentions[i].place;
    let named_again = scene.mentions.iter().position(|m| m.first >= end && m.first < end + AHEAD + 4);
    if wrong_said.is_none() && !wrong.clashes(right) {
        return false;
    }
    match named_again {
        Some(k) if scene.mentions[k].component == scene.mentions[i].component => {
            if scene.mentions[k].place == wrong {
                return false;
            }
            scene.mentions[i].withdrawn = true;
            taken.push(TakenBack { mention: i, place: wrong });
        }
        // the place belongs to another part: nothing is corrected here
        Some(k) if scene.mentions[k].naming == Naming::Named && scene.mentions[k].first < end + 6 => return false,
        _ => {
            let corrected = wrong.overridden_by(right);
            if corrected == wrong {
                return false;
            }
            scene.mentions[i].place = corrected;
            scene.mentions[i].own = scene.mentions[i].own.overridden_by(right);
            taken.push(TakenBack { mention: i, place: wrong });
            if let Some(k) = named_again.filter(|k| scene.mentions[*k].naming != Naming::Named) {
                scene.mentions[k].place = corrected;
            }
        }
    }
    true
}

/// "Scratch that": the mention before it goes, unless what follows speaks on about the same part.
fn withdraw_before(
    r: &Reading,
    scene: &mut Scene,
    first: usize,
    end: usize,
    next_cue: usize,
    taken: &mut Vec<TakenBack>,
) -> bool {
    let Some(i) = scene.mentions.iter().rposition(|m| {
        m.first < first && first - m.first <= BACK * 2 && m.preposition != Some(Cue::Landmark) && !m.withdrawn
    }) else {
        return false;
    };
    let next_part = scene.mentions.iter().skip(i + 1).find(|m| m.first >= end).map_or(r.tokens.len(), |m| m.first);
    let sentence = r.sentence_of(first);
    let speaks_on = r.signals_in(end, next_part.min(next_cue).min(end + 30)).iter().any(|s| {
        matches!(s.says, Says::Defect(_) | Says::SomeDefect | Says::Sound { .. } | Says::Unchecked | Says::Serviced)
            && r.sentence_of(s.first) <= sentence + 1
    });
    let same_sentence_part = next_part < r.tokens.len() && r.sentence_of(next_part) <= sentence + 1;
    if speaks_on && !same_sentence_part {
        scene.mentions[i].counts_from = Some(end);
        return true;
    }
    let group = scene.mentions[i].group;
    for k in 0..=i {
        if scene.mentions[k].group == group {
            scene.mentions[k].withdrawn = true;
            let place = scene.mentions[k].place;
            taken.push(TakenBack { mention: k, place });
        }
    }
    true
}

/// "…the tank strap, no, the skid plate": a part right behind the cue takes the place of the one right before it.
fn part_follows(r: &Reading, scene: &mut Scene, first: usize, end: usize, taken: &mut Vec<TakenBack>) -> bool {
    let Some(k) = scene.mentions.iter().position(|m| m.first >= end && m.first <= end + 7 && m.naming == Naming::Named)
    else {
        return false;
    };
    let Some(i) = k
        .checked_sub(1)
        .filter(|i| first.saturating_sub(scene.mentions[*i].end) <= 6 && scene.mentions[*i].first < first)
    else {
        return false;
    };
    let same_sentence = r.sentence_of(scene.mentions[i].first) + 1 >= r.sentence_of(scene.mentions[k].first);
    if !same_sentence || scene.mentions[i].component == scene.mentions[k].component {
        return false;
    }
    scene.mentions[i].withdrawn = true;
    let place = scene.mentions[i].place;
    taken.push(TakenBack { mention: i, place });
    true
}
