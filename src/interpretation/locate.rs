//! Owns where a mention is on the vehicle: places said with it, announced before it, or standing for it ("the right one").

use crate::lexicon::{Cue, Position};
use crate::text::Kind;

use super::mention::{Builder, Naming};
use super::place::Place;
use super::polarity::Says;

/// Clauses over which an announced place holds for parts that have a side.
const SIDED_REACH: usize = 12;
/// The same for parts of the running gear that do not sit at every wheel.
const RUNNING_GEAR_REACH: usize = 8;

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

    pub(super) fn has_verdict(&self, clause: usize) -> bool {
        let c = self.reading.clauses[clause];
        self.reading.signals_in(c.first, c.end).iter().any(|s| {
            matches!(s.says, Says::Defect(_) | Says::SomeDefect | Says::Sound { .. } | Says::Unchecked | Says::Serviced)
        }) || self.reading.measured_in(c.first, c.end)
    }

    pub(super) fn next_clause_has_verdict(&self, clause: usize) -> bool {
        // "The rears, though, they're down to metal": a word alone tells nothing
        let all = &self.reading.clauses;
        (clause + 1..all.len())
            .find(|k| all[*k].end - all[*k].first > 1 || self.closes(*k) || self.has_verdict(*k))
            .is_some_and(|k| self.has_verdict(k))
    }

    /// The place known altogether: said, usual for the part, announced.
    pub(super) fn settle_place(&mut self, i: usize, clause: usize) {
        let m = &self.scene.mentions[i];
        if m.naming != Naming::Named {
            return;
        }
        if let Some(other) = self.other_of_pair(i, clause) {
            self.scene.mentions[i].own = other;
        }
        let m = &self.scene.mentions[i];
        let component = &self.scene.components[m.component];
        let known = self.scene.known[m.component].map(|k| &self.lexicon.parts[k]);
        let usual = known.map(|p| Place::of(&p.usual)).unwrap_or_default();
        let system = component.system.as_str();
        let age = clause - self.announced_clause.min(clause);
        let sides = &self.lexicon.sides;
        let inherits = self.per_wheel(m.component)
            || (sides.is_sided(system) && age <= SIDED_REACH)
            || (sides.is_running_gear(system) && age <= RUNNING_GEAR_REACH);
        let mut place = if self.points_back(i) || self.summing_up {
            Place::default()
        } else if inherits {
            self.announced
        } else {
            Place::default()
        };
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
                || !(corner || self.lexicon.sides.is_sided(system))
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
            Some(part) => self.lexicon.sides.per_wheel[part],
            None => {
                let c = &self.scene.components[component];
                self.lexicon.parts.iter().enumerate().any(|(i, p)| {
                    self.lexicon.sides.per_wheel[i] && c.name.starts_with(&p.name) && c.system == p.system
                })
            }
        }
    }
}
