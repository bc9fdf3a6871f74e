//! Owns what the lexicon knows for those who read and plan: what parts are in plain words, why conditions matter, where on a
//! drawing things sit, what an inspection must cover.

use serde::{Deserialize, Serialize};

use super::entries::{ConditionId, Position};

/// Outlines that a vehicle is drawn in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)] // the names say it
pub enum Outline {
    Car,
    Van,
    Truck,
    Trailer,
}

/// Regions of a vehicle that parts sit in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Zone {
    /// At the wheels and axles.
    Wheels,
    /// On the outside, at its corners and edges.
    Outside,
    /// Around the engine.
    Engine,
    /// Windows and what wipes them.
    Glass,
    /// Where people sit.
    Cabin,
    /// Beneath the floor.
    Underbody,
    /// Where the load is.
    Load,
    /// Where a trailer is coupled.
    Coupling,
}

/// Which parts an entry is for: some, those of some systems, or any.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
struct Reach {
    parts: Vec<String>,
    within: Vec<String>,
}

impl Reach {
    /// How closely the entry fits a part: 3 by its id, 2 by its system, 1 for an entry for any part.
    fn fit(&self, part: &str, system: &str) -> Option<u8> {
        let has = |list: &[String], word: &str| list.iter().any(|w| w == word);
        match (self.parts.is_empty(), self.within.is_empty()) {
            _ if has(&self.parts, part) => Some(3),
            _ if has(&self.within, system) => Some(2),
            (true, true) => Some(1),
            _ => None,
        }
    }
}

/// An entry as the files have it: `parts` and `within` say what it is for, the rest what it says.
macro_rules! entry {
    ($(#[$doc:meta])* $raw:ident => $name:ident { $($(#[$d:meta])* $field:ident: $kind:ty),+ $(,)? }) => {
        #[derive(Debug, Clone, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $raw {
            #[serde(default)]
            parts: Vec<String>,
            #[serde(default)]
            within: Vec<String>,
            $($(#[$d])* $field: $kind),+
        }

        $(#[$doc])*
        #[derive(Debug, Clone, Serialize, Deserialize)]
        struct $name {
            reach: Reach,
            $($(#[$d])* $field: $kind),+
        }

        impl From<$raw> for $name {
            fn from(raw: $raw) -> $name {
                $name { reach: Reach { parts: raw.parts, within: raw.within }, $($field: raw.$field),+ }
            }
        }
    };
}

entry! {
    /// Why a condition matters to somebody who has to pay for its repair.
    MatterEntry => Matter { condition: ConditionId, why: String }
}
entry! {
    /// What a part is for.
    PlainEntry => Plain { is: String }
}
entry! {
    /// Where parts sit.
    ZoneEntry => Sits { zone: Zone, #[serde(default)] at: Vec<Position> }
}

/// Which outline a vehicle is drawn in.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutlineEntry {
    /// The outline.
    pub draw: Outline,
    /// What such vehicles are called, lower case.
    #[serde(default)]
    pub say: Vec<String>,
    /// Systems that only such vehicles have.
    #[serde(default)]
    pub within: Vec<String>,
}

/// What an inspection of a kind of vehicle must cover.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Checklist {
    /// Stable id, as the command line takes it.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Where its headings were published.
    pub source: String,
    /// Its points in order.
    pub point: Vec<Point>,
}

/// One point of a checklist.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Heading it is published under.
    pub heading: String,
    /// What is to be looked at.
    pub name: String,
    /// Ids of parts; who speaks of one of them speaks of this point.
    pub parts: Vec<String>,
    /// Ends or sides that must each be spoken of; empty: anywhere will do.
    #[serde(default)]
    pub at: Vec<Position>,
}

/// All of it, compiled. Where several entries fit a part, the closest one counts, and of those the last one read.
#[derive(Debug, Default, Serialize, Deserialize)]
pub struct Guidance {
    matters: Vec<Matter>,
    plain: Vec<Plain>,
    zones: Vec<Sits>,
    /// In the order of the files.
    pub outlines: Vec<OutlineEntry>,
    /// In the order of the files; of two with one id the last one counts.
    pub checklists: Vec<Checklist>,
}

impl Guidance {
    /// From what the files say.
    pub(super) fn new(
        matters: Vec<MatterEntry>,
        plain: Vec<PlainEntry>,
        zones: Vec<ZoneEntry>,
        outlines: Vec<OutlineEntry>,
        checklists: Vec<Checklist>,
    ) -> Guidance {
        Guidance {
            matters: matters.into_iter().map(Into::into).collect(),
            plain: plain.into_iter().map(Into::into).collect(),
            zones: zones.into_iter().map(Into::into).collect(),
            outlines,
            checklists,
        }
    }

    /// Why a condition of a part matters, a sentence or two.
    pub fn why_it_matters(&self, condition: ConditionId, part: &str, system: &str) -> Option<&str> {
        let fitting = self.matters.iter().filter(|m| m.condition == condition);
        closest(fitting, |m| &m.reach, part, system).map(|m| m.why.as_str())
    }

    /// What a part is for, or what its system is for.
    pub fn in_plain_words(&self, part: &str, system: &str) -> Option<&str> {
        closest(self.plain.iter(), |p| &p.reach, part, system).map(|p| p.is.as_str())
    }

    /// Where a part sits, and at which end when neither is said.
    pub fn seat(&self, part: &str, system: &str) -> Option<(Zone, &[Position])> {
        closest(self.zones.iter(), |z| &z.reach, part, system).map(|z| (z.zone, z.at.as_slice()))
    }

    /// The checklist with this id.
    pub fn checklist(&self, id: &str) -> Option<&Checklist> {
        self.checklists.iter().rev().find(|c| c.id == id)
    }
}

fn closest<'e, E>(
    entries: impl Iterator<Item = &'e E>,
    reach: impl Fn(&E) -> &Reach,
    part: &str,
    system: &str,
) -> Option<&'e E> {
    let fitting = entries.filter_map(|e| Some((reach(e).fit(part, system)?, e)));
    fitting.max_by_key(|(fit, _)| *fit).map(|(_, e)| e)
}
