//! Owns places as work is counted by them: what a finding's position comes to, one place at a time, and which of them a job or an
//! operation tells apart.

use serde::{Deserialize, Serialize};

use crate::lexicon::Position;

/// What a job or an operation is done once for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Per {
    /// The whole vehicle.
    #[default]
    Vehicle,
    /// Front and rear.
    End,
    /// Left and right.
    Side,
    /// Each wheel.
    Corner,
    /// Every place that is told apart in words, upper and lower, inner and outer too.
    Place,
}

impl Per {
    /// Whether it tells apart every axis that these words are of.
    pub fn tells_apart(self, at: &[Position]) -> bool {
        AXES.iter().enumerate().all(|(axis, words)| self.tells(axis) || !words.iter().any(|w| at.contains(w)))
    }

    /// Whether it tells this axis apart.
    fn tells(self, axis: usize) -> bool {
        match self {
            Per::Vehicle => false,
            Per::End => axis == END,
            Per::Side => axis == SIDE,
            Per::Corner => axis <= SIDE,
            Per::Place => true,
        }
    }
}

const END: usize = 0;
const SIDE: usize = 1;

/// The words of each axis of the vehicle.
const AXES: [&[Position]; 4] = [
    &[Position::Front, Position::Rear],
    &[Position::Left, Position::Right, Position::Center],
    &[Position::Upper, Position::Lower],
    &[Position::Inner, Position::Outer],
];

/// One place: at most one word an axis, none where it was not said or does not matter.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Site([Option<Position>; AXES.len()]);

impl Site {
    /// Every place that a position stands for: "front, both sides" is two, "all four" four.
    pub fn all(position: &[Position]) -> Vec<Site> {
        let mut out = vec![Site::default()];
        for (axis, words) in AXES.iter().enumerate() {
            let said: Vec<Position> = words.iter().copied().filter(|w| position.contains(w)).collect();
            if !said.is_empty() {
                out = out.iter().flat_map(|site| said.iter().map(|w| site.with(axis, *w))).collect();
            }
        }
        out.sort();
        out
    }

    fn with(mut self, axis: usize, word: Position) -> Site {
        self.0[axis] = Some(word);
        self
    }

    /// The place as the findings document has it.
    pub fn position(self) -> Vec<Position> {
        self.0.into_iter().flatten().collect()
    }

    /// Whether nothing said of the place speaks against one of `at`: on each axis that `at` has words of, the site has one of
    /// them or says nothing.
    pub fn fits(self, at: &[Position]) -> bool {
        AXES.iter().enumerate().all(|(axis, words)| {
            let asked = words.iter().any(|w| at.contains(w));
            !asked || self.0[axis].is_none_or(|w| at.contains(&w))
        })
    }

    /// Whether the place is known to be one of `at`: on each axis that `at` has words of, the site has one of them.
    pub fn is_at(self, at: &[Position]) -> bool {
        AXES.iter().enumerate().all(|(axis, words)| {
            let asked = words.iter().any(|w| at.contains(w));
            !asked || self.0[axis].is_some_and(|w| at.contains(&w))
        })
    }

    /// The place that a job done per `per` and only at `at` is done at for this one: axes it does not tell apart are left away, and
    /// a single word of `at` holds where nothing was said.
    pub fn for_job(self, per: Per, at: &[Position]) -> Site {
        let mut out = Site::default();
        for (axis, words) in AXES.iter().enumerate() {
            let mut only = words.iter().copied().filter(|w| at.contains(w));
            let only = if let (Some(w), None) = (only.next(), only.next()) { Some(w) } else { None };
            out.0[axis] = if per.tells(axis) { self.0[axis].or(only) } else { only };
        }
        out
    }

