//! Owns the points that nobody spoke of: what a checklist asks for, held against what was said.

use crate::findings::Document;
use crate::lexicon::{Checklist, Point, Position};

/// A checklist held against one document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coverage {
    /// What the checklist is called.
    pub name: String,
    /// Where its headings were published.
    pub source: String,
    /// How many points it has.
    pub points: usize,
    /// Points that were not, or not wholly, spoken of, in the order of the list.
    pub gaps: Vec<Gap>,
}

/// A point that was not, or not wholly, spoken of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// Heading it is published under.
    pub heading: String,
    /// What was to be looked at.
    pub name: String,
    /// What is missing.
    pub missing: Missing,
}

/// What is missing of a point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Missing {
    /// Nobody spoke of it.
    All,
    /// It was spoken of in general, with nothing said of this vehicle's.
    OnlyGeneral,
    /// It was spoken of elsewhere, not at these ends or sides.
    At(Vec<Position>),
    /// It was spoken of, but not where, and it should be looked at in more than one place.
    PlaceNotSaid,
}

/// What nobody spoke of. A part that was said to be not checked was spoken of: it stands among the findings.
pub fn coverage(document: &Document, checklist: &Checklist) -> Coverage {
    let gap = |point: &Point| {
        missing(document, point).map(|missing| Gap {
            heading: point.heading.clone(),
            name: point.name.clone(),
            missing,
        })
    };
    Coverage {
        name: checklist.name.clone(),
        source: checklist.source.clone(),
        points: checklist.point.len(),
        gaps: checklist.point.iter().filter_map(gap).collect(),
    }
}

fn missing(document: &Document, point: &Point) -> Option<Missing> {
    let of_it = |id: &str| point.parts.iter().any(|p| p == id);
    let places: Vec<&[Position]> =
        document.findings.iter().filter(|f| of_it(&f.component.id)).map(|f| f.position.as_slice()).collect();
    if places.is_empty() {
        let general = document.general_talk.iter().any(|g| of_it(&g.component.id));
        return Some(if general { Missing::OnlyGeneral } else { Missing::All });
    }
    let unseen: Vec<Position> =
        point.at.iter().copied().filter(|at| !places.iter().any(|said| said.contains(at))).collect();
    // words without any of the ends asked for may mean all of them, or only the one that was looked at
    let nowhere = places.iter().any(|said| !said.iter().any(|p| point.at.contains(p)));
    match (unseen.is_empty(), nowhere) {
        (true, _) => None,
        (false, true) => Some(Missing::PlaceNotSaid),
        (false, false) => Some(Missing::At(unseen)),
    }
}
