//! Owns the forms a comparison is shown in.

use crate::findings::Odometer;
use crate::report::{self, Columns};
use crate::text::Unit;

use super::compare::{Became, Comparison};
use super::wear::{Mark, Meets, Trend, Wear};

/// The comparison in one line, ended by a line feed.
///
/// # Errors
/// What serde_json reports; no comparison gives cause.
pub fn json(comparison: &Comparison) -> Result<String, serde_json::Error> {
    report::json_line(comparison)
}

/// The JSON Schema of [`json`]'s lines, generated from the types.
///
/// # Errors
/// What serde_json reports.
pub fn schema() -> Result<String, serde_json::Error> {
    report::json_schema::<Comparison>()
}

/// The comparison for a terminal.
pub fn table(c: &Comparison, width: usize) -> String {
    let mut out = Columns::new(width);
    let vehicle = c.vehicle.as_deref().unwrap_or("vehicle not named");
    out.head(&format!("{vehicle}: {}", report::count(c.visits.len(), "visit", "visits")));
    for (n, v) in c.visits.iter().enumerate() {
        let day = v.day.as_deref().unwrap_or("day not known");
        let run = v.odometer.as_ref().map_or_else(|| "odometer not said".into(), odometer);
        out.words(2, &format!("{}. {day}, {run} ({})", n + 1, v.source));
    }
    for became in Became::ALL {
        let changes: Vec<_> = c.changes.iter().filter(|ch| ch.became == became).collect();
        if changes.is_empty() {
            continue;
        }
        out.title(&format!("{} ({})", became.title(), changes.len()));
        for ch in changes {
            out.words(2, &report::at(&ch.part, &ch.position));
            let [was, is] = [&ch.was, &ch.is].map(|s| s.as_deref().unwrap_or("not spoken of"));
            if was == is {
                out.words(6, &format!("as before: {is}"));
            } else {
                out.words(6, &format!("was: {was}"));
                out.words(6, &format!("is: {is}"));
            }
        }
    }
    if !c.wear.is_empty() {
        out.title("Wear");
        c.wear.iter().for_each(|w| wear(&mut out, w));
    }
    out.title("Before you rely on this");
    c.cautions.iter().for_each(|caution| out.words(2, &format!("- {caution}")));
    out.finish()
}

fn wear(out: &mut Columns, w: &Wear) {
    let values: Vec<String> = w.readings.iter().map(|r| report::quantity(r.value, w.unit)).collect();
    out.words(2, &format!("{}: {}", report::at(&w.part, &w.position), values.join(", then ")));
    let unit = w.readings.iter().find_map(|r| r.odometer.as_ref()).map_or(Unit::Mile, |o| o.unit);
    for (trend, stretch) in [(&w.by_time, "a month".to_string()), (&w.by_distance, report::quantity(1000.0, unit))] {
        let Some(trend) = trend else { continue };
        let per = if stretch.starts_with('a') { stretch } else { format!("every {stretch}") };
        out.words(6, &format!("{} {per}", rate(trend, w.unit)));
        if let (Some(meets), Some(limit)) = (&trend.meets, w.limit) {
            out.words(6, &format!("meets the limit of {} {}", report::quantity(limit, w.unit), met(meets)));
        }
    }
    if w.limit.is_none() {
        out.words(6, "no limit is known; give one with --limit");
    }
}

fn rate(t: &Trend, unit: Unit) -> String {
    let sign = if t.rate > 0.0 { "+" } else { "" };
    let error = t.rate_error.map(|e| format!(" ± {}", report::quantity(e, unit))).unwrap_or_default();
    format!("{sign}{}{error}", report::quantity(t.rate, unit))
}

fn met(m: &Meets) -> String {
    let at = match &m.at {
        Mark::Day(day) => format!("about {day}"),
        Mark::Odometer(o) => format!("at about {}", odometer(o)),
    };
    match &m.between {
        None => at,
        Some((low, high)) => {
            let name = |m: &Option<Mark>| match m {
                Some(Mark::Day(day)) => day.clone(),
                Some(Mark::Odometer(o)) => odometer(o),
                None => "no end in sight".into(),
            };
            format!("{at} (in 8 of 10 cases {} to {})", name(low), name(high))
        }
    }
}

fn odometer(o: &Odometer) -> String {
    report::quantity(o.value, o.unit)
}