    /// Axes that `per` tells apart and nothing is known of here, in words; empty where all is known.
    pub fn unknown(self, per: Per) -> Vec<&'static str> {
        let names = ["front or rear", "left or right"];
        (END..=SIDE).filter(|a| per.tells(*a) && self.0[*a].is_none()).map(|a| names[a]).collect()
    }

    /// The places at which an operation done per `to` is needed for work done per `from` here: work on a whole end needs both
    /// wheels off, work on a wheel needs the vehicle lifted once. What was not said stays unsaid.
    pub fn spread(self, from: Per, to: Per) -> Vec<Site> {
        let mut out = vec![Site::default()];
        for (axis, words) in AXES.iter().enumerate() {
            if !to.tells(axis) {
                continue;
            }
            match self.0[axis] {
                Some(word) => out = out.iter().map(|s| s.with(axis, word)).collect(),
                None if from.tells(axis) || axis > SIDE => {}
                None => out = out.iter().flat_map(|s| words[..2].iter().map(|w| s.with(axis, *w))).collect(),
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Position::{Center, Front, Left, Lower, Rear, Right, Upper};

    fn words(sites: &[Site]) -> Vec<Vec<Position>> {
        sites.iter().map(|s| s.position()).collect()
    }

    #[test]
    fn a_position_comes_to_single_places() {
        let table: [(&[Position], Vec<Vec<Position>>); 5] = [
            (&[], vec![vec![]]),
            (&[Front, Left, Lower], vec![vec![Front, Left, Lower]]),
            (&[Left, Right], vec![vec![Left], vec![Right]]),
            (&[Rear, Center], vec![vec![Rear, Center]]),
            (
                &[Front, Rear, Left, Right],
                vec![vec![Front, Left], vec![Front, Right], vec![Rear, Left], vec![Rear, Right]],
            ),
        ];
        for (position, expected) in table {
            assert_eq!(words(&Site::all(position)), expected, "{position:?}");
        }
    }

    #[test]
    fn jobs_take_the_axes_they_tell_apart() {
        let site = Site::all(&[Front, Left, Lower])[0];
        let table: [(Per, &[Position], Vec<Position>); 5] = [
            (Per::Vehicle, &[], vec![]),
            (Per::Vehicle, &[Front], vec![Front]),
            (Per::End, &[], vec![Front]),
            (Per::Corner, &[], vec![Front, Left]),
            (Per::Place, &[], vec![Front, Left, Lower]),
        ];
        for (per, at, expected) in table {
            assert_eq!(site.for_job(per, at).position(), expected, "{per:?} {at:?}");
        }
        assert!(site.fits(&[Front, Rear]) && site.fits(&[Lower]) && !site.fits(&[Upper]) && !site.fits(&[Rear]));
        assert!(Site::default().fits(&[Rear]));
        assert_eq!(Site::default().for_job(Per::End, &[Rear]).position(), vec![Rear]);
    }

    #[test]
    fn operations_spread_over_what_the_work_covers() {
        let at = |p: &[Position]| Site::all(p)[0];
        let table: [(Site, Per, Per, Vec<Vec<Position>>); 7] = [
            (at(&[Front, Left]), Per::Corner, Per::Vehicle, vec![vec![]]),
            (at(&[Front, Left]), Per::Corner, Per::Corner, vec![vec![Front, Left]]),
            (at(&[Front]), Per::End, Per::Corner, vec![vec![Front, Left], vec![Front, Right]]),
            (at(&[]), Per::Vehicle, Per::End, vec![vec![Front], vec![Rear]]),
            (at(&[Front]), Per::Vehicle, Per::Corner, vec![vec![Front, Left], vec![Front, Right]]),
            (at(&[Left]), Per::Corner, Per::Corner, vec![vec![Left]]),
            (at(&[Front, Left, Upper]), Per::Place, Per::Corner, vec![vec![Front, Left]]),
        ];
        for (site, from, to, expected) in table {
            assert_eq!(words(&site.spread(from, to)), expected, "{site:?} {from:?} {to:?}");
        }
    }
}
