//! Owns places as sets of positions, and how one place continues or overrides another.

use crate::lexicon::{PlaceWord, Position};

/// On which side of the road the vehicle is driven: decides where the driver sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DrivesOn {
    /// Driver on the right.
    Left,
    /// Driver on the left.
    #[default]
    Right,
}

/// A set of [`Position`]s.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, PartialOrd, Ord)]
pub struct Place(u16);

/// Positions that exclude each other lie on one axis.
const AXES: [&[Position]; 5] = [
    &[Position::Front, Position::Rear],
    &[Position::Left, Position::Right],
    &[Position::Upper, Position::Lower],
    &[Position::Inner, Position::Outer],
    &[Position::Center],
];

fn bit(p: Position) -> u16 {
    1 << (p as u16)
}

fn mask(axis: &[Position]) -> u16 {
    axis.iter().map(|p| bit(*p)).sum()
}

impl Place {
    /// The place made of these positions.
    pub fn of(positions: &[Position]) -> Place {
        Place(positions.iter().map(|p| bit(*p)).fold(0, |a, b| a | b))
    }

    /// What a place phrase says; `None` for words that refer to a place said before.
    pub fn from_words(words: &[PlaceWord], drives_on: DrivesOn) -> Option<Place> {
        let driver = match drives_on {
            DrivesOn::Left => Position::Right,
            DrivesOn::Right => Position::Left,
        };
        let mut out = Place::default();
        for w in words {
            let p = match w {
                PlaceWord::Front => Position::Front,
                PlaceWord::Rear => Position::Rear,
                PlaceWord::Left => Position::Left,
                PlaceWord::Right => Position::Right,
                PlaceWord::Upper => Position::Upper,
                PlaceWord::Lower => Position::Lower,
                PlaceWord::Inner => Position::Inner,
                PlaceWord::Outer => Position::Outer,
                PlaceWord::Center => Position::Center,
                PlaceWord::Driver => driver,
                PlaceWord::Passenger if driver == Position::Left => Position::Right,
                PlaceWord::Passenger => Position::Left,
                PlaceWord::OtherSide
                | PlaceWord::SameCorner
                | PlaceWord::SameEnd
                | PlaceWord::Anywhere
                | PlaceWord::Nowhere => return None,
            };
            out.0 |= bit(p);
        }
        Some(out)
    }

    /// Nothing said.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Exactly one position.
    pub fn is_single(self) -> bool {
        self.0.count_ones() == 1
    }

    /// Positions in the order of the contract.
    pub fn positions(self) -> Vec<Position> {
        Position::ALL.iter().copied().filter(|p| self.0 & bit(*p) != 0).collect()
    }

    /// Whether `p` is among them.
    pub fn has(self, p: Position) -> bool {
        self.0 & bit(p) != 0
    }

    /// All positions of both.
    pub fn with(self, other: Place) -> Place {
        Place(self.0 | other.0)
    }

    /// `other` where it says something, this place on the other axes.
    pub fn overridden_by(self, other: Place) -> Place {
        AXES.iter().fold(self, |out, axis| {
            let m = mask(axis);
            if other.0 & m != 0 { Place((out.0 & !m) | (other.0 & m)) } else { out }
        })
    }

    /// Only the axes that say where on the vehicle: front/rear and left/right.
    pub fn corner(self) -> Place {
        Place(self.0 & (mask(AXES[0]) | mask(AXES[1])))
    }

    /// Only front/rear.
    pub fn end(self) -> Place {
        Place(self.0 & mask(AXES[0]))
    }

    /// Only left/right.
    pub fn side(self) -> Place {
        Place(self.0 & mask(AXES[1]))
    }

    /// Whether both say something on one axis and share nothing there.
    pub fn clashes(self, other: Place) -> bool {
        AXES.iter().any(|axis| {
            let (a, b) = (self.0 & mask(axis), other.0 & mask(axis));
            a != 0 && b != 0 && a & b == 0
        })
    }

    /// Whether both say something on one axis, and not the same.
    pub fn differs(self, other: Place) -> bool {
        AXES.iter().any(|axis| {
            let (a, b) = (self.0 & mask(axis), other.0 & mask(axis));
            a != 0 && b != 0 && a != b
        })
    }

    /// Number of axes on which the two say different things, one of them perhaps nothing.
    pub fn differs_on(self, other: Place) -> usize {
        AXES.iter().filter(|axis| self.0 & mask(axis) != other.0 & mask(axis)).count()
    }

    /// Whether some axis is spoken of by both.
    pub fn shares_axis(self, other: Place) -> bool {
        AXES.iter().any(|axis| self.0 & mask(axis) != 0 && other.0 & mask(axis) != 0)
    }

    /// What is left of a place that spans both positions of an axis once `part` says something else of one of them; `None` where
    /// `part` is no such half.
    pub fn without_half(self, part: Place) -> Option<Place> {
        let halved = |axis: &&[Position]| {
            let m = mask(axis);
            (self.0 & m).count_ones() == 2 && (part.0 & m).count_ones() == 1
        };
        let mut split = AXES.iter().copied().filter(|a| halved(a));
        let axis = split.next()?;
        let m = mask(axis);
        let rest_fits = !Place(self.0 & !m).differs(Place(part.0 & !m));
        (split.next().is_none() && rest_fits).then_some(Place(self.0 & !(part.0 & m)))
    }

    /// The other one: turned round on the first axis that names a single position, side first.
    pub fn other_one(self) -> Option<Place> {
        for axis in [AXES[1], AXES[3], AXES[2], AXES[0]] {
            let m = mask(axis);
            if (self.0 & m).count_ones() == 1 {
                return Some(Place((self.0 & !m) | (m & !self.0)));
            }
        }
        None
    }

    /// Turned round on the side axis, or front to rear where no side is known.
    pub fn other_side(self) -> Option<Place> {
        [AXES[1], AXES[0]].iter().find_map(|axis| {
            let m = mask(axis);
            ((self.0 & m).count_ones() == 1).then_some(Place((self.0 & !m) | (m & !self.0)))
        })
    }
}
