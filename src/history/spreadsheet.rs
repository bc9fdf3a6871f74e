//! Owns the comparison as a spreadsheet (RFC 4180): a row for what became of each part, and one for each figure that is followed.

use crate::findings::Odometer;
use crate::lexicon::Position;
use crate::report;
use crate::review::symbol;

use super::compare::{Changed, Comparison};
use super::wear::{Mark, Trend, Wear};

/// Titles of the columns.
const HEAD: [&str; 24] = [
    "vehicle",
    "row",
    "became",
    "component",
    "part",
    "position",
    "was",
    "is",
    "earlier",
    "later",
    "unit",
    "first",
    "last",
    "visits",
    "limit",
    "per_month",
    "per_month_error",
    "limit_day",
    "limit_day_from",
    "limit_day_to",
    "per_1000",
    "per_1000_error",
    "limit_odometer",
    "odometer_unit",
];

/// The rows, with a head.
///
/// # Errors
/// What the csv crate reports.
pub fn rows(c: &Comparison) -> Result<String, csv::Error> {
    let vehicle = c.vehicle.clone().unwrap_or_default();
    let head = std::iter::once(HEAD.map(str::to_string));
    let changes = c.changes.iter().map(|ch| change(&vehicle, ch));
    report::csv_rows(head.chain(changes).chain(c.wear.iter().map(|w| wear(&vehicle, w))))
}

fn place(position: &[Position]) -> String {
    position.iter().map(|p| p.as_str()).collect::<Vec<_>>().join(" ")
}

/// A row of the columns that are named; the others stay empty.
fn row(cells: &[(&str, String)]) -> [String; HEAD.len()] {
    HEAD.map(|title| cells.iter().find(|(name, _)| *name == title).map(|(_, v)| v.clone()).unwrap_or_default())
}

fn change(vehicle: &str, c: &Changed) -> [String; HEAD.len()] {
    let text = |t: &Option<String>| t.clone().unwrap_or_default();
    row(&[
        ("vehicle", vehicle.into()),
        ("row", "change".into()),
        ("became", c.became.as_str().into()),
        ("component", c.component.clone()),
        ("part", c.part.clone()),
        ("position", place(&c.position)),
        ("was", text(&c.was)),
        ("is", text(&c.is)),
        ("earlier", text(&c.earlier)),
        ("later", text(&c.later)),
    ])
}

fn wear(vehicle: &str, w: &Wear) -> [String; HEAD.len()] {
    let number = |n: Option<f64>| n.map(|n| n.to_string()).unwrap_or_default();
    let rate = |t: &Option<Trend>| number(t.as_ref().map(|t| t.rate));
    let error = |t: &Option<Trend>| number(t.as_ref().and_then(|t| t.rate_error));
    let mark = |m: &Mark| match m {
        Mark::Day(day) => day.clone(),
        Mark::Odometer(Odometer { value, .. }) => value.to_string(),
    };
    let met = |t: &Option<Trend>| t.as_ref().and_then(|t| t.meets.clone());
    let at = |t: &Option<Trend>| met(t).map(|m| mark(&m.at)).unwrap_or_default();
    let between = met(&w.by_time).and_then(|m| m.between).unwrap_or_default();
    let end = |m: Option<Mark>| m.as_ref().map(mark).unwrap_or_default();
    let odometer = w.readings.iter().find_map(|r| r.odometer.as_ref());
    row(&[
        ("vehicle", vehicle.into()),
        ("row", "wear".into()),
        ("component", w.component.clone()),
        ("part", w.part.clone()),
        ("position", place(&w.position)),
        ("unit", symbol(w.unit)),
        ("first", number(w.readings.first().map(|r| r.value))),
        ("last", number(w.readings.last().map(|r| r.value))),
        ("visits", w.readings.len().to_string()),
        ("limit", number(w.limit)),
        ("per_month", rate(&w.by_time)),
        ("per_month_error", error(&w.by_time)),
        ("limit_day", at(&w.by_time)),
        ("limit_day_from", end(between.0)),
        ("limit_day_to", end(between.1)),
        ("per_1000", rate(&w.by_distance)),
        ("per_1000_error", error(&w.by_distance)),
        ("limit_odometer", at(&w.by_distance)),
        ("odometer_unit", odometer.map(|o| symbol(o.unit)).unwrap_or_default()),
    ])
}
