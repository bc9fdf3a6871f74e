//! Owns which part is meant: context words, bare nouns, and parts made of a known part and a noun behind it.

use crate::findings::Component;
use crate::matching::{How, PartHit};
use crate::text::Kind;

use super::mention::{Builder, Candidate, Naming};

/// Clauses a context word may look back over for the part it stood for.
const ANAPHORA_REACH: usize = 60;

/// The part that the words "trouble code" name.
const TROUBLE_CODE: &str = "trouble-code";

impl Builder<'_> {
    /// Which part is meant: component, how, score, and the first token (modifiers included).
    pub(super) fn resolve(&mut self, c: &Candidate) -> Option<(usize, How, f64, usize)> {
        let r = self.reading;
        if let Some(part) = c.code {
            return Some((self.scene.known_part(part, self.lexicon), How::Code, 1.0, c.first));
        }
        let Some(hit) = &c.hit else { return self.bare_noun(c) };
        if hit.heads > 0 {
            return Some((self.compound(hit), How::Compound, hit.score, c.first));
        }
        if hit.how != How::Context {
            let part = *hit.parts.first()?;
            return Some((self.scene.known_part(part, self.lexicon), hit.how, hit.score, c.first));
        }
        let last = &r.tokens[c.end - 1];
        let word = &last.norm;
        // a plain English word ("can", "point") is a part only where an article or a place points at one
        let plain =
            c.end - c.first == 1 && (self.lexicon.common.contains(&last.word) || self.lexicon.common.contains(word));
        if plain && !c.first.checked_sub(1).is_some_and(|t| self.points(t)) {
            return None;
        }
        if let Some(part) = self.holder(c, 2) {
            return Some((self.scene.known_part(part, self.lexicon), How::Context, 0.9, c.first));
        }
        if let Some(comp) = self.named_before(word, r.clause_of[c.first]) {
            return Some((comp, How::Context, 0.9, c.first));
        }
        if let Some(part) = self.holder(c, 6) {
            return Some((self.scene.known_part(part, self.lexicon), How::Context, 0.85, c.first));
        }
        if plain {
            return None;
        }
        let systems = self.recent_systems(r.clause_of[c.first]);
        let best = hit
            .parts
            .iter()
            .enumerate()
            .map(|(n, p)| {
                let sys = self.lexicon.parts[*p].system.as_str();
                let weight: f64 = systems.iter().filter(|(s, _)| s == sys).map(|(_, w)| *w).sum();
                (*p, weight - n as f64 * 0.01)
            })
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        let score = if best.1 > 0.05 { 0.85 } else { 0.6 };
        Some((self.scene.known_part(best.0, self.lexicon), How::Context, score, c.first))
    }

    /// A code read out with no part named in its sentence stands for the part it points at; the word "code" beside it is none.
    pub(super) fn codes(&self, candidates: &mut Vec<Candidate>) {
        let r = self.reading;
        let is_code_word = |c: &Candidate| {
            c.hit.as_ref().is_some_and(|h| h.parts.iter().all(|p| self.lexicon.parts[*p].id == TROUBLE_CODE))
        };
        let mut named: Vec<usize> =
            candidates.iter().filter(|c| c.hit.is_some() && !is_code_word(c)).map(|c| r.sentence_of(c.first)).collect();
        named.dedup();
        let mut alone = Vec::new();
        let mut found = Vec::new();
        for (first, end, code) in &r.codes {
            let sentence = r.sentence_of(*first);
            if named.binary_search(&sentence).is_ok() {
                continue;
            }
            if let Some(part) = self.lexicon.part_of_code(code) {
                alone.push(sentence);
                found.push(Candidate { first: *first, end: *end, hit: None, code: Some(part) });
            }
        }
        candidates.retain(|c| !is_code_word(c) || alone.binary_search(&r.sentence_of(c.first)).is_err());
        candidates.extend(found);
    }

    pub(super) fn recent_systems(&self, clause: usize) -> Vec<(String, f64)> {
        let r = self.reading;
        self.scene
            .mentions
            .iter()
            .rev()
            .take(6)
            .filter_map(|m| {
                let gap = clause.saturating_sub(r.clause_of[m.first]) as f64;
                (gap < 25.0).then(|| (self.scene.components[m.component].system.clone(), 1.0 / (1.0 + gap)))
            })
            .collect()
    }

    /// A part spoken of before whose name ends in this word: "the chamber" after "brake chamber".
    pub(super) fn named_before(&self, word: &str, clause: usize) -> Option<usize> {
        let r = self.reading;
        self.scene
            .mentions
            .iter()
            .rev()
            .filter(|m| clause.saturating_sub(r.clause_of[m.first]) < ANAPHORA_REACH && m.naming == Naming::Named)
            .find(|m| {
                let c = &self.scene.components[m.component];
                let ends = |n: &String| {
                    let folded = self.lexicon.fold(n);
                    folded.split(' ').next_back() == Some(word) && folded != word
                };
                r.tokens[m.end - 1].norm == word && m.end - m.first > 1 || ends(&c.name)
            })
            .map(|m| m.component)
    }

    /// "its bushing" beside a control arm is the control arm bushing, where the lexicon knows one.
    pub(super) fn holder(&self, c: &Candidate, reach: usize) -> Option<usize> {
        let r = self.reading;
        let clause = r.clause_of[c.first];
        let word = r.tokens[c.first..c.end].iter().map(|t| t.norm.as_str()).collect::<Vec<_>>().join(" ");
        self.scene
            .mentions
            .iter()
            .rev()
            .take(4)
            .filter(|m| clause.saturating_sub(r.clause_of[m.first]) <= reach)
            .find_map(|m| {
                let comp = &self.scene.components[m.component];
                std::iter::once(&comp.name)
                    .chain(&comp.aliases)
                    .find_map(|n| self.lexicon.strong_part(&format!("{} {word}", self.lexicon.fold(n))))
            })
    }

    /// A noun that belongs to no known part: an earlier part's short name, a part of the part in focus, or a part of its own when
    /// an unknown word stands in front of it.
    pub(super) fn bare_noun(&mut self, c: &Candidate) -> Option<(usize, How, f64, usize)> {
        let r = self.reading;
        let word = r.tokens[c.end - 1].norm.clone();
        let clause = r.clause_of[c.first];
        let single = c.end - c.first == 1;
        if let Some(part) = self.holder(c, 2) {
            return Some((self.scene.known_part(part, self.lexicon), How::Context, 0.85, c.first));
        }
        if single && let Some(comp) = self.named_before(&word, clause) {
            return Some((comp, How::Context, 0.85, c.first));
        }
        if let Some(part) = self.holder(c, 6) {
            return Some((self.scene.known_part(part, self.lexicon), How::Context, 0.85, c.first));
        }
        // unknown modifiers: "sector shaft"
        let mut first = c.first;
        while first > 0 && c.first - first < 2 {
            let t = &r.tokens[first - 1];
            let plain = t.kind == Kind::Word
                && t.word.len() > 2
                && !self.lexicon.common.contains(&t.word)
                && !self.lexicon.common.contains(&t.norm)
                && !t.word.contains('\'')
                && r.clause_of[first - 1] == clause
                && !r.signals_in(first.saturating_sub(6), first).iter().any(|s| s.end >= first)
                && !self.places_in(first.saturating_sub(5), first).any(|n| r.mentions.places[n].end >= first);
            if !plain || self.lexicon.common.is_empty() {
                break;
            }
            first -= 1;
        }
        if first == c.first {
            return None;
        }
        let words: Vec<&str> = r.tokens[first..c.end].iter().map(|t| t.norm.as_str()).collect();
        let name = words.join(" ");
        let comp = Component { id: name.replace([' ', '/'], "-"), name, system: String::new(), aliases: Vec::new() };
        Some((self.scene.component(comp, None), How::Compound, 0.5, first))
    }

    /// A known part with nouns behind it.
    pub(super) fn compound(&mut self, hit: &PartHit) -> usize {
        let r = self.reading;
        let base_end = hit.end - hit.heads;
        let norm = |a: usize, b: usize| r.tokens[a..b].iter().map(|t| t.norm.as_str()).collect::<Vec<_>>().join(" ");
        let head = norm(base_end, hit.end);
        let said = norm(hit.first, hit.end);
        let Some(&base) = hit.parts.first() else { return 0 };
        let p = &self.lexicon.parts[base];
        let names: Vec<String> = std::iter::once(&p.name).chain(&p.also).map(|n| format!("{n} {head}")).collect();
        if let Some(part) = names.iter().find_map(|n| self.lexicon.strong_part(&self.lexicon.fold(n))) {
            return self.scene.known_part(part, self.lexicon);
        }
        let mut names = names.into_iter();
        let name = names.next().unwrap_or_default();
        let mut aliases: Vec<String> = names.collect();
        aliases.push(said);
        let c = Component {
            id: format!("{}-{}", p.id, head.replace([' ', '/'], "-")),
            name,
            system: p.system.clone(),
            aliases,
        };
        self.scene.component(c, None)
    }
}
