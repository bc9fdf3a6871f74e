//! Owns where a mention is on the vehicle: places said with it, announced before it, or standing for it ("the right one").

use crate::lexicon::{Cue, PlaceWord, Position};
use crate::text::{Boundary, Kind};

use super::mention::{Builder, Mention, Naming};
use super::place::Place;
use super::polarity::Says;

/// Systems whose parts have a side, so that a place announced a moment ago holds for them.
pub(super) const SIDED_SYSTEMS: [&str; 6] = ["body", "lights", "glass-wipers", "interior", "trailer", "bus"];

/// Share of the talk behind which "so, to sum up" opens the closing summary.
const LAST_PART: f64 = 0.6;

impl Builder<'_> {
    /// Indexes of the place hits that start in `from..to`.
    pub(super) fn places_in(&self, from: usize, to: usize) -> std::ops::Range<usize> {
        let all = &self.reading.mentions.places;
        all.partition_point(|p| p.first < from)..all.partition_point(|p| p.first < to)
    }

    /// "left and right": the second place adds to the first.
    pub(super) fn joined_places(&self, words: &[(usize, usize)], at: usize) -> bool {
        words.last().is_some_and(|&(_, end)| {
            at >= end
                && at - end <= 2
                && (end..at).all(|t| matches!(self.reading.tokens[t].norm.as_str(), "and" | "&" | "+" | "or"))
        })
    }

    pub(super) fn preposition(&self, first: usize, from: usize) -> Option<Cue> {
        let r = self.reading;
        let mut t = first;
        while t > from && first - t < 5 {
            t -= 1;
            let cue = r.signals_in(t, t + 1).iter().find_map(|s| match s.says {
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
    pub(super) fn places_alone(&mut self, clause: usize, named: bool) {
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
                said = if said.clashes(place) && !self.joined_places(&words, p.first) {
                    said.overridden_by(place)
                } else {
                    said.with(place)
                };
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
            if short && let Some(across) = self.announced.other_side().filter(|p| !p.side().is_empty()) {
                self.announce(words[0].0, across, clause);
                return;
            }
        }
        let same = r.has_cue(cl.first, cl.end, Cue::SameAgain);
        let other_cue = r.has_cue(cl.first, cl.end, Cue::OtherOne);
        if (other || other_cue || (same && !said.is_empty()))
            && !self.names_subject(clause)
            && let Some(i) = self.twin_of(clause, said, other)
        {
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
        if words.last().is_some_and(|w| self.bares_corner(w.1)) {
            self.announce(words[0].0, said, clause);
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
        let extra = (cl.first..cl.end)
            .filter(|&t| r.tokens[t].is_wordlike())
            .count()
            .saturating_sub(words.iter().map(|w| w.1 - w.0).sum());
        let only_place = extra <= 4;
        // "CV boot, outer" / "door mirror, offside": a place right behind a part with nothing said between is the part's
        if let Some(i) = self.just_named(clause)
            && only_place
            && !own_verdict
            && !self.scene.mentions[i].own.shares_axis(said)
            && !self.goes_through(i, clause, said)
            && (cl.before == Boundary::Weak || !self.next_sentence_names(clause))
        {
            let group: Vec<usize> =
                (0..=i).rev().take_while(|k| r.clause_of[self.scene.mentions[*k].first] + 2 > clause).collect();
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
        let counterpart = self.counterpart_of(clause, said).filter(|_| one_behind);
        if let Some(i) = counterpart.or_else(|| self.focus(clause)) {
            let f = &self.scene.mentions[i];
            let answers = cl.asks || (!self.next_sentence_names(clause) && self.next_clause_has_verdict(clause));
            // "Tires. Front two, seven thirty-seconds.": a part at every wheel is gone through wheel by wheel
            let part_of_it = f.place.shares_axis(said) || self.per_wheel(f.component);
            let refers = own_verdict || one_behind || (only_place && answers && part_of_it);
            if refers && f.place.overridden_by(said) != f.place {
                let i = self.head_of_list(i);
                let place = self.moved_to(i, said);
                // "Right front, outer's six": the talk has moved there
                let corner = said.end().is_single() && said.side().is_single();
                if words[0].0 == cl.first && corner && self.per_wheel(self.scene.mentions[i].component) {
                    self.announce(words[0].0, said, clause);
                }
                self.by_place(clause, i, place, words, Naming::ByPlace);
                return;
            }
        }
        if only_place || !own_verdict {
            self.announce(words[0].0, said, clause);
        }
    }

    /// The last mention, where the clause before this one ends with it and says nothing of it.
    pub(super) fn just_named(&self, clause: usize) -> Option<usize> {
        let r = self.reading;
        let i = self.scene.mentions.len().checked_sub(1)?;
        let m = &self.scene.mentions[i];
        let c = r.clause_of[m.first];
        let silent = !(c..clause).any(|k| self.has_verdict(k));
        (m.naming == Naming::Named && c + 1 == clause && silent).then_some(i)
    }

    /// Whether the sentence behind this clause names a part.
    pub(super) fn next_sentence_names(&self, clause: usize) -> bool {
        let r = self.reading;
        let Some(next) = r.clauses.get(clause + 1) else { return true };
        let end = r.clauses[clause + 1..]
            .iter()
            .take_while(|c| c.sentence == next.sentence)
            .last()
            .map_or(next.end, |c| c.end);
        let from = r.mentions.parts.partition_point(|p| p.first < next.first);
        r.mentions.parts.get(from).is_some_and(|p| p.first < end)
    }

    /// "Right," or "Right." at the head of a sentence: a filler, unless the other side was the last one announced.
    pub(super) fn is_filler_right(&self, first: usize, end: usize) -> bool {
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

    pub(super) fn has_verdict(&self, clause: usize) -> bool {
        let c = self.reading.clauses[clause];
        self.reading.signals_in(c.first, c.end).iter().any(|s| {
            matches!(s.says, Says::Defect(_) | Says::SomeDefect | Says::Sound { .. } | Says::Unchecked | Says::Serviced)
        }) || self.reading.measured_in(c.first, c.end)
    }

    pub(super) fn next_clause_has_verdict(&self, clause: usize) -> bool {
        clause + 1 < self.reading.clauses.len() && self.has_verdict(clause + 1)
    }

    /// The part the talk is about: the last mention that is no landmark.
    pub(super) fn focus(&self, clause: usize) -> Option<usize> {
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

    pub(super) fn by_place(
        &mut self,
        clause: usize,
        focus: usize,
        place: Place,
        words: Vec<(usize, usize)>,
        naming: Naming,
    ) {
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

    /// The place known altogether: said, usual for the part, announced.
    pub(super) fn settle_place(&mut self, i: usize, clause: usize) {
        let m = &self.scene.mentions[i];
        if m.naming != Naming::Named {
            return;
        }
        let component = &self.scene.components[m.component];
        let known = self.scene.known[m.component].map(|k| &self.lexicon.parts[k]);
        let usual = known.map(|p| Place::of(&p.usual)).unwrap_or_default();
        let system = component.system.as_str();
        let age = clause - self.announced_clause.min(clause);
        let inherits = self.per_wheel(m.component) || (SIDED_SYSTEMS.contains(&system) && age <= 12);
        let mut place =
            if inherits && !self.points_back(i) && !self.summing_up { self.announced } else { Place::default() };
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
            place = if usual.clashes(own) { own } else { usual.overridden_by(own) };
        }
        let place = self.completed(i, clause, place, usual);
        self.scene.mentions[i].place = place;
        if !place.corner().is_empty() {
            self.scene.last_place.insert(self.scene.mentions[i].component, place.corner());
        }
    }

    /// Once the talk sums up, corners announced before it hold no longer.
    pub(super) fn watch_for_summary(&mut self, clause: usize) {
        let r = self.reading;
        let c = r.clauses[clause];
        let late = c.first as f64 > r.tokens.len() as f64 * LAST_PART;
        self.summing_up |= late && r.has_cue(c.first, c.end, Cue::Summary);
    }

    /// "that door seal": a part spoken of before is meant, wherever that was.
    fn points_back(&self, i: usize) -> bool {
        let m = &self.scene.mentions[i];
        let before = m.first.checked_sub(1).map(|t| self.reading.tokens[t].norm.as_str());
        let seen = &self.scene.last_place;
        m.own.corner().is_empty()
            && matches!(before, Some("that" | "those"))
            && seen.get(&m.component).is_some_and(|p| *p != self.announced)
    }

    /// "both of them", "all four": words behind a mention that spread it over sides and ends; plain plurals of paired parts are
    /// on both sides.
    pub(super) fn spread(&mut self) {
        let r = self.reading;
        let sides = Place::of(&[Position::Left, Position::Right]);
        let all = sides.with(Place::of(&[Position::Front, Position::Rear]));
        for i in 0..self.scene.mentions.len() {
            let m = &self.scene.mentions[i];
            let system = self.scene.components[m.component].system.as_str();
            let corner = self.per_wheel(m.component);
            if m.naming != Naming::Named
                || !(corner || SIDED_SYSTEMS.contains(&system))
                || !m.own.side().is_empty()
                || !(m.plural || m.place.side().is_empty())
            {
                continue;
            }
            let clause = r.clauses[r.clause_of[m.first]];
            let next = self.scene.mentions.get(i + 1).map_or(r.tokens.len(), |n| n.first);
            let until = r.clauses.get(r.clause_of[m.first] + 1).map_or(clause.end, |c| c.end).min(next);
            let both = r.has_cue(clause.first, until, Cue::Both);
            let every = r.has_cue(clause.first, until, Cue::AllOf);
            let spread = if corner && every && m.plural && m.place.end().is_empty() {
                m.place.with(all)
            } else if both || (corner && m.plural && !m.place.end().is_empty() && m.place.side().is_empty()) {
                m.place.with(sides)
            } else {
                continue;
            };
            self.scene.mentions[i].place = spread;
        }
    }

    /// Whether the part sits at every wheel; a part made of another one does where that does.
    pub(super) fn per_wheel(&self, component: usize) -> bool {
        match self.scene.known[component] {
            Some(part) => self.lexicon.per_wheel[part],
            None => {
                let c = &self.scene.components[component];
                self.lexicon
                    .parts
                    .iter()
                    .enumerate()
                    .any(|(i, p)| self.lexicon.per_wheel[i] && c.name.starts_with(&p.name) && c.system == p.system)
            }
        }
    }
}
