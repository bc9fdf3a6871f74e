//! Owns where on the vehicle a finding is shown: its positions and the zone of its part, turned into places that can be drawn
//! and walked to.

use crate::findings::Finding;
use crate::lexicon::{Guidance, Position, Zone};

/// An end of the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    Front,
    Rear,
}

/// The vehicle's own left or right, whichever side it is driven from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    Left,
    Right,
}

/// A place on the vehicle; without a zone, nobody said where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub zone: Option<Zone>,
    pub end: Option<End>,
    pub side: Option<Side>,
}

/// Where one stands to work at a place, in the order of one walk round the vehicle from its left front.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Station {
    LeftFront,
    Front,
    RightFront,
    RightSide,
    RightRear,
    Rear,
    LeftRear,
    LeftSide,
    Inside,
    Underneath,
    NotSaid,
}

impl Place {
    const NOT_SAID: Place = Place { zone: None, end: None, side: None };

    /// The places a finding is at, at least one, each once.
    pub fn of(finding: &Finding, guidance: &Guidance) -> Vec<Place> {
        let said = |p: Position| finding.position.contains(&p);
        let seat = guidance.seat(&finding.component.id, &finding.component.system);
        let (zone, usual) = seat.unwrap_or((Zone::Outside, &[]));
        let end_said = said(Position::Front) || said(Position::Rear);
        let at = |p: Position| said(p) || (!end_said && usual.contains(&p));
        let ends = either(at(Position::Front), at(Position::Rear), End::Front, End::Rear);
        let sides = either(said(Position::Left), said(Position::Right), Side::Left, Side::Right);
        let mut places: Vec<Place> =
            ends.iter().flat_map(|end| sides.iter().map(|side| settled(zone, *end, *side))).collect();
        places.sort_unstable();
        places.dedup();
        places
    }

    /// Stable name for pages: "wheels-front-left".
    pub fn id(self) -> String {
        let zone = match self.zone {
            Some(Zone::Wheels) => "wheels",
            Some(Zone::Outside) => "outside",
            Some(Zone::Engine) => "engine",
            Some(Zone::Glass) => "glass",
            Some(Zone::Cabin) => "cabin",
            Some(Zone::Underbody) => "underbody",
            Some(Zone::Load) => "load",
            Some(Zone::Coupling) => "coupling",
            None => "not-said",
        };
        let end = self.end.map(|e| if e == End::Front { "-front" } else { "-rear" });
        let side = self.side.map(|s| if s == Side::Left { "-left" } else { "-right" });
        format!("{zone}{}{}", end.unwrap_or_default(), side.unwrap_or_default())
    }

    /// Name for people, some 20 letters: "left front wheel".
    pub fn name(self) -> String {
        let Some(zone) = self.zone else { return "place not said".into() };
        let end = self.end.map(|e| if e == End::Front { "front" } else { "rear" });
        let side = self.side.map(|s| if s == Side::Left { "left" } else { "right" });
        let corner: Vec<&str> = side.into_iter().chain(end).collect();
        let corner = corner.join(" ");
        let named = |what: &str| if corner.is_empty() { what.to_string() } else { format!("{what}, {corner}") };
        match (zone, end, side) {
            (Zone::Wheels, Some(end), None) => format!("{end} axle"),
            (Zone::Wheels, None, Some(side)) => format!("{side} wheels"),
            (Zone::Wheels, ..) => format!("{corner} wheel"),
            (Zone::Outside, Some(_), Some(_)) => format!("{corner} corner"),
            (Zone::Outside, Some(end), None) => format!("{end} end"),
            (Zone::Outside, ..) => format!("{corner} side"),
            (Zone::Engine, ..) => named("engine"),
            (Zone::Glass, Some("rear"), _) => "rear window".into(),
            (Zone::Glass, None, Some(side)) => format!("{side} windows"),
            (Zone::Glass, ..) => "windshield".into(),
            (Zone::Cabin, ..) => named("inside"),
            (Zone::Underbody, ..) => named("underneath"),
            (Zone::Load, ..) => named("load area"),
            (Zone::Coupling, ..) => "coupling".into(),
        }
    }

    /// Where one stands to work at it.
    pub fn station(self) -> Station {
        let outside = || match (self.end, self.side) {
            (Some(End::Front), Some(Side::Left)) => Station::LeftFront,
            (Some(End::Front), None) => Station::Front,
            (Some(End::Front), Some(Side::Right)) => Station::RightFront,
            (None, Some(Side::Right)) => Station::RightSide,
            (Some(End::Rear), Some(Side::Right)) => Station::RightRear,
            (Some(End::Rear), None) => Station::Rear,
            (Some(End::Rear), Some(Side::Left)) => Station::LeftRear,
            (None, Some(Side::Left)) => Station::LeftSide,
            (None, None) => Station::NotSaid,
        };
        match self.zone {
            None => Station::NotSaid,
            Some(Zone::Engine) if self.end != Some(End::Rear) => Station::Front,
            Some(Zone::Glass) if self.end.is_none() && self.side.is_none() => Station::Front,
            Some(Zone::Cabin) => Station::Inside,
            Some(Zone::Underbody | Zone::Coupling) => Station::Underneath,
            Some(Zone::Load) if self.end.is_none() && self.side.is_none() => Station::Rear,
            Some(_) => outside(),
        }
    }
}

impl Station {
    /// Its heading.
    pub fn title(self) -> &'static str {
        match self {
            Station::LeftFront => "Left front",
            Station::Front => "Front and engine",
            Station::RightFront => "Right front",
            Station::RightSide => "Right side",
            Station::RightRear => "Right rear",
            Station::Rear => "Rear",
            Station::LeftRear => "Left rear",
            Station::LeftSide => "Left side",
            Station::Inside => "Inside",
            Station::Underneath => "Underneath",
            Station::NotSaid => "Place not said: find it first",
        }
    }
}

/// Both, one, or neither.
fn either<T>(first: bool, second: bool, a: T, b: T) -> Vec<Option<T>> {
    match (first, second) {
        (true, true) => vec![Some(a), Some(b)],
        (true, false) => vec![Some(a)],
        (false, true) => vec![Some(b)],
        (false, false) => vec![None],
    }
}

/// The place in a zone: what the zone itself says already is left out, and what it can't say is not said.
fn settled(zone: Zone, end: Option<End>, side: Option<Side>) -> Place {
    let place = Place { zone: Some(zone), end, side };
    match (zone, end, side) {
        (Zone::Wheels | Zone::Outside, None, None) => Place::NOT_SAID,
        (Zone::Engine, Some(End::Front), _) => Place { end: None, ..place },
        (Zone::Glass, Some(_), _) => Place { side: None, ..place },
        (Zone::Coupling, ..) => Place { end: None, side: None, ..place },
        _ => place,
    }
}
