//! Owns which part is meant by "the other one", "its mate", "same on the other side".

use crate::lexicon::Cue;

use super::mention::{Builder, Mention};
use super::place::Place;

impl Builder<'_> {
    /// Whether the clause names a part that is more than a landmark ("its mate across the axle" names none).
    pub(super) fn names_subject(&self, clause: usize) -> bool {
        let here = |m: &&Mention| self.reading.clause_of[m.first] == clause;
        self.scene.mentions.iter().rev().take_while(here).any(|m| m.preposition.is_none())
    }

    /// The part whose other one is meant: the nearest that has one, the subject of its clause before what stands behind it.
    pub(super) fn twin_of(&self, clause: usize, said: Place, other: bool) -> Option<usize> {
        let r = self.reading;
        let has_twin = |m: &Mention| {
            if !said.is_empty() {
                return m.place.overridden_by(said) != m.place;
            }
            if other { m.place.other_side().is_some() } else { m.place.other_one().is_some() }
        };
        let near = self.scene.mentions.iter().enumerate().rev().take(6);
        let mut near =
            near.filter(|(_, m)| clause - r.clause_of[m.first] <= 8 && r.clause_of[m.first] < clause && has_twin(m));
        let last = near.clone().find(|(_, m)| m.preposition != Some(Cue::Landmark))?;
        let home = r.clause_of[last.1.first];
        if last.1.preposition.is_none() {
            return Some(last.0);
        }
        let subject = near.find(|(_, m)| m.preposition.is_none() && r.clause_of[m.first] == home);
        subject.or(Some(last)).map(|(i, _)| i)
    }
}
