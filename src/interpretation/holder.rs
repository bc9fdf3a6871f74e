//! Owns places that words leave open and the talk just before fills in: a piece sits where its whole does, a twin at the same end.

use crate::lexicon::{Cue, PlaceWord, Position};

use super::mention::{Builder, Mention};
use super::place::Place;

/// Mentions looked back over for the whole or the neighbour.
const NEIGHBOURS: usize = 4;
/// Clauses over which the end said of a neighbour holds.
const NEIGHBOUR_REACH: usize = 3;
/// Mentions looked back over for the same part.
const TWIN_MENTIONS: usize = 12;
/// Clauses over which the end said of the same part holds.
const TWIN_REACH: usize = 16;

impl Builder<'_> {
    /// What place words say, those included that point at where the talk was a moment ago.
    pub(super) fn place_meant(&self, words: &[PlaceWord]) -> Option<Place> {
        if words.contains(&PlaceWord::SameCorner) {
            return Some(self.spoken_of()).filter(|p| !p.is_empty());
        }
        if words.contains(&PlaceWord::SameEnd) {
            return Some(self.spoken_of().end()).filter(|p| !p.is_empty());
        }
        Place::from_words(words, self.drives_on)
    }

    /// The corner last spoken of, with a part or announced.
    fn spoken_of(&self) -> Place {
        let last = self.scene.mentions.iter().rev().take(TWIN_MENTIONS).find(|m| !m.own.corner().is_empty());
        let announced = self.scene.announcements.last().map_or(0, |a| a.0);
        match last {
            Some(m) if m.first >= announced || self.announced.is_empty() => m.place.corner(),
            _ => self.announced,
        }
    }

    /// Fills in what the words of mention `i` leave open from the mentions before it.
    pub(super) fn completed(&self, i: usize, clause: usize, place: Place, usual: Place) -> Place {
        if self.scene.mentions[i].own.corner().is_empty() {
            let whole = self.place_of_whole(i, clause).filter(|p| !p.clashes(usual));
            return whole.map_or(place, |p| place.overridden_by(p));
        }
        if place.end().is_empty() && !place.side().is_empty() {
            let end = self.end_of_twin(i, clause).or_else(|| self.end_of_neighbour(i, clause));
            return end.map_or(place, |e| place.with(e));
        }
        place
    }

    /// "Tires. Front two, seven thirty-seconds.": parts at every wheel, gone through place by place.
    pub(super) fn goes_through(&self, i: usize, clause: usize, said: Place) -> bool {
        let r = self.reading;
        let m = &self.scene.mentions[i];
        let same_sentence = r.clauses.get(clause + 1).is_some_and(|n| n.sentence == r.clauses[clause].sentence);
        m.plural
            && self.per_wheel(m.component)
            && !said.corner().is_empty()
            && r.sentence_of(m.first) < r.clauses[clause].sentence
            && same_sentence
            && self.next_clause_has_verdict(clause)
    }

    /// "the right one": the nearest part that was spoken of on the left, where what was named last has no side of its own.
    pub(super) fn counterpart_of(&self, clause: usize, said: Place) -> Option<usize> {
        let r = self.reading;
        let all = &self.scene.mentions;
        let near = all.iter().enumerate().rev().take(NEIGHBOURS);
        near.filter(|(_, m)| clause.saturating_sub(r.clause_of[m.first]) <= NEIGHBOUR_REACH)
            .find(|(_, m)| m.preposition != Some(Cue::Landmark) && m.own.clashes(said))
            .map(|(i, _)| i)
    }

    /// Where the part is when only a place is said; an end said of parts at every wheel means both sides of it.
    pub(super) fn moved_to(&self, i: usize, said: Place) -> Place {
        let m = &self.scene.mentions[i];
        let whole_end = m.plural && m.own.side().is_empty() && said.side().is_empty() && !said.end().is_empty();
        if whole_end && self.per_wheel(m.component) {
            return m.place.overridden_by(said).with(Place::of(&[Position::Left, Position::Right]));
        }
        m.place.overridden_by(said)
    }

    /// "Tires and wheels. Front two, seven": the first of the parts named in one clause.
    pub(super) fn head_of_list(&self, i: usize) -> usize {
        let r = self.reading;
        let clause = r.clause_of[self.scene.mentions[i].first];
        let listed = |k: &usize| r.clause_of[self.scene.mentions[*k].first] == clause && self.scene.mentions[*k].plural;
        if self.has_verdict(clause) { i } else { (0..=i).rev().take_while(listed).last().unwrap_or(i) }
    }

    /// The mentions before mention `i` that are no landmarks, last first: among `count` of them, within `reach` clauses.
    fn before(&self, i: usize, count: usize, clause: usize, reach: usize) -> impl Iterator<Item = &Mention> {
        let last = self.scene.mentions[..i].iter().rev().take(count);
        last.filter(|m| m.preposition != Some(Cue::Landmark))
            .take_while(move |m| clause.saturating_sub(self.reading.clause_of[m.first]) <= reach)
    }

    fn system(&self, m: &Mention) -> &str {
        &self.scene.components[m.component].system
    }

    /// "Driver's window is slow, motor's tired": the place of the part whose sentence goes on.
    fn place_of_whole(&self, i: usize, clause: usize) -> Option<Place> {
        let r = self.reading;
        let m = &self.scene.mentions[i];
        let sided = self.lexicon.sides.is_sided(self.system(m));
        if m.plural || m.preposition == Some(Cue::Landmark) || !(sided || self.per_wheel(m.component)) {
            return None;
        }
        let sentence = r.clauses[clause].sentence;
        let whole = self
            .before(i, 1, clause, usize::MAX)
            .find(|w| r.sentence_of(w.first) == sentence && !w.own.corner().is_empty())?;
        let listed = r.tokens.get(whole.end..m.first)?.iter().any(|t| matches!(t.norm.as_str(), "and" | "or" | "&"));
        let akin = self.system(whole) == self.system(m) || (sided && self.lexicon.sides.is_sided(self.system(whole)));
        (akin && !listed).then(|| whole.place.corner())
    }

    /// "Left front strut leaks. The other strut is dry": the side that nothing was said of yet.
    pub(super) fn other_of_pair(&self, i: usize, clause: usize) -> Option<Place> {
        let m = &self.scene.mentions[i];
        let word = |back: usize| m.first.checked_sub(back).map_or("", |t| self.reading.tokens[t].norm.as_str());
        if !m.own.corner().is_empty()
            || m.plural
            || word(1) != "other"
            || matches!(word(2), "any" | "every" | "some" | "no" | "each")
        {
            return None;
        }
        let mut same = self.before(i, TWIN_MENTIONS, clause, TWIN_REACH).filter(|w| w.component == m.component);
        same.find_map(|w| w.place.other_one())
    }

    /// "The nearside rear spring is broken. The offside spring is complete": the end the same part was spoken of at.
    fn end_of_twin(&self, i: usize, clause: usize) -> Option<Place> {
        let part = self.scene.mentions[i].component;
        let same = self.before(i, TWIN_MENTIONS, clause, TWIN_REACH).filter(|w| w.component == part);
        same.map(|w| w.place.end()).find(|end| end.is_single())
    }

    /// "Front diff, the right mount": the end said of a part of the same system just before.
    fn end_of_neighbour(&self, i: usize, clause: usize) -> Option<Place> {
        let system = self.system(&self.scene.mentions[i]);
        let akin = self.before(i, NEIGHBOURS, clause, NEIGHBOUR_REACH).filter(|w| self.system(w) == system);
        akin.map(|w| w.own.end()).find(|end| end.is_single())
    }
}
