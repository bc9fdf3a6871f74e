//! Owns which part is meant: context words ("the chamber"), bare nouns ("its bracket"), trouble codes, and parts made of a known
//! part and a noun behind it. What speaks for which part is weighed in [`super::context`].

use crate::findings::Component;
use crate::matching::{How, PartHit};
use crate::text::Kind;

use super::context::{ANAPHORA_REACH, Choice};
use super::mention::{Builder, Candidate, Mention};

/// Clauses over which a name with its article still means the part just named.
const JUST_NAMED: usize = 8;

/// What must speak for a part that only a noun for a piece names.
const FIRM: f64 = 1.0;
/// What speaks for a bare word that is no more than guessed.
const GUESSED: f64 = 0.6;
/// Tokens behind a part in which a guessed word is taken for a piece of it.
const BREATH: usize = 20;

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
            if let Some(component) = self.refers_back(c, hit) {
                return Some((component, hit.how, hit.score, c.first));
            }
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
        let (choice, weight) = self.choose(c, hit)?;
        // "its edge", "the cords": no part unless the words around name one
        if weight < FIRM && self.lexicon.nouns.is_piece(word) {
            return None;
        }
        if plain && weight < 0.6 {
            return None;
        }
        // a word that nothing speaks for tells of the part just named: "the lid is tied down because the clip broke"
        if weight < GUESSED && self.just_spoken_of(c.first) {
            return None;
        }
        let score = [0.6, 0.85, 0.9][usize::from(weight > 0.45) + usize::from(weight > 0.8)];
        let component = match choice {
            Choice::Part(part) => self.scene.known_part(part, self.lexicon),
            Choice::Component(comp) => comp,
        };
        Some((component, How::Context, score, c.first))
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

    /// "the door" just after "sliding door": the one spoken of.
    fn refers_back(&self, c: &Candidate, hit: &PartHit) -> Option<usize> {
        let r = self.reading;
        let last = &r.tokens[c.end - 1];
        let pointer = r.tokens[c.first.checked_sub(1)?].norm.as_str();
        let back = matches!(pointer, "the" | "that" | "this" | "its" | "'s") && hit.how == How::Exact;
        let just_named = self.last_named(&last.norm, r.clause_of[c.first], JUST_NAMED).map(|(comp, _)| comp);
        let comp = just_named.or_else(|| self.called_back(&last.norm, c.first))?;
        (back && !last.plural && c.end - c.first == 1).then_some(comp)
    }

    /// A noun that belongs to no known part: an earlier part's short name, a part of the part in focus, or a part of its own when
    /// an unknown word stands in front of it.
    pub(super) fn bare_noun(&mut self, c: &Candidate) -> Option<(usize, How, f64, usize)> {
        let r = self.reading;
        let word = r.tokens[c.end - 1].norm.clone();
        let clause = r.clause_of[c.first];
        let single = c.end - c.first == 1;
        if let Some(component) = self.possession(c) {
            return Some((component, How::Compound, 0.85, c.first));
        }
        if let Some((part, _)) = self.held(c, 2) {
            return Some((self.scene.known_part(part, self.lexicon), How::Context, 0.85, c.first));
        }
        if single && let Some((comp, _)) = self.last_named(&word, clause, ANAPHORA_REACH) {
            return Some((comp, How::Context, 0.85, c.first));
        }
        if let Some((part, _)) = self.held(c, 6) {
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
        let name = r.phrase(first, c.end);
        let comp = Component { id: name.replace([' ', '/'], "-"), name, system: String::new(), aliases: Vec::new() };
        Some((self.scene.component(comp, None), How::Compound, 0.5, first))
    }

    /// "the seal on the transfer case": the part that belongs to another one, made up where the lexicon has none.
    fn possession(&mut self, c: &Candidate) -> Option<usize> {
        let (known, owner) = self.owned(c)?;
        if let Some(part) = known {
            return Some(self.scene.known_part(part, self.lexicon));
        }
        if self.lexicon.nouns.is_piece(&self.reading.tokens[c.end - 1].norm) {
            return None;
        }
        let (base, firm) = (*owner.parts.first()?, owner.how == How::Exact && owner.heads == 0);
        let word = self.reading.phrase(c.first, c.end);
        firm.then(|| self.part_of(base, &word, Vec::new()))
    }

    /// The part "base head", which the lexicon does not have.
    fn part_of(&mut self, base: usize, head: &str, said: Vec<String>) -> usize {
        let p = &self.lexicon.parts[base];
        let heads: Vec<&str> = self.lexicon.nouns.alike(head).collect();
        let mut names =
            std::iter::once(&p.name).chain(&p.also).flat_map(|n| heads.iter().map(move |h| format!("{n} {h}")));
        let name = names.next().unwrap_or_default();
        let aliases: Vec<String> = names.chain(said).collect();
        let id = format!("{}-{}", p.id, head.replace([' ', '/'], "-"));
        self.scene.component(Component { id, name, system: p.system.clone(), aliases }, None)
    }

    /// Whether a part was named just before, in the same sentence.
    fn just_spoken_of(&self, at: usize) -> bool {
        let r = self.reading;
        let near = |m: &Mention| m.end <= at && at - m.end <= BREATH && r.sentence_of(m.first) == r.sentence_of(at);
        self.scene.mentions.last().is_some_and(|m| m.score >= 0.85 && near(m))
    }

    /// A known part with nouns behind it.
    pub(super) fn compound(&mut self, hit: &PartHit) -> usize {
        let r = self.reading;
        let base_end = hit.end - hit.heads;
        let head = r.phrase(base_end, hit.end);
        let said = r.phrase(hit.first, hit.end);
        let Some(&base) = hit.parts.first() else { return 0 };
        match self.joined(base, &head) {
            Some(part) => self.scene.known_part(part, self.lexicon),
            // "bumper edge": said of the bumper
            None if self.lexicon.nouns.is_piece(&head) => self.scene.known_part(base, self.lexicon),
            None => self.part_of(base, &head, vec![said]),
        }
    }
}
