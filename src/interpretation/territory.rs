//! Owns the words that count for a mention: before it, behind it, and in the clauses up to the next part.

use crate::lexicon::Cue;
use crate::matching::How;
use crate::text::Boundary;

use super::exception;
use super::mention::{Naming, Scene};
use super::polarity::{Says, Signal};
use super::reading::Reading;

/// Where in a mention's territory words stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Zone {
    /// In earlier clauses of the sentence that name no part ("Loose, king pin").
    Lead,
    /// In the same clause, in front.
    Before,
    /// In the same clause, behind.
    After,
    /// In the next clause.
    Next,
    /// In later clauses.
    Later,
}

impl Zone {
    /// Short name used in feature names.
    pub fn as_str(self) -> &'static str {
        match self {
            Zone::Lead => "lead",
            Zone::Before => "before",
            Zone::After => "after",
            Zone::Next => "next",
            Zone::Later => "later",
        }
    }
}

/// A run of tokens of one zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Which zone.
    pub zone: Zone,
    /// First token.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
}

impl Stretch {
    /// Whether the words lead up to the part.
    pub fn before_the_part(&self) -> bool {
        matches!(self.zone, Zone::Before | Zone::Lead)
    }

    /// Whether an exception is made in the words.
    pub fn holds_exception(&self, r: &Reading) -> bool {
        self.exception(r).is_some()
    }

    /// The signals as they hold for the part: "all fine except the left lamp" means the opposite for what stands behind the
    /// exception, and what follows "except" tells nothing of the part before it.
    pub fn signals(&self, r: &Reading) -> Vec<Signal> {
        let mut signals = r.signals_in(self.first, self.end).to_vec();
        let Some(at) = self.exception(r) else { return signals };
        if self.before_the_part() {
            for x in signals.iter_mut().filter(|x| x.first < at) {
                x.says = x.opposite.unwrap_or(x.says);
            }
        } else if self.zone == Zone::After {
            signals.retain(|x| x.first < at);
        }
        signals
    }

    /// Token of the last exception in the words.
    fn exception(&self, r: &Reading) -> Option<usize> {
        r.signals_in(self.first, self.end).iter().rev().find(|x| x.says == Says::Cue(Cue::Except)).map(|x| x.first)
    }
}

/// Clauses behind a mention that still count for it.
const CLAUSES_AHEAD: usize = 5;
const TOKENS_AHEAD: usize = 36;
/// Mentions looked at for the next subject.
const MENTIONS_AHEAD: usize = 40;
const SENTENCES_AHEAD: usize = 2;
/// Tokens behind a mention in which a clause of the same sentence still belongs to it like its own.
const SAME_BREATH: usize = 12;
/// Stretches taken over from the mention that another one copies.
const MOST_COPIED: usize = 8;

/// The territory of every mention.
pub fn territories(reading: &Reading, scene: &Scene) -> Vec<Vec<Stretch>> {
    let mut out: Vec<Vec<Stretch>> = Vec::with_capacity(scene.mentions.len());
    let groups = groups(scene);
    for i in 0..scene.mentions.len() {
        let mut t = territory(reading, scene, groups[scene.mentions[i].group]);
        if let Some(from) = scene.mentions[i].counts_from {
            t.retain_mut(|s| {
                s.first = s.first.max(from);
                s.first < s.end
            });
        }
        // "same on the other side" says what was said of the part it copies
        if let Some(source) = scene.mentions[i].copies.filter(|s| *s < i) {
            let copied: Vec<Stretch> = out[source].iter().copied().take(MOST_COPIED).collect();
            t.extend(copied);
        }
        out.push(t);
    }
    out
}

/// First and last mention of each group.
fn groups(scene: &Scene) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for (i, m) in scene.mentions.iter().enumerate() {
        match out.get_mut(m.group) {
            Some(g) => g.1 = i,
            None => out.push((i, i)),
        }
    }
    out
}

