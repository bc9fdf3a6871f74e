//! Owns corrections: "left rear, no, right rear", "make that five", "hold on, it's fine". What is taken back stays visible as
//! withdrawn; words taken back whole ("scratch that") are dealt with in [`super::withdrawal`].

use crate::lexicon::{Cue, Lexicon};
use crate::text::{Boundary, Kind, Token, Unit};

use super::mention::{Mention, Naming, Scene};
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
pub(super) const BACK: usize = 32;
/// Tokens behind the cue in which the right word comes.
const AHEAD: usize = 16;
/// Tokens behind a correction whose further cues only explain it ("…, wrote the wrong side").
const EXPLAINS: usize = 16;

/// How a correction begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kin {
    /// "Scratch that".
    Withdraw,
    /// "Sorry", "I mean".
    Amend,
    /// A "no" that stands alone.
    Bare,
    /// "That's unit sixteen".
    OtherVehicle,
}

/// Words that begin a correction: a run of cues is one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turn {
    pub(super) first: usize,
    pub(super) end: usize,
    pub(super) kin: Kin,
    /// First token of the next one.
    pub(super) next: usize,
}

/// Works the corrections into the scene.
pub(super) struct Corrector<'a> {
    pub(super) r: &'a Reading,
    pub(super) scene: &'a mut Scene,
    lexicon: &'a Lexicon,
    drives_on: DrivesOn,
    pub(super) taken: Vec<TakenBack>,
    numbers: Vec<(usize, usize)>,
    units: Vec<(usize, Unit)>,
}

/// What the corrections come to.
#[derive(Debug, Default)]
pub struct Corrected {
    /// What was taken back.
    pub taken: Vec<TakenBack>,
    /// Ranges of tokens that hold withdrawn numbers.
    pub numbers: Vec<(usize, usize)>,
    /// Units of right numbers said without one, by the number's first token.
    pub units: Vec<(usize, Unit)>,
}

/// Applies the corrections to the scene.
pub fn apply(r: &Reading, scene: &mut Scene, lexicon: &Lexicon, drives_on: DrivesOn) -> Corrected {
    let mut c = Corrector { r, scene, lexicon, drives_on, taken: Vec::new(), numbers: Vec::new(), units: Vec::new() };
    c.denials();
    let mut done_until = 0;
    for t in turns(r) {
        if t.first < done_until {
            continue;
        }
        if c.correct(&t) {
            done_until = c.explained(t.end);
        }
    }
    c.taken.dedup();
    Corrected { taken: c.taken, numbers: c.numbers, units: c.units }
}

/// The cues in order. A bare "no" between marks counts as one.
fn turns(r: &Reading) -> Vec<Turn> {
    let mut out: Vec<(usize, usize, Kin)> = r
        .signals
        .iter()
        .filter_map(|s| match s.says {
            Says::Cue(Cue::Withdraw) => Some((s.first, s.end, Kin::Withdraw)),
            Says::Cue(Cue::Amend) => Some((s.first, s.end, Kin::Amend)),
            Says::Cue(Cue::OtherVehicle) => Some((s.first, s.end, Kin::OtherVehicle)),
            _ => None,
        })
        .collect();
    for (i, t) in r.tokens.iter().enumerate() {
        let mark = |n: Option<&Token>| n.is_some_and(|t| !t.is_wordlike());
        if matches!(t.word.as_str(), "no" | "nope") && i > 0 && mark(r.tokens.get(i - 1)) && mark(r.tokens.get(i + 1)) {
            // "Right, nope": an answer to its own place
            let answers = r.mentions.places.binary_search_by_key(&(i - 1), |p| p.end).is_ok_and(|n| {
                let first = r.mentions.places[n].first;
                let c = r.clauses[r.clause_of[first]];
                c.first == first && c.before >= Boundary::Strong
            });
            if !answers {
                out.push((i, i + 1, Kin::Bare));
            }
        }
        if matches!(t.word.as_str(), "strike" | "ignore" | "cancel" | "void" | "disregard" | "scratched")
            && (t.opens_line || mark(i.checked_sub(1).and_then(|p| r.tokens.get(p))))
            && mark(r.tokens.get(i + 1))
        {
            out.push((i, i + 1, Kin::Withdraw));
        }
    }
    out.sort_by_key(|c| (c.0, c.1));
    // a run of cues ("no, sorry, I mean") is one: the last end counts, and the strongest kind
    let mut runs: Vec<Turn> = Vec::new();
    for (first, end, kin) in out {
        match runs.last_mut() {
            Some(l) if first <= l.end + 2 => {
                l.end = l.end.max(end);
                l.kin = match (l.kin, kin) {
                    (Kin::Withdraw, _) | (_, Kin::Withdraw) => Kin::Withdraw,
                    (Kin::OtherVehicle, _) | (_, Kin::OtherVehicle) => Kin::OtherVehicle,
                    (Kin::Bare, k) | (k, _) => k,
                };
            }
            _ => runs.push(Turn { first, end, kin, next: r.tokens.len() }),
        }
    }
    for n in 1..runs.len() {
        runs[n - 1].next = runs[n].first;
    }
    runs
}

