//! Owns mentions in context: which part is meant, where on the vehicle, and whether it is the subject or a landmark.
//!
//! Context words ("the chamber"), bare nouns ("its bracket") and places standing for a part ("the right one") are resolved here,
//! from what was spoken of before.

use std::collections::HashMap;

use crate::findings::Component;
use crate::lexicon::{Cue, Lexicon, PlaceWord, Position};
use crate::matching::{How, PartHit};
use crate::text::{Boundary, Kind};

use super::place::{DrivesOn, Place};
use super::polarity::Says;
use super::reading::Reading;

/// How the mention names its part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Naming {
    /// By its own words.
    Named,
    /// By a place alone: "the right one", "the other side".
    ByPlace,
    /// By "same on the other side": says what was said of the mention it copies.
    SameAgain,
}

/// A part spoken of at one point of the talk.
#[derive(Debug, Clone)]
pub struct Mention {
    /// First token of the naming words.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// Index into [`Scene::components`].
    pub component: usize,
    /// Place words that belong to this mention: tokens `first..end` of each.
    pub place_words: Vec<(usize, usize)>,
    /// Place said with the mention.
    pub own: Place,
    /// Place known altogether.
    pub place: Place,
    /// How it names its part.
    pub naming: Naming,
    /// How the words were recognised.
    pub how: How,
    /// Match score, 1 for exact words.
    pub score: f64,
    /// The preposition in front, where there is one.
    pub preposition: Option<Cue>,
    /// Named in one breath with others: mentions of one group share what is said.
    pub group: usize,
    /// Plural form.
    pub plural: bool,
    /// "all the other boots": stands apart from what was named before.
    pub rest: bool,
    /// Mention whose predicate it repeats.
    pub copies: Option<usize>,
    /// Said and taken back.
    pub withdrawn: bool,
    /// Where the words that count for it begin, when a correction wiped what stood before.
    pub counts_from: Option<usize>,
}

/// The mentions of a dictation, in order, with the table of components they point into.
#[derive(Debug, Default)]
pub struct Scene {
    /// Distinct parts.
    pub components: Vec<Component>,
    /// Lexicon index of each, where it is a known part.
    pub known: Vec<Option<usize>>,
    /// Mentions in order of their words.
    pub mentions: Vec<Mention>,
    /// Place words that announce where the talk goes on: token, place.
    pub announcements: Vec<(usize, Place)>,
    by_id: HashMap<String, usize>,
}

impl Scene {
    fn component(&mut self, c: Component, known: Option<usize>) -> usize {
        if let Some(&i) = self.by_id.get(&c.id) {
            return i;
        }
        let i = self.components.len();
        self.by_id.insert(c.id.clone(), i);
        self.components.push(c);
        self.known.push(known);
        i
    }

    fn known_part(&mut self, part: usize, lexicon: &Lexicon) -> usize {
        let p = &lexicon.parts[part];
        let c = Component {
            id: p.id.clone(),
            name: p.name.clone(),
            system: p.system.clone(),
            aliases: p.also.clone(),
        };
        self.component(c, Some(part))
    }
}

const SIDED_SYSTEMS: [&str; 6] = ["body", "lights", "glass-wipers", "interior", "trailer", "bus"];

/// Clauses a context word may look back over for the part it stood for.
const ANAPHORA_REACH: usize = 60;

/// Builds the scene.
pub fn scene(reading: &Reading, lexicon: &Lexicon, drives_on: DrivesOn) -> Scene {
    let mut s = Builder {
        reading,
        lexicon,
        drives_on,
        scene: Scene::default(),
        place_used: vec![false; reading.mentions.places.len()],
        announced: Place::default(),
        announced_clause: 0,
    };
    s.run();
    s.scene
}

struct Builder<'a> {
    reading: &'a Reading,
    lexicon: &'a Lexicon,
    drives_on: DrivesOn,
    scene: Scene,
    place_used: Vec<bool>,
    announced: Place,
    announced_clause: usize,
}

/// A part candidate before its context is known.
struct Candidate {
    first: usize,
    end: usize,
    hit: Option<PartHit>,
}

