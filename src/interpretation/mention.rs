//! Owns mentions in context and the scene they make up: which part, where on the vehicle, subject or landmark.
//!
//! The builder goes through the clauses in order. Its work is shared out: [`super::resolve`] and [`super::context`] tell which part
//! is meant, [`super::locate`], [`super::holder`] and [`super::heading`] where it is, [`super::twin`] what "the other one" is, and
//! [`super::recall`] what a summary calls back.

use std::collections::HashMap;

use crate::findings::Component;
use crate::lexicon::{Cue, Lexicon};
use crate::matching::{How, PartHit};
use crate::text::{Boundary, Kind};

use super::exception;
use super::place::{DrivesOn, Place};
use super::reading::Reading;
use super::recall::Recall;

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

impl Mention {
    /// First token of the words that name it or its place.
    pub fn from(&self) -> usize {
        self.place_words.iter().map(|w| w.0).fold(self.first, usize::min)
    }
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
    /// Corner each component was last spoken of at.
    pub(super) last_place: HashMap<usize, Place>,
    by_id: HashMap<String, usize>,
}

impl Scene {
    pub(super) fn component(&mut self, c: Component, known: Option<usize>) -> usize {
        if let Some(&i) = self.by_id.get(&c.id) {
            return i;
        }
        let i = self.components.len();
        self.by_id.insert(c.id.clone(), i);
        self.components.push(c);
        self.known.push(known);
        i
    }

    pub(super) fn known_part(&mut self, part: usize, lexicon: &Lexicon) -> usize {
        let p = &lexicon.parts[part];
        let c = Component { id: p.id.clone(), name: p.name.clone(), system: p.system.clone(), aliases: p.also.clone() };
        self.component(c, Some(part))
    }
}

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
        summing_up: false,
        heading: None,
        recall: Recall::default(),
    };
    s.run();
    s.scene
}

/// Builds a scene, clause by clause.
pub(super) struct Builder<'a> {
    pub(super) reading: &'a Reading,
    pub(super) lexicon: &'a Lexicon,
    pub(super) drives_on: DrivesOn,
    pub(super) scene: Scene,
    /// Place hits that a part took, or that are no places.
    pub(super) place_used: Vec<bool>,
    /// The corner that holds for the parts named next.
    pub(super) announced: Place,
    /// Clause it was announced in.
    pub(super) announced_clause: usize,
    /// The closing summary has begun.
    pub(super) summing_up: bool,
    /// Sentence that was read as a heading as a whole.
    pub(super) heading: Option<usize>,
    /// Parts found wanting so far.
    pub(super) recall: Recall,
}

/// A part candidate before its context is known.
pub(super) struct Candidate {
    pub(super) first: usize,
    pub(super) end: usize,
    /// What the lexicon makes of the words; `None` for a noun of no known part, and for a code.
    pub(super) hit: Option<PartHit>,
    /// The part a trouble code stands for.
    pub(super) code: Option<usize>,
}

/// Nobody names more parts in one breath; what each of them is held against stays bounded.
const MOST_LISTED: usize = 60;

