//! Owns the outlines: what each kind of vehicle looks like from above, and where on it each place lies. Front is up, the
//! vehicle's left is left. Nothing in them tells which side it is driven from.

use maud::{Markup, html};

use crate::lexicon::{Outline, Zone};

use super::super::place::{End, Place, Side};

/// Width of every outline in units of the drawing, wheels and all.
pub const WIDTH: f64 = 130.0;
const MIDDLE: f64 = WIDTH / 2.0;

/// Distances from the front end, in units of the drawing.
struct Plan {
    length: f64,
    front_axle: Option<f64>,
    rear_axles: &'static [f64],
    /// Two wheels side by side on the rear axles.
    twin: bool,
    engine: f64,
    windshield: f64,
    rear_window: f64,
    cabin: f64,
    load: f64,
    coupling: f64,
    /// The body.
    body: &'static str,
    /// Lines on it.
    lines: &'static str,
}

const CAR: Plan = Plan {
    length: 300.0,
    front_axle: Some(62.0),
    rear_axles: &[238.0],
    twin: false,
    engine: 48.0,
    windshield: 108.0,
    rear_window: 246.0,
    cabin: 168.0,
    load: 274.0,
    coupling: 296.0,
    body: "M32 7Q65 -3 98 7Q118 18 119 60L119 240Q118 284 98 293Q65 301 32 293Q12 284 11 240L11 60Q12 18 32 7Z",
    lines: "M22 112Q65 90 108 112L99 138Q65 126 31 138ZM30 226Q65 234 100 226L106 252Q65 264 24 252ZM31 138L30 226M99 138L100 226\
            M22 112Q24 60 36 22M108 112Q106 60 94 22M11 108L3 112L4 120L11 120M119 108L127 112L126 120L119 120",
};

const VAN: Plan = Plan {
    length: 330.0,
    front_axle: Some(64.0),
    rear_axles: &[262.0],
    twin: false,
    engine: 34.0,
    windshield: 66.0,
    rear_window: 318.0,
    cabin: 112.0,
    load: 210.0,
    coupling: 327.0,
    body: "M30 9Q65 0 100 9Q117 14 119 46L119 316Q119 325 110 325L20 325Q11 325 11 316L11 46Q13 14 30 9Z",
    lines: "M19 70Q65 44 111 70L104 96Q65 84 26 96ZM26 96L22 312M104 96L108 312M22 312L108 312M65 312L65 325M24 148L106 148\
            M11 64L2 70L3 82L11 82M119 64L128 70L127 82L119 82",
};

const TRUCK: Plan = Plan {
    length: 400.0,
    front_axle: Some(58.0),
    rear_axles: &[308.0, 356.0],
    twin: true,
    engine: 40.0,
    windshield: 16.0,
    rear_window: 108.0,
    cabin: 76.0,
    load: 220.0,
    coupling: 332.0,
    body: "M24 10Q65 2 106 10Q117 13 118 26L118 104Q118 112 110 112L20 112Q12 112 12 104L12 26Q13 13 24 10Z\
           M14 128L116 128L116 392L14 392Z",
    lines: "M20 22Q65 12 110 22L106 36Q65 28 24 36ZM46 112L46 128M84 112L84 128M12 30L2 34L3 46L12 46M118 30L128 34L127 46L118 46\
            M14 146L116 146",
};

const TRAILER: Plan = Plan {
    length: 400.0,
    front_axle: None,
    rear_axles: &[296.0, 344.0],
    twin: true,
    engine: 20.0,
    windshield: 12.0,
    rear_window: 388.0,
    cabin: 24.0,
    load: 190.0,
    coupling: 52.0,
    body: "M16 8L114 8Q118 8 118 12L118 392L12 392L12 12Q12 8 16 8Z",
    lines: "M12 24L118 24M61 52A4 4 0 1 0 69 52A4 4 0 1 0 61 52M24 118L34 118L34 128L24 128ZM96 118L106 118L106 128L96 128Z\
            M12 380L118 380M65 380L65 392",
};

fn plan(outline: Outline) -> &'static Plan {
    match outline {
        Outline::Car => &CAR,
        Outline::Van => &VAN,
        Outline::Truck => &TRUCK,
        Outline::Trailer => &TRAILER,
    }
}

/// Its name for people.
pub fn name(outline: Outline) -> &'static str {
    match outline {
        Outline::Car => "car",
        Outline::Van => "van",
        Outline::Truck => "truck",
        Outline::Trailer => "trailer",
    }
}

/// Its length in units of the drawing.
pub fn length(outline: Outline) -> f64 {
    plan(outline).length
}

/// Where a place lies on it: units from its left and from its front.
pub fn anchor(outline: Outline, place: Place) -> (f64, f64) {
    let p = plan(outline);
    let across = |left: f64| match place.side {
        Some(Side::Left) => left,
        None => MIDDLE,
        Some(Side::Right) => WIDTH - left,
    };
    let along = |front: f64, middle: f64, rear: f64| match place.end {
        Some(End::Front) => front,
        None => middle,
        Some(End::Rear) => rear,
    };
    let rear_axle = p.rear_axles.iter().sum::<f64>() / p.rear_axles.len() as f64;
    // a trailer's front axle is the first of those it has
    let front_axle = p.front_axle.or(p.rear_axles.first().copied()).unwrap_or_default();
    match place.zone {
        None => (MIDDLE, p.length / 2.0),
        Some(Zone::Wheels) => (across(10.0), along(front_axle, (front_axle + rear_axle) / 2.0, rear_axle)),
        Some(Zone::Outside) => (across(16.0), along(14.0, p.length * 0.45, p.length - 10.0)),
        Some(Zone::Engine) => (across(38.0), along(p.engine, p.engine, p.length - 36.0)),
        Some(Zone::Glass) => (across(28.0), along(p.windshield, p.cabin, p.rear_window)),
        Some(Zone::Cabin) => (across(38.0), along(p.cabin - 14.0, p.cabin, p.cabin + 36.0)),
        Some(Zone::Underbody) => (across(38.0), along(p.length * 0.34, p.length * 0.53, p.length * 0.76)),
        Some(Zone::Load) => (across(24.0), along(p.load - 56.0, p.load, p.length - 24.0)),
        Some(Zone::Coupling) => (MIDDLE, p.coupling),
    }
}

/// The vehicle itself, nothing on it yet.
pub fn vehicle(outline: Outline) -> Markup {
    let p = plan(outline);
    let single = p.front_axle.into_iter().map(|y| (y, false));
    let axles: Vec<(f64, bool)> = single.chain(p.rear_axles.iter().map(|y| (*y, p.twin))).collect();
    html! {
        g.vehicle fill="none" stroke="currentColor" stroke-width="1.5" stroke-linejoin="round" aria-hidden="true" {
            @for (y, twin) in &axles {
                path d={ "M12 " (y) "H118" } stroke-width="1" stroke-dasharray="2 3" {}
                @for x in wheels(*twin) {
                    rect x=(x) y=(y - 20.0) width="10" height="40" rx="3" fill="currentColor" fill-opacity="0.3" stroke="none" {}
                }
            }
            path d=(p.body) {}
            path d=(p.lines) stroke-width="0.7" {}
        }
    }
}

/// Left edges of the wheels of an axle.
fn wheels(twin: bool) -> &'static [f64] {
    if twin { &[3.0, 15.0, 105.0, 117.0] } else { &[4.0, 116.0] }
}
