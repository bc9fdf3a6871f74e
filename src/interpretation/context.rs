//! Owns the weighing of context: which of the parts that a bare word may stand for is meant, by what stands around it.

use std::collections::HashMap;

use crate::matching::PartHit;

use super::mention::{Builder, Candidate, Naming};

/// How far around a word its company counts, in tokens.
const AROUND: usize = 12;
/// Clauses over which earlier mentions count.
const SYSTEM_REACH: usize = 25;
/// Clauses a context word may look back over for the part it stood for.
pub(super) const ANAPHORA_REACH: usize = 60;

/// What a bare word may stand for: a part of the lexicon, or one named before that the lexicon does not know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Choice {
    Part(usize),
    Component(usize),
}

impl Builder<'_> {
    /// The likeliest part for a bare word, and how much speaks for it (0.5 and more: something does).
    pub(super) fn choose(&self, c: &Candidate, hit: &PartHit) -> Option<(Choice, f64)> {
        let r = self.reading;
        let word = r.tokens[c.end - 1].norm.as_str();
        let clause = r.clause_of[c.first];
        let mut weight: Vec<(Choice, f64)> = Vec::new();
        let systems = self.recent_systems(clause);
        let company = self.company(c);
        let said = r.phrase(c.first, c.end);
        let habits = self.lexicon.habits.get(&said);
        for (n, &part) in hit.parts.iter().enumerate() {
            let system = self.lexicon.parts[part].system.as_str();
            let mut w: f64 = systems.iter().filter(|(s, _)| *s == system).map(|(_, w)| *w).sum::<f64>().min(1.0) * 0.6;
            w += 0.6 * self.kinship(part, &company);
            if let Some(h) = habits.and_then(|h| h.iter().find(|h| h.part == part)) {
                let near = company.keys().filter(|k| h.near.contains(**k)).count();
                w += [0.0, 0.7, 0.9][near.min(2)] + if h.usual { 0.3 } else { 0.0 };
            }
            weight.push((Choice::Part(part), w - n as f64 * 0.01));
        }
        let mut speak = |choice: Choice, w: f64| match weight.iter_mut().find(|(k, _)| *k == choice) {
            Some((_, old)) => *old += w,
            None => weight.push((choice, w)),
        };
        if let Some(part) = self.owned(c).and_then(|(o, _)| o) {
            speak(Choice::Part(part), 1.5);
        }
        if let Some((part, gap)) = self.held(c, 6) {
            let own = if hit.parts.contains(&part) { 1.0 } else { 0.4 };
            speak(Choice::Part(part), own / (1.0 + 0.2 * gap as f64));
        }
        if let Some((comp, gap)) = self.last_named(word, clause, ANAPHORA_REACH) {
            let choice = self.scene.known[comp].map_or(Choice::Component(comp), Choice::Part);
            speak(choice, 1.1 / (1.0 + gap as f64 / 20.0));
        }
        if let Some(comp) = self.called_back(word, c.first) {
            speak(self.scene.known[comp].map_or(Choice::Component(comp), Choice::Part), 1.0);
        }
        weight.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Words around a bare word, with their distance.
    fn company(&self, c: &Candidate) -> HashMap<&str, usize> {
        let r = self.reading;
        let clause = r.clause_of[c.first];
        let from = c.first.saturating_sub(AROUND);
        let to = (c.end + AROUND).min(r.tokens.len());
        let mut out = HashMap::new();
        for t in (from..c.first).chain(c.end..to) {
            if r.clause_of[t].abs_diff(clause) <= 2 && !r.tokens[t].norm.is_empty() {
                let far = if t < c.first { c.first - t } else { t - c.end };
                let d = out.entry(r.tokens[t].norm.as_str()).or_insert(far);
                *d = far.min(*d);
            }
        }
        out
    }

    /// How much of a name of the part, but for its last word, stands around: 1 for all of it.
    fn kinship(&self, part: usize, company: &HashMap<&str, usize>) -> f64 {
        let p = &self.lexicon.parts[part];
        std::iter::once(&p.name)
            .chain(&p.also)
            .filter_map(|n| {
                let words: Vec<&str> = n.split(' ').collect();
                let (_, front) = words.split_last()?;
                let found = front.iter().filter(|w| company.contains_key(**w)).count();
                (!front.is_empty()).then(|| found as f64 / front.len() as f64)
            })
            .fold(0.0, f64::max)
    }

    /// "the clamp on the post", "the lever's cable": the part that belongs to the other one, where the lexicon knows it, and the
    /// other one's hit.
    pub(super) fn owned(&self, c: &Candidate) -> Option<(Option<usize>, &PartHit)> {
        let owner = self.owner_before(c).or_else(|| self.owner_behind(c))?;
        let r = self.reading;
        let word = r.phrase(c.first, c.end);
        let said = r.phrase(owner.first, owner.end);
        let by_name = |part: &usize| self.joined(*part, &word);
        let known =
            self.lexicon.strong_part(&format!("{said} {word}")).or_else(|| owner.parts.iter().find_map(by_name));
        Some((known, owner))
    }

    /// The part whose name is a name of `part` with `word` behind it.
    pub(super) fn joined(&self, part: usize, word: &str) -> Option<usize> {
        let p = &self.lexicon.parts[part];
        let names: Vec<String> = std::iter::once(&p.name).chain(&p.also).map(|n| self.lexicon.fold(n)).collect();
        self.lexicon
            .nouns
            .alike(word)
            .find_map(|w| names.iter().find_map(|n| self.lexicon.strong_part(&format!("{n} {w}"))))
    }

    fn part_at(&self, test: impl Fn(&PartHit) -> bool, near: usize) -> Option<&PartHit> {
        let parts = &self.reading.mentions.parts;
        let at = parts.partition_point(|p| p.first < near);
        parts[at.saturating_sub(1)..(at + 2).min(parts.len())].iter().find(|p| test(p))
    }

    fn owner_before(&self, c: &Candidate) -> Option<&PartHit> {
        let mark = c.first.checked_sub(1).filter(|&t| self.reading.tokens[t].norm == "'s")?;
        self.part_at(|p| p.end == mark, mark)
    }

    fn owner_behind(&self, c: &Candidate) -> Option<&PartHit> {
        let r = self.reading;
        let word = |t: usize| r.tokens.get(t).map_or("", |t| t.norm.as_str());
        let mut t = c.end;
        if matches!(word(t), "going" | "running" | "coming" | "leading" | "feeding" | "right" | "there" | "up" | "down")
        {
            t += 1;
        }
        if !matches!(word(t), "on" | "of" | "for" | "to" | "from" | "in" | "into") {
            return None;
        }
        t += 1;
        let start = t;
        while t < r.tokens.len() && t - start < 5 && r.clause_of[t] == r.clause_of[c.first] {
            if let Some(p) = self.part_at(|p| p.first == t, t) {
                return Some(p);
            }
            if !self.is_filler(t) && t > start + 1 {
                return None;
            }
            t += 1;
        }
        None
    }

    /// A part spoken of before whose name ends in this word ("the chamber" after "brake chamber"), and the clauses between.
    pub(super) fn last_named(&self, word: &str, clause: usize, reach: usize) -> Option<(usize, usize)> {
        let r = self.reading;
        let ends = |component: usize| {
            let name = self.lexicon.fold(&self.scene.components[component].name);
            name.split(' ').next_back() == Some(word) && name != word
        };
        // a name is folded once, however often it was said
        let mut known: HashMap<usize, bool> = HashMap::new();
        self.scene
            .mentions
            .iter()
            .rev()
            .map(|m| (m, clause.saturating_sub(r.clause_of[m.first])))
            .take_while(|(_, gap)| *gap < reach)
            .filter(|(m, _)| m.naming == Naming::Named)
            .find(|(m, _)| {
                *known.entry(m.component).or_insert_with(|| ends(m.component))
                    || r.tokens[m.end - 1].norm == word && m.end - m.first > 1
            })
            .map(|(m, gap)| (m.component, gap))
    }

    /// "its bushing" beside a control arm is the control arm bushing, where the lexicon knows one; and the clauses between.
    pub(super) fn held(&self, c: &Candidate, reach: usize) -> Option<(usize, usize)> {
        let r = self.reading;
        let clause = r.clause_of[c.first];
        let word = r.phrase(c.first, c.end);
        self.scene
            .mentions
            .iter()
            .rev()
            .take(4)
            .map(|m| (m, clause.saturating_sub(r.clause_of[m.first])))
            .filter(|(_, gap)| *gap <= reach)
            .find_map(|(m, gap)| {
                let comp = &self.scene.components[m.component];
                std::iter::once(&comp.name)
                    .chain(&comp.aliases)
                    .find_map(|n| self.lexicon.strong_part(&format!("{} {word}", self.lexicon.fold(n))))
                    .map(|part| (part, gap))
            })
    }

    /// Systems of the last mentions, the nearer the heavier.
    pub(super) fn recent_systems(&self, clause: usize) -> Vec<(&str, f64)> {
        let r = self.reading;
        let near = self.scene.mentions.iter().rev().take(6);
        near.filter_map(|m| {
            let gap = clause.saturating_sub(r.clause_of[m.first]);
            let system = self.scene.components[m.component].system.as_str();
            (gap < SYSTEM_REACH).then(|| (system, 1.0 / (1.0 + gap as f64)))
        })
        .collect()
    }
}
