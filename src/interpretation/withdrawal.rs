//! Owns words taken back whole: "scratch that", "cross out your gasket", "that's unit sixteen", "it's not the link".

use crate::lexicon::Cue;

use super::correction::{BACK, Corrector, Kin, Turn};
use super::polarity::Says;

/// Sentences a withdrawal reaches back over.
const SENTENCES_BACK: usize = 3;
/// Mentions a part taken back by its name is searched among.
const NAMED_BACK: usize = 60;

impl Corrector<'_> {
    /// Takes back the mention the words of the turn mean, or that part of it that they put right.
    pub(super) fn withdraw(&mut self, t: &Turn) -> bool {
        if !self.is_withdrawal(t) {
            return false;
        }
        if t.kin == Kin::Withdraw
            && let Some(k) = self.named_in(t)
        {
            return self.take_back_named(k, t);
        }
        let Some(i) = self.noted_before(t).or_else(|| self.subject(t)) else { return false };
        if t.kin == Kin::Withdraw && self.speaks_on(i, t) {
            self.scene.mentions[i].counts_from = Some(t.end);
            return true;
        }
        if let Some(from) = self.righted(i, t) {
            return self.keep_righted(i, from);
        }
        self.take_back_breath(i, self.before(t.first));
        true
    }

    /// Takes back a mention with what was named in one breath with it.
    fn take_back_breath(&mut self, i: usize, until: usize) {
        let m = self.scene.mentions[i].clone();
        let clause = self.r.clause_of[m.first];
        let head = (0..=i).rev().take_while(|k| i - k < 8 && self.r.clause_of[self.scene.mentions[*k].first] == clause);
        for k in head.last().unwrap_or(i)..until {
            let o = &self.scene.mentions[k];
            let here = self.r.clause_of[o.first] == clause;
            if o.group == m.group || here && (k >= i || o.component == m.component) {
                self.take_back(k);
            }
        }
    }

    /// "a long scratch that has been there" takes nothing back, nor does talk of another vehicle that has not been called ours.
    fn is_withdrawal(&self, t: &Turn) -> bool {
        let r = self.r;
        let c = r.clauses[r.clause_of[t.first]];
        match t.kin {
            Kin::OtherVehicle => {
                let short = (c.first..c.end).filter(|&k| r.tokens[k].is_wordlike()).count() <= 4;
                let points = |k: usize| {
                    matches!(
                        r.tokens[k].norm.as_str(),
                        "that" | "thats" | "it" | "its" | "no" | "nope" | "i'm" | "i" | "wrong"
                    )
                };
                !c.asks && (short || (c.first..t.end).any(points))
            }
            _ => {
                // verbs that also name a fault open their clause, or follow "no", "and", "so", "you can"
                let doubtful =
                    matches!(r.tokens[t.first].norm.as_str(), "scratch" | "scrub" | "strike" | "drop" | "bin");
                let opens = t.first <= c.first + 1
                    || matches!(
                        r.tokens[t.first - 1].norm.as_str(),
                        "no" | "and" | "so" | "then" | "can" | "to" | "please" | "actually" | "better" | "well" | "i'd"
                    );
                !doubtful || opens
            }
        }
    }

    /// The mention named in the words of the withdrawal: "cross out your gasket", "take the right one off the sheet".
    fn named_in(&self, t: &Turn) -> Option<usize> {
        let c = self.r.clauses[self.r.clause_of[t.first]];
        let k = self.before(t.end);
        let behind = self.scene.mentions.get(k).filter(|m| m.first <= t.end + 4 && m.first < c.end.max(t.end + 1));
        if behind.is_some() {
            return Some(k);
        }
        // in front only where the verb stands in front of it: "take … off the sheet"
        let off = self.r.tokens[t.first].norm == "off";
        k.checked_sub(1)
            .filter(|i| off && self.scene.mentions[*i].first >= c.first && self.scene.mentions[*i].first < t.first)
    }

    /// Takes back what was said before of a part named again, and the naming itself.
    fn take_back_named(&mut self, k: usize, t: &Turn) -> bool {
        let m = self.scene.mentions[k].clone();
        let low = k.saturating_sub(NAMED_BACK);
        let same = |i: &usize| {
            let o = &self.scene.mentions[*i];
            o.component == m.component && !o.place.clashes(m.place) && !o.withdrawn
        };
        let earlier: Vec<usize> = (low..k).filter(same).collect();
        // "Caliper's golden, forget the caliper": praise said beside it stays
        let from = earlier.last().and_then(|&i| self.righted(i, t));
        for &i in &earlier {
            let praised = from.is_some_and(|f| self.scene.mentions[i].first >= f);
            if !praised {
                self.take_back(i);
            }
        }
        if self.speaks_on(k, t) {
            self.scene.mentions[k].counts_from = Some(t.end);
        } else if from.is_none() {
            self.take_back(k);
        }
        true
    }

    /// The mention a cue speaks of: the nearest, or one of its sentence with a verdict; where nothing was said of that, the
    /// nearest with a fault.
    pub(super) fn subject(&self, t: &Turn) -> Option<usize> {
        let sentence = |k: usize| self.r.sentence_of(self.scene.mentions[k].first);
        let here = self.r.sentence_of(t.first);
        let near = (0..self.before(t.first)).rev().take_while(|&k| {
            t.first.saturating_sub(self.scene.mentions[k].first) <= BACK * 2
                && here.saturating_sub(sentence(k)) <= SENTENCES_BACK
        });
        let near: Vec<usize> = near.filter(|k| !self.scene.mentions[*k].withdrawn).collect();
        let landmark = |k: usize| self.scene.mentions[k].preposition == Some(Cue::Landmark);
        let said = |k: usize| self.verdicts(self.lead(k), self.own_end(k).min(t.first));
        let nearest = near.iter().copied().find(|k| !landmark(*k));
        let low = nearest.map_or(0, sentence);
        // "a drip off the heater hose": with nothing nearer, the hose is meant
        let leaks = near.iter().copied().find(|k| landmark(*k) && sentence(*k) > low && said(*k).0);
        if leaks.is_some() {
            return leaks;
        }
        let i = nearest?;
        if said(i) != (false, false) || self.verdicts(self.scene.mentions[i].first, t.first) != (false, false) {
            return nearest;
        }
        near.iter().copied().find(|k| !landmark(*k) && here - sentence(*k) < SENTENCES_BACK && said(*k).0).or(nearest)
    }

    /// Where the words that may speak of a mention begin: behind the one before it, or with its sentence.
    fn lead(&self, k: usize) -> usize {
        let first = self.scene.mentions[k].first;
        let previous = k.checked_sub(1).map_or(0, |p| self.scene.mentions[p].end);
        let here = self.r.clause_of[first];
        let sentence = self.r.clauses[here].sentence;
        let clauses = (0..=here).rev().take_while(|c| here - c < 4 && self.r.clauses[*c].sentence == sentence);
        clauses.last().map_or(first, |c| self.r.clauses[c].first).max(previous).min(first)
    }

    /// Where they end: before the next mention, or its sentence.
    pub(super) fn own_end(&self, k: usize) -> usize {
        let Some(next) = self.scene.mentions.get(k + 1) else { return self.r.tokens.len() };
        let same = self.r.sentence_of(next.first) == self.r.sentence_of(self.scene.mentions[k].first);
        if same { next.first } else { self.lead(k + 1) }
    }

    /// "I'd written down shoes, worn… cross that out": what had been put down is meant, not what was named since.
    fn noted_before(&self, t: &Turn) -> Option<usize> {
        let here = self.r.sentence_of(t.first);
        (0..self.before(t.first))
            .rev()
            .take_while(|k| here - self.r.sentence_of(self.scene.mentions[*k].first) <= SENTENCES_BACK)
            .find(|k| self.is_noted(*k))
    }

    /// Whether a mention is told as put down before.
    fn is_noted(&self, i: usize) -> bool {
        let m = &self.scene.mentions[i];
        let sentence = self.r.sentence_of(m.first);
        let cues = self.r.signals_in(m.first.saturating_sub(14), m.end + 12);
        !m.withdrawn && cues.iter().any(|s| s.says == Says::Cue(Cue::Noted) && self.r.sentence_of(s.first) == sentence)
    }

    /// "I had a shock written down. — Mistake": a denial takes back what is told as put down before.
    pub(super) fn noted_denied(&mut self, t: &Turn) -> bool {
        let here = self.r.sentence_of(t.first);
        let Some(i) = self.before(t.first).checked_sub(1) else { return false };
        let near = here - self.r.sentence_of(self.scene.mentions[i].first) <= 1;
        if !near || !self.is_noted(i) || self.asks_before(t) {
            return false;
        }
        self.take_back(i);
        true
    }

    /// Whether the words behind the cue give the part another verdict, no other part being named.
    fn speaks_on(&self, i: usize, t: &Turn) -> bool {
        let r = self.r;
        let part = self.scene.mentions[i].component;
        let next = self.scene.mentions[self.before(t.end)..]
            .iter()
            .find(|m| m.component != part && m.preposition.is_none() && m.score > 0.65)
            .map_or(r.tokens.len(), |m| m.first);
        let sentence = r.sentence_of(t.end - 1);
        let until = next.min(t.next).min(t.end + 30);
        r.signals_in(t.end, until.max(t.end)).iter().any(|s| {
            let good = matches!(s.says, Says::Sound { .. } | Says::Serviced);
            let near = r.sentence_of(s.first) <= sentence + usize::from(good);
            !s.weak && near && (good || s.is_fault() || s.says == Says::Unchecked)
        })
    }

    /// "It's undercoating, it's dry. I take that back": praise right before the cue stands; returns where it begins.
    fn righted(&self, i: usize, t: &Turn) -> Option<usize> {
        let r = self.r;
        let here = r.sentence_of(t.first);
        let low = t.first.saturating_sub(14);
        let said = r.signals_in(low, t.first);
        let last = said.iter().rev().find(|s| s.is_fault() || matches!(s.says, Says::Sound { .. }))?;
        let good = matches!(last.says, Says::Sound { .. }) && r.sentence_of(last.first) + 1 >= here;
        let clause = r.clauses[r.clause_of[last.first]];
        let bad_before = self.verdicts(r.clauses[r.clause_of[self.scene.mentions[i].first]].first, clause.first).0;
        let spoken = self.scene.mentions[i].first >= clause.first;
        (good && (bad_before || spoken)).then_some(clause.first)
    }

    /// Keeps the praise that begins at `from` and takes back what was said of the part before it.
    fn keep_righted(&mut self, i: usize, from: usize) -> bool {
        let m = self.scene.mentions[i].clone();
        if m.first < from {
            self.scene.mentions[i].counts_from = Some(from);
            return true;
        }
        let low = i.saturating_sub(NAMED_BACK / 4);
        for k in low..i {
            let o = &self.scene.mentions[k];
            if o.component == m.component && !o.place.clashes(m.place) {
                self.take_back_breath(k, i);
            }
        }
        true
    }

    /// "It's not the link": a part denied by its name takes back what was said of it a moment ago.
    pub(super) fn denials(&mut self) {
        for k in 1..self.scene.mentions.len() {
            if !self.is_denied(k) {
                continue;
            }
            let m = self.scene.mentions[k].clone();
            let here = self.r.sentence_of(m.first);
            let earlier: Vec<usize> = (0..k)
                .rev()
                .take_while(|i| here - self.r.sentence_of(self.scene.mentions[*i].first) <= SENTENCES_BACK)
                .filter(|i| {
                    let o = &self.scene.mentions[*i];
                    o.component == m.component && !o.place.clashes(m.place)
                })
                .collect();
            if earlier.is_empty() {
                continue;
            }
            earlier.into_iter().for_each(|i| self.take_back(i));
            self.take_back(k);
        }
    }

    /// "it's not the …", "wasn't the …", "no, not the …" with nothing said of the part behind it.
    fn is_denied(&self, k: usize) -> bool {
        let r = self.r;
        let m = &self.scene.mentions[k];
        let word = |n: usize| m.first.checked_sub(n).map(|t| r.tokens[t].norm.as_str());
        let article = matches!(word(1), Some("the" | "that" | "your"));
        let denies = word(2).is_some_and(|w| matches!(w, "not" | "isn't" | "wasn't" | "ain't" | "never" | "n't"));
        let closes = r.tokens.get(m.end).is_none_or(|t| !t.is_wordlike() || matches!(t.norm.as_str(), "at" | "it"));
        let points = |w: Option<&str>| w.is_some_and(|w| matches!(w, "it" | "its" | "that" | "thats"));
        let joined = word(3).is_some_and(|w| matches!(w, "'s" | "is" | "was")) && points(word(4));
        // "the sway bar link, no, sorry, not the sway bar link"
        let put_right = word(3).is_some_and(|w| matches!(w, "," | "." | "no" | "nope" | "sorry" | "wait"));
        let subject = points(word(3)) || joined || put_right;
        article && denies && closes && subject
    }
}