impl Corrector<'_> {
    fn correct(&mut self, t: &Turn) -> bool {
        match t.kin {
            Kin::Withdraw => self.number(t) || self.place(t) || self.withdraw(t),
            Kin::OtherVehicle => self.withdraw(t),
            Kin::Amend | Kin::Bare => {
                self.number(t) || self.place(t) || self.part(t) || self.noted_denied(t) || self.turned(t)
            }
        }
    }

    /// The words up to the end of the sentence explain a correction ("I was reading the wrong row").
    fn explained(&self, end: usize) -> usize {
        let last = end.min(self.r.tokens.len()) - 1;
        let sentence = self.r.sentence_of(last);
        (end..(end + EXPLAINS).min(self.r.tokens.len())).take_while(|t| self.r.sentence_of(*t) == sentence).count()
            + end
    }

    /// Number of mentions whose words begin before this token.
    pub(super) fn before(&self, token: usize) -> usize {
        self.scene.mentions.partition_point(|m| m.first < token)
    }

    pub(super) fn take_back(&mut self, i: usize) {
        let m = &mut self.scene.mentions[i];
        if !m.withdrawn {
            m.withdrawn = true;
            self.taken.push(TakenBack { mention: i, place: m.place });
        }
    }

    /// Firm words of a verdict in `from..to`: whether some speak of a fault, and whether some say all is well.
    pub(super) fn verdicts(&self, from: usize, to: usize) -> (bool, bool) {
        let said = self.r.signals_in(from, to.max(from));
        let bad = said.iter().any(|s| s.is_fault() && !s.weak);
        let good = said.iter().any(|s| matches!(s.says, Says::Sound { .. } | Says::Serviced) && !s.weak);
        (bad, good)
    }

    fn says_something(&self, from: usize, to: usize) -> bool {
        let (bad, good) = self.verdicts(from, to);
        bad || good || self.r.measured_in(from, to.max(from))
    }

    /// "Three millimetres, make that five."
    fn number(&mut self, t: &Turn) -> bool {
        let r = self.r;
        let skipped = |at: &usize| {
            let w = &r.tokens[*at];
            !w.is_wordlike() || matches!(w.word.as_str(), "it" | "'s" | "make" | "that" | "call")
        };
        let at = t.end + (t.end..(t.end + 4).min(r.tokens.len())).take_while(skipped).count();
        if !r.measures_in(at, at + 1).iter().any(|m| m.first == at) {
            return false;
        }
        let known = r.measures.partition_point(|m| m.first < t.first);
        let wrong = r.measures[..known].last().filter(|m| m.end <= t.first && t.first - m.end <= 6);
        self.numbers.extend(wrong.map(|m| (m.first, m.end)));
        // "four thirty-seconds, make that two": the right number is in the wrong one's unit
        self.units.extend(wrong.and_then(|m| m.unit).map(|unit| (at, unit)));
        wrong.is_some()
    }

    /// A place behind the cue that excludes the one said before it: the part was at the second.
    fn place(&mut self, t: &Turn) -> bool {
        let r = self.r;
        let at = r.mentions.places.partition_point(|p| p.first < t.end);
        let said = |n: usize| Place::from_words(&self.lexicon.places[r.mentions.places[n].place], self.drives_on);
        let ahead = (at..r.mentions.places.len()).take_while(|n| r.mentions.places[*n].first < t.end + AHEAD);
        let Some((n, right)) = ahead.filter_map(|n| said(n).map(|p| (n, p))).next() else {
            return false;
        };
        let found = r.mentions.places[n].first;
        // a verdict between them: the talk has gone on to the other place
        let parted = t.kin == Kin::Bare || r.sentence_of(found) > r.sentence_of(t.end - 1);
        if parted && found > t.end + 4 && self.says_something(t.end, found) {
            return false;
        }
        let known = self.before(t.first);
        let ahead: Vec<usize> = (known..self.scene.mentions.len())
            .take_while(|k| self.scene.mentions[*k].first < t.end + AHEAD + 4)
            .filter(|k| self.scene.mentions[*k].first >= t.end)
            .collect();
        let mut back = (0..known)
            .rev()
            .take_while(|k| t.first.saturating_sub(self.scene.mentions[*k].first) <= BACK)
            .filter(|k| self.scene.mentions[*k].preposition != Some(Cue::Landmark));
        let Some(nearest) = back.clone().next() else { return false };
        // the part that is named again behind the cue is meant, where one of the last sentence is
        let sentence = r.sentence_of(self.scene.mentions[nearest].first);
        let repeated = |k: &usize| {
            let m = &self.scene.mentions[*k];
            r.sentence_of(m.first) == sentence
                && ahead.iter().any(|a| {
                    let again = &self.scene.mentions[*a];
                    again.component == m.component && again.place.clashes(m.place)
                })
        };
        let i = back.find(repeated).unwrap_or(nearest);
        let wrong_said = (0..r.mentions.places.partition_point(|p| p.end <= t.first))
            .rev()
            .take_while(|n| t.first - r.mentions.places[*n].end <= BACK)
            .any(|n| said(n).is_some_and(|p| p.differs(right)));
        let wrong = self.scene.mentions[i].place;
        if !wrong_said && !wrong.clashes(right) {
            return false;
        }
        let component = self.scene.mentions[i].component;
        let again = ahead.iter().copied().find(|k| {
            let m = &self.scene.mentions[*k];
            m.component == component && m.place.clashes(wrong)
        });
        if let Some(k) = again {
            // "the lower ball joint has play. No, sorry, the upper one": the play is the upper one's
            let bare = self.scene.mentions[k].naming != Naming::Named;
            if bare && !self.says_something(self.scene.mentions[k].end, self.own_end(k)) {
                self.scene.mentions[k].copies = Some(i);
            }
            // "Rear pads… No, front wheels are off. Front pads": all said of the wrong ones goes
            if self.says_something(t.end, self.scene.mentions[k].first) && t.kin == Kin::Bare {
                return false;
            }
            let stale = |m: &Mention| m.component == component && m.place == wrong;
            let first = (0..=i).rev().take_while(|k| stale(&self.scene.mentions[*k])).last().unwrap_or(i);
            (first..known)
                .filter(|k| self.scene.mentions[*k].place == wrong)
                .collect::<Vec<_>>()
                .into_iter()
                .for_each(|k| self.take_back(k));
            return true;
        }
        let named_again = ahead.first().copied();
        match named_again.map(|k| (k, &self.scene.mentions[k])) {
            Some((_, m)) if m.component == component => return false,
            // the place belongs to another part: nothing is corrected here
            Some((_, m)) if m.naming == Naming::Named && m.first < t.end + 6 => return false,
            _ => {}
        }
        let corrected = wrong.overridden_by(right);
        if corrected == wrong {
            return false;
        }
        let m = &mut self.scene.mentions[i];
        m.place = corrected;
        m.own = m.own.overridden_by(right);
        self.taken.push(TakenBack { mention: i, place: wrong });
        if let Some(k) = named_again.filter(|k| self.scene.mentions[*k].naming != Naming::Named) {
            self.scene.mentions[k].place = corrected;
        }
        true
    }

    /// "…the tank strap, no, the skid plate": a part right behind the cue takes the place of the one right before it.
    fn part(&mut self, t: &Turn) -> bool {
        let r = self.r;
        let k = self.before(t.end);
        let Some(i) = k.checked_sub(1) else { return false };
        let Some(right) = self.scene.mentions.get(k).filter(|m| m.first <= t.end + 6 && m.naming == Naming::Named)
        else {
            return false;
        };
        // nothing but small words may stand between: "hang on, let me chalk the pushrod" corrects nothing
        let small = |at: usize| {
            let w = &r.tokens[at];
            !w.is_wordlike()
                || matches!(
                    w.norm.as_str(),
                    "the" | "a" | "an" | "your" | "his" | "her" | "its" | "that" | "this" | "'s" | "it" | "is" | "was"
                )
                || right.place_words.iter().any(|p| p.0 <= at && at < p.1)
        };
        let wrong = &self.scene.mentions[i];
        let near = wrong.first < t.first && t.first.saturating_sub(wrong.end) <= 6;
        let same_sentence = r.sentence_of(wrong.first) + 1 >= r.sentence_of(right.first);
        if !near || !same_sentence || wrong.component == right.component || !(t.end..right.first).all(small) {
            return false;
        }
        // "no, the strap is fine" answers, it does not correct
        if t.kin == Kin::Bare && self.says_something(wrong.end, t.first) && self.asked(t) {
            return false;
        }
        self.take_back(i);
        // what was said of the wrong part holds for the right one, unless something else is said of that
        let until = self.own_end(k);
        if !self.says_something(self.scene.mentions[k].end, until) {
            self.scene.mentions[k].copies = Some(i);
        }
        true
    }

    /// Whether the clause before the cue asks, or somebody else spoke it.
    fn asked(&self, t: &Turn) -> bool {
        t.first.checked_sub(1).is_some_and(|p| self.r.tokens[p].kind == Kind::Speaker) || self.asks_before(t)
    }

    /// Whether the clause before the cue asks.
    pub(super) fn asks_before(&self, t: &Turn) -> bool {
        let here = self.r.clause_of[t.first];
        here.checked_sub(1).is_some_and(|p| self.r.clauses[p].asks)
    }

    /// "Plate lamp, dead. Oh, wait. There it goes, it's fine": the later verdict of the same part counts alone.
    fn turned(&mut self, t: &Turn) -> bool {
        if self.asked(t) {
            return false;
        }
        let Some(i) = self.subject(t) else { return false };
        let next = self.scene.mentions[self.before(t.end)..]
            .iter()
            .find(|m| m.naming != Naming::Named || m.preposition.is_none() && m.score > 0.65)
            .map_or(self.r.tokens.len(), |m| m.first);
        let here = self.r.sentence_of(t.first);
        let until = next.min(t.next).min(t.end + BACK);
        let until = (t.end..until.max(t.end)).find(|at| self.r.sentence_of(*at) > here + 2).unwrap_or(until);
        let start = self.r.clauses[self.r.clause_of[self.scene.mentions[i].first]].first;
        let turned = match (self.verdicts(start, t.first), self.verdicts(t.end, until)) {
            ((true, false), (false, true)) => true,
            ((false, true), (true, false)) => t.kin == Kin::Amend,
            _ => false,
        };
        if turned {
            self.scene.mentions[i].counts_from = Some(t.end);
        }
        turned
    }
}