impl Builder<'_> {
    fn run(&mut self) {
        let m = &self.reading.mentions;
        let in_figure = |first: usize, end: usize| {
            self.reading.measures_in(first.saturating_sub(8), end).iter().any(|x| x.first <= first && end <= x.end)
        };
        let mut candidates: Vec<Candidate> = m
            .parts
            .iter()
            .filter(|p| !in_figure(p.first, p.end))
            .map(|p| Candidate { first: p.first, end: p.end, hit: Some(p.clone()) })
            .collect();
        candidates.extend(m.loose_heads.iter().map(|&(first, end)| Candidate { first, end, hit: None }));
        candidates.sort_by_key(|c| c.first);
        let mut next = 0;
        for clause in 0..self.reading.clauses.len() {
            let from = next;
            while next < candidates.len() && self.reading.clause_of[candidates[next].first] == clause {
                next += 1;
            }
            self.clause(clause, &candidates[from..next]);
        }
        self.groups();
        self.spread();
    }

    fn clause(&mut self, clause: usize, candidates: &[Candidate]) {
        let before = self.scene.mentions.len();
        let spans: Vec<(usize, usize)> = candidates.iter().map(|c| (c.first, c.end)).collect();
        for c in candidates {
            if let Some((component, how, score, first)) = self.resolve(c) {
                self.named(clause, c, component, how, score, first, &spans);
            }
        }
        let named = self.scene.mentions.len() > before;
        self.places_alone(clause, named);
        // places said with a part are told apart from announcements once all words of the clause are known
        for i in before..self.scene.mentions.len() {
            self.settle_place(i, clause);
            self.heading(i, clause);
        }
    }

    /// "Front suspension." — a part and a place alone in their sentence say where the talk goes on.
    fn heading(&mut self, i: usize, clause: usize) {
        let r = self.reading;
        let c = r.clauses[clause];
        let m = &self.scene.mentions[i];
        let closes = r.clauses.get(clause + 1).is_none_or(|n| n.before >= Boundary::Middle);
        let said: usize = m.end - m.first + m.place_words.iter().map(|w| w.1 - w.0).sum::<usize>();
        let words = (c.first..c.end).filter(|&t| r.tokens[t].is_wordlike()).count();
        if m.naming == Naming::Named && closes && c.before >= Boundary::Strong && !m.own.corner().is_empty() && words <= said + 3 && !self.has_verdict(clause) {
            self.announce(m.first, m.own, clause);
        }
    }

    /// Which part is meant: component, how, score, and the first token (modifiers included).
    fn resolve(&mut self, c: &Candidate) -> Option<(usize, How, f64, usize)> {
        let r = self.reading;
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
        let plain = c.end - c.first == 1 && (self.lexicon.common.contains(&last.word) || self.lexicon.common.contains(word));
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

    fn recent_systems(&self, clause: usize) -> Vec<(String, f64)> {
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
    fn named_before(&self, word: &str, clause: usize) -> Option<usize> {
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
    fn holder(&self, c: &Candidate, reach: usize) -> Option<usize> {
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
    fn bare_noun(&mut self, c: &Candidate) -> Option<(usize, How, f64, usize)> {
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
    fn compound(&mut self, hit: &PartHit) -> usize {
        let r = self.reading;
        let base_end = hit.end - hit.heads;
        let norm = |a: usize, b: usize| r.tokens[a..b].iter().map(|t| t.norm.as_str()).collect::<Vec<_>>().join(" ");
        let head = norm(base_end, hit.end);
        let said = norm(hit.first, hit.end);
        let Some(&base) = hit.parts.first() else { return 0 };
        let p = &self.lexicon.parts[base];
        let names: Vec<String> =
            std::iter::once(&p.name).chain(&p.also).map(|n| format!("{n} {head}")).collect();
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

    #[allow(clippy::too_many_arguments)]
    fn named(&mut self, clause: usize, c: &Candidate, component: usize, how: How, score: f64, first: usize, spans: &[(usize, usize)]) {
        let r = self.reading;
        let cl = r.clauses[clause];
        let mut place_words = Vec::new();
        let mut own = Place::default();
        // places on either side, up to the next part; those behind only when no later part of the clause claims them
        let left_edge = spans.iter().filter(|s| s.1 <= first).map(|s| s.1).max().unwrap_or(cl.first);
        let right_edge = spans.iter().filter(|s| s.0 >= c.end).map(|s| s.0).min().unwrap_or(cl.end);
        for n in self.places_in(left_edge, right_edge) {
            let p = &r.mentions.places[n];
            if p.end > right_edge || self.place_used[n] {
                continue;
            }
            let Some(place) = Place::from_words(&self.lexicon.places[p.place], self.drives_on) else { continue };
            let behind = p.first >= c.end;
            // before the next part, place words right in front of it are its own
            if behind && right_edge < cl.end {
                let gap = (p.end..right_edge).all(|t| self.is_filler(t));
                if gap {
                    continue;
                }
            }
            let near = if behind { p.first - c.end <= 8 } else { first - p.end <= 6 };
            if near && !own.clashes(place) {
                own = own.with(place);
                place_words.push((p.first, p.end));
                self.place_used[n] = true;
            } else if near && behind && self.joined_places(&place_words, p.first) {
                own = own.with(place);
                place_words.push((p.first, p.end));
                self.place_used[n] = true;
            }
        }
        let preposition = self.preposition(first, cl.first);
        let plural = r.tokens[c.end - 1].plural;
        let rest = r.has_cue(left_edge, first, Cue::RestOf);
        self.scene.mentions.push(Mention {
            first,
            end: c.end,
            component,
            place_words,
            own,
            place: own,
            naming: Naming::Named,
            how,
            score,
            preposition,
            group: 0,
            plural,
            rest,
            copies: None,
            withdrawn: false,
            counts_from: None,
        });
    }

    /// Indexes of the place hits that start in `from..to`.
    fn places_in(&self, from: usize, to: usize) -> std::ops::Range<usize> {
        let all = &self.reading.mentions.places;
        all.partition_point(|p| p.first < from)..all.partition_point(|p| p.first < to)
    }

    /// "left and right": the second place adds to the first.
    fn joined_places(&self, words: &[(usize, usize)], at: usize) -> bool {
        words.last().is_some_and(|&(_, end)| {
            at >= end && at - end <= 2 && (end..at).all(|t| matches!(self.reading.tokens[t].norm.as_str(), "and" | "&" | "+" | "or"))
        })
    }

    fn is_filler(&self, t: usize) -> bool {
        let r = self.reading;
        let tok = &r.tokens[t];
        matches!(tok.norm.as_str(), "the" | "a" | "an" | "your" | "his" | "her" | "its" | "this" | "that" | "'s" | "and" | "both" | "side" | "hand" | "on" | "of")
            || self.places_in(t.saturating_sub(4), t + 1).any(|n| r.mentions.places[n].end > t)
    }

    /// Whether a token points at a thing: an article, a possessive, a demonstrative or a place.
    fn points(&self, t: usize) -> bool {
        let r = self.reading;
        matches!(r.tokens[t].norm.as_str(), "the" | "a" | "an" | "your" | "his" | "her" | "its" | "this" | "that" | "both" | "new" | "my" | "our" | "their" | "each" | "one")
            || self.places_in(t.saturating_sub(4), t + 1).any(|n| r.mentions.places[n].end > t)
    }

    fn preposition(&self, first: usize, from: usize) -> Option<Cue> {
        let r = self.reading;
        let mut t = first;
        while t > from && first - t < 5 {
            t -= 1;
            let cue = r
                .signals_in(t, t + 1)
                .iter()
                .find_map(|s| match s.says {
                    Says::Cue(c @ (Cue::Landmark | Cue::Within)) if s.end > t => Some(c),
                    _ => None,
                });
            if cue.is_some() {
                return cue;
            }
            if !self.is_filler(t) && r.tokens[t].kind != Kind::Word {
                return None;
            }
            if !self.is_filler(t) && first - t > 2 {
                return None;
            }
        }
        None
    }

    /// Places of the clause that no part took: an announcement, or a place standing for the part in focus.
    fn places_alone(&mut self, clause: usize, named: bool) {
        let r = self.reading;
        let cl = r.clauses[clause];
        let mut said = Place::default();
        let mut words = Vec::new();
        let mut anywhere = false;
        let mut other = false;
        for n in self.places_in(cl.first, cl.end) {
            let p = &r.mentions.places[n];
            if self.place_used[n] {
                continue;
            }
            let list = &self.lexicon.places[p.place];
            anywhere |= list.contains(&PlaceWord::Anywhere);
            other |= list.contains(&PlaceWord::OtherSide);
            if let Some(place) = Place::from_words(list, self.drives_on) {
                said = if said.clashes(place) && !self.joined_places(&words, p.first) { said.overridden_by(place) } else { said.with(place) };
            }
            words.push((p.first, p.end));
        }
        // "Right, the brakes": a filler, unless the left side was spoken of just before
        if words.first().is_some_and(|w| self.is_filler_right(w.0, w.1)) && said == Place::of(&[Position::Right]) {
            return;
        }
        if anywhere && !named {
            self.announce(cl.first, Place::default(), clause);
        }
        // "Other side." with parts named next: the talk moves across
        if !named && other && said.is_empty() && self.next_sentence_names(clause) && !self.has_verdict(clause) {
            let short = (cl.first..cl.end).filter(|&t| r.tokens[t].is_wordlike()).count() <= 5;
            if short && let Some(across) = self.announced.other_side() {
                self.announce(words[0].0, across, clause);
                return;
            }
        }
        let same = r.has_cue(cl.first, cl.end, Cue::SameAgain);
        let other_cue = r.has_cue(cl.first, cl.end, Cue::OtherOne);
        if !named && (other || other_cue || (same && !said.is_empty())) && let Some(i) = self.focus(clause) {
            let f = &self.scene.mentions[i];
            let base = f.place;
            let place = if !said.is_empty() {
                Some(base.overridden_by(said))
            } else if other {
                base.other_side()
            } else {
                base.other_one()
            };
            let naming = if same || (other && !self.has_verdict(clause)) { Naming::SameAgain } else { Naming::ByPlace };
            if let Some(place) = place.filter(|p| *p != base) {
                self.by_place(clause, i, place, words, naming);
                return;
            }
        }
        if said.is_empty() {
            return;
        }
        if named {
            // a place in front of a part in the next breath: "left front, tire is…"
            if words.first().is_some_and(|w| w.0 <= cl.first + 3) {
                self.announce(words[0].0, said, clause);
            }
            return;
        }
        let own_verdict = self.has_verdict(clause);
        let extra = (cl.first..cl.end).filter(|&t| r.tokens[t].is_wordlike()).count().saturating_sub(words.iter().map(|w| w.1 - w.0).sum());
        let only_place = extra <= 4;
        // "CV boot, outer" / "door mirror, offside": a place right behind a part with nothing said between is the part's
        if let Some(i) = self.just_named(clause)
            && only_place
            && !own_verdict
            && !self.scene.mentions[i].own.shares_axis(said)
            && (cl.before == Boundary::Weak || !self.next_sentence_names(clause))
        {
            let group: Vec<usize> = (0..=i).rev().take_while(|k| r.clause_of[self.scene.mentions[*k].first] + 2 > clause).collect();
            let m = &mut self.scene.mentions[*group.first().unwrap_or(&i)];
            m.own = m.own.with(said);
            m.place_words.extend(words);
            let at = r.clause_of[m.first];
            self.settle_place(i, at);
            let closes = r.clauses.get(clause + 1).is_none_or(|n| n.before >= Boundary::Middle);
            if closes && r.clauses[at].before >= Boundary::Strong && !said.corner().is_empty() {
                let place = self.scene.mentions[i].place;
                self.announce(self.scene.mentions[i].first, place, clause);
            }
            return;
        }
        let one_behind = words.last().is_some_and(|w| {
            r.tokens.get(w.1).is_some_and(|t| matches!(t.norm.as_str(), "one" | "'s" | "is" | "are" | "was" | "has"))
        });
        // "Windshield? Chip, passenger side": a place on an axis nothing was said of yet is the focused part's own
        if let Some(i) = self.focus(clause)
            && own_verdict
            && !one_behind
            && !self.scene.mentions[i].place.shares_axis(said)
            && r.clauses[clause].sentence <= r.sentence_of(self.scene.mentions[i].first) + 1
        {
            let m = &mut self.scene.mentions[i];
            m.own = m.own.with(said);
            m.place = m.place.with(said);
            m.place_words.extend(words);
            return;
        }
        if let Some(i) = self.focus(clause) {
            let f = &self.scene.mentions[i];
            let answers = cl.asks || (!self.next_sentence_names(clause) && self.next_clause_has_verdict(clause));
            let refers = own_verdict || one_behind || (only_place && answers && f.place.shares_axis(said));
            if refers && f.place.overridden_by(said) != f.place {
                let place = f.place.overridden_by(said);
                self.by_place(clause, i, place, words, Naming::ByPlace);
                return;
            }
        }
        if only_place || !own_verdict {
            self.announce(words[0].0, said, clause);
        }
    }

    /// The last mention, where the clause before this one ends with it and says nothing of it.
    fn just_named(&self, clause: usize) -> Option<usize> {
        let r = self.reading;
        let i = self.scene.mentions.len().checked_sub(1)?;
        let m = &self.scene.mentions[i];
        let c = r.clause_of[m.first];
        let silent = !(c..clause).any(|k| self.has_verdict(k));
        (m.naming == Naming::Named && c + 1 == clause && silent).then_some(i)
    }

    /// Whether the sentence behind this clause names a part.
    fn next_sentence_names(&self, clause: usize) -> bool {
        let r = self.reading;
        let Some(next) = r.clauses.get(clause + 1) else { return true };
        let end = r.clauses[clause + 1..].iter().take_while(|c| c.sentence == next.sentence).last().map_or(next.end, |c| c.end);
        let from = r.mentions.parts.partition_point(|p| p.first < next.first);
        r.mentions.parts.get(from).is_some_and(|p| p.first < end)
    }

    /// "Right," or "Right." at the head of a sentence: a filler, unless the other side was the last one announced.
    fn is_filler_right(&self, first: usize, end: usize) -> bool {
        let r = self.reading;
        let cl = r.clauses[r.clause_of[first]];
        end == first + 1
            && r.tokens[first].norm == "right"
            && cl.first == first
            && cl.end == end
            && cl.before >= Boundary::Middle
            && !cl.asks
            && !self.announced.has(Position::Left)
            && !self.scene.mentions.iter().rev().take(2).any(|m| m.place.has(Position::Left))
    }

    fn has_verdict(&self, clause: usize) -> bool {
        let c = self.reading.clauses[clause];
        self.reading.signals_in(c.first, c.end).iter().any(|s| {
            matches!(s.says, Says::Defect(_) | Says::SomeDefect | Says::Sound { .. } | Says::Unchecked | Says::Serviced)
        }) || self.reading.measured_in(c.first, c.end)
    }

    fn next_clause_has_verdict(&self, clause: usize) -> bool {
        clause + 1 < self.reading.clauses.len() && self.has_verdict(clause + 1)
    }

    /// The part the talk is about: the last mention that is no landmark.
    fn focus(&self, clause: usize) -> Option<usize> {
        let r = self.reading;
        self.scene
            .mentions
            .iter()
            .enumerate()
            .rev()
            .take(6)
            .find(|(_, m)| m.preposition != Some(Cue::Landmark) && clause - r.clause_of[m.first] <= 8)
            .map(|(i, _)| i)
    }

    fn by_place(&mut self, clause: usize, focus: usize, place: Place, words: Vec<(usize, usize)>, naming: Naming) {
        let cl = self.reading.clauses[clause];
        let (first, end) = words.first().copied().unwrap_or((cl.first, (cl.first + 1).min(cl.end)));
        let f = self.scene.mentions[focus].clone();
        self.scene.mentions.push(Mention {
            first,
            end,
            own: place,
            place,
            place_words: words,
            naming,
            preposition: None,
            plural: false,
            rest: false,
            copies: (naming == Naming::SameAgain).then_some(focus),
            withdrawn: false,
            counts_from: None,
            ..f
        });
    }

    fn announce(&mut self, token: usize, place: Place, clause: usize) {
        let corner = place.corner();
        if corner.is_empty() && !place.is_empty() {
            return;
        }
        self.announced = if corner.end().is_empty() && !corner.is_empty() {
            // "right side" after "rear axle": the axle still holds
            self.announced.end().with(corner)
        } else {
            corner
        };
        self.announced_clause = clause;
        self.scene.announcements.push((token, self.announced));
    }

    /// The place known altogether: said, usual for the part, announced.
    fn settle_place(&mut self, i: usize, clause: usize) {
        let m = &self.scene.mentions[i];
        if m.naming != Naming::Named {
            return;
        }
        let component = &self.scene.components[m.component];
        let known = self.scene.known[m.component].map(|k| &self.lexicon.parts[k]);
        let usual = known.map(|p| Place::of(&p.usual)).unwrap_or_default();
        let system = component.system.as_str();
        let age = clause - self.announced_clause.min(clause);
        let inherits = self.per_wheel(m.component) || (SIDED_SYSTEMS.contains(&system) && age <= 12) || age <= 1;
        let mut place = if inherits { self.announced } else { Place::default() };
        if !usual.is_empty() {
            // a part that exists at one end only keeps a side from the talk about that end
            place = if place.clashes(usual) { usual } else { place.overridden_by(usual) };
        }
        // "rear axle … left side": a side said alone completes the announced end
        let own = m.own;
        if own.corner() == own.side() && !own.side().is_empty() {
            place = place.overridden_by(own);
        } else if !own.end().is_empty() && own.side().is_empty() {
            // another end without a side: the announced side is not meant
            place = if place.end() == own.end() { place.overridden_by(own) } else { own };
        } else if own.corner().is_empty() {
            place = place.overridden_by(own);
        } else {
            place = own.overridden_by(own);
            if !usual.is_empty() && !usual.clashes(own) {
                place = usual.overridden_by(own);
            }
        }
        self.scene.mentions[i].place = place;
    }

    /// Whether the part sits at every wheel; a part made of another one does where that does.
    fn per_wheel(&self, component: usize) -> bool {
        match self.scene.known[component] {
            Some(part) => self.lexicon.per_wheel[part],
            None => {
                let c = &self.scene.components[component];
                self.lexicon.parts.iter().enumerate().any(|(i, p)| self.lexicon.per_wheel[i] && c.name.starts_with(&p.name) && c.system == p.system)
            }
        }
    }

    /// "both of them", "all four": words behind a mention that spread it over sides and ends; plain plurals of paired parts are
    /// on both sides.
    fn spread(&mut self) {
        let r = self.reading;
        let sides = Place::of(&[Position::Left, Position::Right]);
        let all = sides.with(Place::of(&[Position::Front, Position::Rear]));
        for i in 0..self.scene.mentions.len() {
            let m = &self.scene.mentions[i];
            let system = self.scene.components[m.component].system.as_str();
            let corner = self.per_wheel(m.component);
            if m.naming != Naming::Named || !(corner || SIDED_SYSTEMS.contains(&system)) || !m.place.side().is_empty() {
                continue;
            }
            let clause = r.clauses[r.clause_of[m.first]];
            let next = self.scene.mentions.get(i + 1).map_or(r.tokens.len(), |n| n.first);
            let until = r.clauses.get(r.clause_of[m.first] + 1).map_or(clause.end, |c| c.end).min(next);
            let both = r.has_cue(clause.first, until, Cue::Both);
            let every = r.has_cue(clause.first, until, Cue::AllOf);
            let spread = if corner && every && m.plural && m.place.end().is_empty() {
                m.place.with(all)
            } else if both || (corner && m.plural && !m.place.end().is_empty()) {
                m.place.with(sides)
            } else {
                continue;
            };
            self.scene.mentions[i].place = spread;
        }
    }

    /// Mentions parted by nothing but commas, "and", articles and places are one group.
    fn groups(&mut self) {
        let r = self.reading;
        let mut group = 0;
        for i in 0..self.scene.mentions.len() {
            if i > 0 {
                let (a, b) = (self.scene.mentions[i - 1].clone(), self.scene.mentions[i].clone());
                let listed = b.naming == Naming::Named
                    && a.naming == Naming::Named
                    && a.end <= b.first
                    && b.first - a.end <= 8
                    && (a.end..b.first).all(|t| {
                        let tok = &r.tokens[t];
                        matches!(tok.kind, Kind::Mark(',' | '&' | '+'))
                            || matches!(tok.norm.as_str(), "and" | "or" | "plus" | "nor" | "my")
                            || self.is_filler(t) && tok.norm != "on" && tok.norm != "of"
                    })
                    && (a.end..b.first).any(|t| matches!(r.tokens[t].kind, Kind::Mark(_)) || matches!(r.tokens[t].norm.as_str(), "and" | "or" | "plus" | "nor"))
                    && r.clauses[r.clause_of[b.first]].before < Boundary::Strong.max(Boundary::Middle);
                if !listed {
                    group += 1;
                }
            }
            self.scene.mentions[i].group = group;
        }
    }
}
