//! Owns wear: figures of the same part at several visits, how fast they fall, and when they meet their limit.

use jiff::ToSpan;
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::findings::{Measurement, Odometer};
use crate::lexicon::Position;
use crate::limits;
use crate::text::Unit;

use super::fit::Fit;

/// Days of a mean Gregorian month: 365.2425 / 12.
const MONTH: f64 = 30.436_875;
/// Wear is told for so much distance.
const STRETCH: f64 = 1000.0;
/// A limit that is met later than this is not worth a date.
const FARTHEST_DAYS: f64 = 3652.0;

/// One figure at one visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reading {
    /// Number of the visit, 1-based.
    pub visit: usize,
    /// When; null where not known.
    pub day: Option<String>,
    /// What the vehicle had run; null where not said.
    pub odometer: Option<Odometer>,
    /// The figure, in the unit of the series.
    pub value: f64,
}

/// How a figure of a part goes on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Wear {
    /// Lexicon id of the part.
    pub component: String,
    /// Its name.
    pub part: String,
    /// Where.
    pub position: Vec<Position>,
    /// Unit of the figures.
    pub unit: Unit,
    /// The figures, oldest first.
    pub readings: Vec<Reading>,
    /// The limit; null where none is known.
    pub limit: Option<f64>,
    /// Change by time; null without two days.
    pub by_time: Option<Trend>,
    /// Change by distance; null without two odometers.
    pub by_distance: Option<Trend>,
}

/// A straight line through the readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Trend {
    /// Change of the figure for a month, or for 1,000 of the odometer's unit; negative for wear.
    pub rate: f64,
    /// Standard error of `rate`, from three visits on.
    pub rate_error: Option<f64>,
    /// Where the limit is met; null where the figure does not go towards it, or there is none.
    pub meets: Option<Meets>,
}

/// Where a limit is met: a day for trends by time, an odometer for trends by distance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Meets {
    /// Expected, never before the last visit.
    pub at: Mark,
    /// With three visits or more: between these in 8 of 10 cases (Fieller). Null before, or where the wear is too uncertain to say.
    pub between: Option<(Option<Mark>, Option<Mark>)>,
}

/// A day or an odometer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// A day.
    Day(String),
    /// What the vehicle will have run.
    Odometer(Odometer),
}

/// Units in which wear is measured.
pub fn is_worn_in(unit: Unit) -> bool {
    use Unit::{Inch, Millimetre, Percent, ThirtySecond, Volt};
    matches!(unit, Millimetre | Inch | ThirtySecond | Volt | Percent)
}

/// The least of the figures that are told in units of one kind with `unit`, in `unit`.
pub fn least(measurements: &[Measurement], unit: Unit) -> Option<f64> {
    let figures = measurements.iter().filter_map(|m| limits::convert(m.value, m.unit, unit));
    figures.min_by(f64::total_cmp)
}

impl Wear {
    /// Fits both trends to the readings.
    pub fn fitted(mut self) -> Wear {
        let days: Vec<(Date, f64)> =
            self.readings.iter().filter_map(|r| Some((r.day.as_deref()?.parse().ok()?, r.value))).collect();
        if let Some((first, _)) = days.iter().min_by_key(|d| d.0).copied() {
            let since = |d: &Date| d.since(first).map_or(0.0, |s| f64::from(s.get_days()));
            let points: Vec<(f64, f64)> = days.iter().map(|(d, v)| (since(d), *v)).collect();
            let mark = |x: f64| {
                let far = x.is_finite() && x.abs() <= FARTHEST_DAYS;
                let day = far.then(|| first.checked_add((x.round() as i64).days()).ok()).flatten()?;
                Some(Mark::Day(day.to_string()))
            };
            self.by_time = trend(&points, MONTH, self.limit, &mark);
        }
        if let Some(unit) = self.readings.iter().find_map(|r| Some(r.odometer.as_ref()?.unit)) {
            let run = |r: &Reading| r.odometer.as_ref().and_then(|o| limits::convert(o.value, o.unit, unit));
            let points: Vec<(f64, f64)> = self.readings.iter().filter_map(|r| Some((run(r)?, r.value))).collect();
            let mark = |x: f64| {
                let sane = x.is_finite() && (0.0..=1e7).contains(&x);
                sane.then(|| Mark::Odometer(Odometer { value: x.round(), unit }))
            };
            self.by_distance = trend(&points, STRETCH, self.limit, &mark);
        }
        self
    }
}

fn trend(points: &[(f64, f64)], stretch: f64, limit: Option<f64>, mark: &dyn Fn(f64) -> Option<Mark>) -> Option<Trend> {
    let fit = Fit::of(points)?;
    let last = points.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0))?;
    // the last figure has not gone past the limit, so it is not met before
    let mark = |x: f64| mark(x.max(last.0));
    let meets = limit.filter(|l| (l - last.1) * fit.slope > 0.0 || last.1 == *l).and_then(|l| {
        let at = mark(fit.meets(l)?)?;
        Some(Meets { at, between: fit.meets_between(l).map(|(low, high)| (mark(low), mark(high))) })
    });
    Some(Trend { rate: fit.slope * stretch, rate_error: fit.slope_error.map(|e| e * stretch), meets })
}
