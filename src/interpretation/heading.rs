//! Owns headings: sentences that say where the talk goes on; which words are places at all, and the places that part names spell.

use crate::lexicon::{Cue, Meaning, PlaceWord};
use crate::text::{Boundary, Kind, Token};

use super::mention::{Builder, Naming};
use super::place::Place;

/// Words a heading may have besides its parts and places.
const HEADING_WORDS: usize = 5;

/// Longest heading, marks included.
const HEADING_TOKENS: usize = 24;

impl Builder<'_> {
    /// "Rear axle, left side, duals." — a sentence of parts and places with nothing said of them: the talk goes on there.
    pub(super) fn sentence_heading(&mut self, clause: usize) {
        let r = self.reading;
        let cl = r.clauses[clause];
        if cl.before < Boundary::Strong {
            return;
        }
        let last =
            (clause..r.clauses.len()).take_while(|&c| r.clauses[c].sentence == cl.sentence).last().unwrap_or(clause);
        let end = r.clauses[last].end;
        if end - cl.first > HEADING_TOKENS {
            return;
        }
        let parts = &r.mentions.parts;
        let named = parts.partition_point(|p| p.first < cl.first)..parts.partition_point(|p| p.first < end);
        let says = |c: usize| self.has_verdict(c) || r.clauses[c].asks;
        if named.is_empty() || (clause..=last).any(says) || r.has_cue(cl.first, end, Cue::Except) {
            return;
        }
        let (mut said, mut words) = (Place::default(), Vec::new());
        for n in self.places_in(cl.first, end) {
            let p = &r.mentions.places[n];
            if self.place_used[n] {
                continue;
            }
            let Some(place) = Place::from_words(&self.lexicon.places[p.place], self.drives_on) else { continue };
            if said.clashes(place) && !self.joined_places(&words, p.first) {
                return;
            }
            said = said.with(place);
            words.push((p.first, p.end));
        }
        for p in &parts[named.clone()] {
            let place = self.place_named(p.first, p.end);
            if said.clashes(place) {
                return;
            }
            said = said.with(place);
        }
        let known = |t: usize| {
            words.iter().any(|w| w.0 <= t && t < w.1) || parts[named.clone()].iter().any(|p| p.first <= t && t < p.end)
        };
        let others = (cl.first..end).filter(|&t| r.tokens[t].is_wordlike() && !known(t)).count();
        if others <= HEADING_WORDS && !said.corner().is_empty() {
            self.announce(cl.first, said, clause);
            self.heading = Some(cl.sentence);
        }
    }

    /// "Front suspension." — a part and a place alone in their sentence say where the talk goes on.
    pub(super) fn heading(&mut self, i: usize, clause: usize) {
        let r = self.reading;
        let c = r.clauses[clause];
        let m = &self.scene.mentions[i];
        let closes = r.clauses.get(clause + 1).is_none_or(|n| n.before >= Boundary::Middle);
        let said: usize = m.end - m.first + m.place_words.iter().map(|w| w.1 - w.0).sum::<usize>();
        let words = (c.first..c.end).filter(|&t| r.tokens[t].is_wordlike()).count();
        if m.naming == Naming::Named
            && c.before >= Boundary::Strong
            && !m.own.corner().is_empty()
            && ((closes && words <= said + 3) || self.starts_at_wheel(i))
            && !self.has_verdict(clause)
        {
            self.announce(m.first, m.own, clause);
        }
    }

    /// "I'm going to start at the left front wheel": a wheel named with its whole corner and nothing said of it.
    fn starts_at_wheel(&self, i: usize) -> bool {
        let m = &self.scene.mentions[i];
        self.reading.tokens[m.end - 1].norm == "wheel" && m.own.end().is_single() && m.own.side().is_single()
    }

    /// "Left front wheel is off", "I had the front wheels off": what stands behind the wheel comes next.
    pub(super) fn bares_corner(&self, place_end: usize) -> bool {
        let word = |t: usize| self.reading.tokens.get(t).map_or("", |t| t.norm.as_str());
        let wheel = word(place_end - 1) == "wheel" || word(place_end) == "wheel";
        let behind = (place_end..place_end + 3).find(|&t| !matches!(word(t), "wheel" | "is" | "'s" | "are" | "come"));
        wheel && behind.is_some_and(|t| word(t) == "off")
    }

    /// The corner that holds for the parts named from here on.
    pub(super) fn announce(&mut self, token: usize, place: Place, clause: usize) {
        let corner = place.corner();
        // what a heading says holds for all of it
        let within = self.heading == Some(self.reading.clauses[clause].sentence);
        if within || (corner.is_empty() && !place.is_empty()) {
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

    /// Marks place hits that say how something moves or was left: "skip right past", "glue that back", "may be left".
    pub(super) fn dismiss_adverbs(&mut self) {
        for n in 0..self.place_used.len() {
            self.place_used[n] = self.is_adverb(n);
        }
    }

    /// A bare "left", "right", "back" or "forward" is a place where a clause opens or something points at it, or where a part, a
    /// place or "one" follows.
    fn is_adverb(&self, n: usize) -> bool {
        let r = self.reading;
        let p = &r.mentions.places[n];
        let word = r.tokens[p.first].norm.as_str();
        if p.end != p.first + 1 || !matches!(word, "left" | "right" | "back" | "forward") {
            return false;
        }
        let cl = r.clauses[r.clause_of[p.first]];
        if word == "right" && self.opens_talk(n) {
            return true;
        }
        let parts = &r.mentions.parts;
        let places = &r.mentions.places;
        let near = |t: usize| {
            let k = parts.partition_point(|x| x.first < t);
            parts.get(k).is_some_and(|x| x.first == t) || places.get(n + 1).is_some_and(|x| x.first == t)
        };
        let after = r.tokens.get(p.end).filter(|_| p.end < cl.end);
        if near(p.end) || after.is_some_and(|t| matches!(t.norm.as_str(), "one" | "'s" | "and" | "&" | "side" | "hand"))
        {
            return false;
        }
        let Some(t) = p.first.checked_sub(1).filter(|_| p.first > cl.first) else {
            // "Right this is unit six", but "Right is dry"
            let speaks = |t: &Token| self.lexicon.common.contains(&t.word) && !is_copula(&t.norm);
            return word == "right" && after.is_some_and(speaks);
        };
        let before = &r.tokens[t];
        let k = parts.partition_point(|x| x.first <= t);
        let part = k.checked_sub(1).is_some_and(|k| parts[k].end > t);
        let leads = matches!(
            before.norm.as_str(),
            "on" | "at" | "in" | "and" | "or" | "&" | "to" | "of" | "from" | "front" | "rear"
        );
        !(part || leads || self.points(t) || before.kind != Kind::Word)
    }

    /// "Right, axle one, nearside": a word to begin with, where the sentence names a side besides.
    fn opens_talk(&self, n: usize) -> bool {
        let r = self.reading;
        let p = &r.mentions.places[n];
        let sentence = r.sentence_of(p.first);
        let opens = p.first.checked_sub(1).is_none_or(|t| r.sentence_of(t) != sentence);
        let comma = r.tokens.get(p.end).is_some_and(|t| t.kind == Kind::Mark(','));
        if !(opens && comma) {
            return false;
        }
        let sided = |place: &[PlaceWord]| {
            Place::from_words(place, self.drives_on).is_some_and(|place| !place.side().is_empty())
        };
        let mut more = r.mentions.places[n + 1..].iter().take_while(|q| r.sentence_of(q.first) == sentence);
        more.any(|q| sided(&self.lexicon.places[q.place]))
    }

    /// The place a part's own words spell: "drive axle" is at the rear.
    pub(super) fn place_named(&self, first: usize, end: usize) -> Place {
        let words: Vec<&str> = self.reading.tokens[first..end].iter().map(|t| t.norm.as_str()).collect();
        let meanings = self.lexicon.phrase(&words.join(" ")).map(|p| &self.lexicon.meanings[p]).unwrap_or_default();
        meanings
            .iter()
            .find_map(|m| match m {
                Meaning::Place { place, short: false } => {
                    Place::from_words(&self.lexicon.places[*place], self.drives_on)
                }
                _ => None,
            })
            .or_else(|| self.seat_named(&words))
            .unwrap_or_default()
    }

    /// "driver's seat" names a side with the part.
    fn seat_named(&self, words: &[&str]) -> Option<Place> {
        let word = match words.first().copied()? {
            "driver" | "drivers" => PlaceWord::Driver,
            "passenger" | "passengers" if words.len() > 1 => PlaceWord::Passenger,
            _ => return None,
        };
        Place::from_words(&[word], self.drives_on)
    }
}

/// Words that make what stands before them the subject.
pub(super) fn is_copula(word: &str) -> bool {
    matches!(word, "'s" | "is" | "are" | "was" | "were" | "has" | "have" | "had" | "looks" | "feels")
}