impl Builder<'_> {
    fn run(&mut self) {
        self.dismiss_adverbs();
        let m = &self.reading.mentions;
        let in_figure = |first: usize, end: usize| {
            self.reading.measures_in(first.saturating_sub(8), end).iter().any(|x| x.first <= first && end <= x.end)
        };
        let mut candidates: Vec<Candidate> = m
            .parts
            .iter()
            .filter(|p| !in_figure(p.first, p.end))
            .map(|p| Candidate { first: p.first, end: p.end, hit: Some(p.clone()), code: None })
            .collect();
        candidates.extend(m.loose_heads.iter().map(|&(first, end)| Candidate { first, end, hit: None, code: None }));
        self.codes(&mut candidates);
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
        self.sentence_heading(clause);
        self.watch_for_summary(clause);
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

    #[allow(clippy::too_many_arguments)]
    fn named(
        &mut self,
        clause: usize,
        c: &Candidate,
        component: usize,
        how: How,
        score: f64,
        first: usize,
        spans: &[(usize, usize)],
    ) {
        let r = self.reading;
        let cl = r.clauses[clause];
        let mut place_words = Vec::new();
        let mut own = Place::default();
        let gone_through = self.figures_by_place(c.end, cl.end);
        // places on either side, up to the next part; those behind only when no later part of the clause claims them
        let left_edge = spans.iter().filter(|s| s.1 <= first).map(|s| s.1).max().unwrap_or(cl.first);
        let right_edge = spans.iter().filter(|s| s.0 >= c.end).map(|s| s.0).min().unwrap_or(cl.end);
        for n in self.places_in(left_edge, right_edge) {
            let p = &r.mentions.places[n];
            if p.end > right_edge || self.place_used[n] || self.bares_corner(p.end) {
                continue;
            }
            let Some(place) = self.place_meant(&self.lexicon.places[p.place]) else { continue };
            let behind = p.first >= c.end;
            // "right front's six and worn at the edge": the place stands for the part gone through
            if (!behind || gone_through) && self.figure_behind(p.end) {
                continue;
            }
            // "all good except the left rear": the place is what is excepted
            if behind && exception::cue_before(r, p.first).is_some_and(|cue| cue >= c.end) {
                continue;
            }
            // before the next part, place words right in front of it are its own
            if behind && right_edge < cl.end {
                let gap = (p.end..right_edge).all(|t| self.is_filler(t));
                if gap {
                    continue;
                }
            }
            let near = if behind { p.first - c.end <= 8 } else { first.saturating_sub(p.end) <= 6 };
            let adds = !own.clashes(place) || (behind && self.joined_places(&place_words, p.first));
            if near && adds {
                own = own.with(place);
                place_words.push((p.first, p.end));
                self.place_used[n] = true;
            }
        }
        own = self.place_named(first, c.end).overridden_by(own);
        let preposition = self.preposition(first, cl.first);
        self.keep_in_mind(component, first, c.end);
        // "water pumps leak at the weep hole": the same part named once more as its own landmark
        let named_already =
            self.scene.mentions.last().is_some_and(|m| {
                m.component == component && m.naming == Naming::Named && r.clause_of[m.first] == clause
            });
        if preposition.is_some() && named_already {
            return;
        }
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

    /// Whether a token may stand between a part and its place without parting them.
    pub(super) fn is_filler(&self, t: usize) -> bool {
        let word = self.reading.tokens[t].norm.as_str();
        is_determiner(word) || matches!(word, "'s" | "and" | "side" | "hand" | "on" | "of") || self.in_place(t)
    }

    /// Whether a token points at a thing: an article, a possessive, a demonstrative or a place.
    pub(super) fn points(&self, t: usize) -> bool {
        let word = self.reading.tokens[t].norm.as_str();
        is_determiner(word) || matches!(word, "new" | "my" | "our" | "their" | "each" | "one") || self.in_place(t)
    }

    /// Whether a token is one of the words of a place.
    fn in_place(&self, t: usize) -> bool {
        self.places_in(t.saturating_sub(4), t + 1).any(|n| self.reading.mentions.places[n].end > t)
    }

    /// Mentions parted by nothing but commas, "and", articles and places are one group.
    fn groups(&mut self) {
        let r = self.reading;
        let (mut group, mut opened) = (0, 0);
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
                    && (a.end..b.first).any(|t| {
                        matches!(r.tokens[t].kind, Kind::Mark(_))
                            || matches!(r.tokens[t].norm.as_str(), "and" | "or" | "plus" | "nor")
                    })
                    && r.clauses[r.clause_of[b.first]].before < Boundary::Strong;
                if !listed || i - opened >= MOST_LISTED {
                    group += 1;
                    opened = i;
                }
            }
            self.scene.mentions[i].group = group;
        }
    }
}

/// An article, a possessive or a demonstrative.
pub(super) fn is_determiner(word: &str) -> bool {
    matches!(word, "the" | "a" | "an" | "your" | "his" | "her" | "its" | "this" | "that" | "both")
}