fn territory(r: &Reading, scene: &Scene, (head, tail): (usize, usize)) -> Vec<Stretch> {
    let ms = &scene.mentions;
    let (first, end) = (ms[head].first, ms[tail].end);
    let clause = r.clause_of[first];
    let start = r.clauses[clause].first;
    let previous_end = if head > 0 { ms[head - 1].end } else { 0 };
    let mut out = Vec::new();
    // earlier clauses of the same sentence that name no part
    let mut k = clause;
    let mut lead = start;
    while k > 0
        && clause - k < 3
        && r.clauses[k].before < Boundary::Strong
        && r.clauses[k - 1].first >= previous_end
        && r.clauses[k].first.saturating_sub(r.clauses[k - 1].first) <= 14
    {
        k -= 1;
        lead = r.clauses[k].first;
    }
    // what holds for all but the part is told by the exception
    if lead < start && exception::cue_before(r, first).is_none() {
        out.push(Stretch { zone: Zone::Lead, first: lead, end: start });
    }
    let before = start.max(previous_end).max(first.saturating_sub(TOKENS_AHEAD));
    if before < first {
        out.push(Stretch { zone: Zone::Before, first: before, end: first });
    }
    // the words between the members of a group are nobody's; behind it they are everybody's
    let next = next_subject(r, scene, tail);
    let clause_end = r.clauses[r.clause_of[end - 1]].end;
    let after = clause_end.min(next).min(end + TOKENS_AHEAD).max(end);
    // a code read out is both the part's name and the fault
    let from = if ms[tail].how == How::Code { ms[tail].first } else { end };
    if from < after {
        out.push(Stretch { zone: Zone::After, first: from, end: after });
    }
    let limit = own_ground(r, scene, tail, next);
    let home = r.sentence_of(end - 1);
    for (ahead, c) in r.clauses[r.clause_of[end - 1] + 1..].iter().enumerate() {
        // "everything else is fine" says nothing of this part
        if r.has_cue(c.first, c.end, Cue::RestOf) {
            break;
        }
        let far = if r.notes {
            r.tokens[c.first].span.utterance != r.tokens[end - 1].span.utterance
        } else {
            c.sentence > home + SENTENCES_AHEAD
        };
        if c.first >= limit || ahead >= CLAUSES_AHEAD || c.first > end + TOKENS_AHEAD || far {
            break;
        }
        let zone = match c.sentence - home {
            0 if c.first <= end + SAME_BREATH => Zone::After,
            0 | 1 if ahead <= 2 => Zone::Next,
            _ => Zone::Later,
        };
        out.push(Stretch { zone, first: c.first, end: c.end.min(limit) });
    }
    out
}

/// First token of the next mention that takes the talk over; a part that only tells where ("onto the manifold") does not.
fn next_subject(r: &Reading, scene: &Scene, i: usize) -> usize {
    scene
        .mentions
        .iter()
        .skip(i + 1)
        // what comes later than a territory reaches needs no looking at
        .take(MENTIONS_AHEAD)
        .find(|m| {
            let tells_where = m.preposition == Some(Cue::Landmark)
                || (m.preposition == Some(Cue::Within) && r.clause_of[m.first] == r.clause_of[scene.mentions[i].first]);
            let mine = &scene.mentions[i];
            // the same part named again speaks on, unless it is at another place
            let other = m.component != mine.component || m.naming != Naming::Named || m.own.differs(mine.own);
            !tells_where && m.score > 0.65 && other
        })
        .map_or(r.tokens.len(), |m| m.first)
}

/// Where the clauses ahead stop: at the sentence of the next subject, or at an announced place.
fn own_ground(r: &Reading, scene: &Scene, i: usize, next: usize) -> usize {
    let end = scene.mentions[i].end;
    let mut limit = next;
    if next < r.tokens.len() {
        let here = r.clause_of[end - 1];
        let mut k = r.clause_of[next];
        // "Plenty left, brake pads": the clauses that lead to the next part in its sentence are its own
        while k > here + 1 && r.clauses[k].before < Boundary::Strong {
            k -= 1;
        }
        if r.clauses[k].before >= Boundary::Strong {
            limit = limit.min(r.clauses[k].first);
        }
    }
    if let Some((t, _)) = scene.announcements.iter().find(|(t, _)| *t >= end) {
        limit = limit.min(r.clauses[r.clause_of[*t]].first.max(end));
    }
    limit
}
