//! Owns what a finding carries besides its verdict: conditions, actions, urgency, measurements, alternatives.

use crate::findings::{Condition, Measurement};
use crate::lexicon::{ActionId, ConditionId, Cue, UrgencyId};
use crate::text::{Measure, Unit};

use super::polarity::Says;
use super::reading::Reading;
use super::territory::{Stretch, Zone};

/// Attributes gathered from the territories of a finding's mentions.
#[derive(Debug, Default)]
pub struct Attributes {
    /// What is wrong, nearest first.
    pub conditions: Vec<Condition>,
    /// What is to be done.
    pub actions: Vec<ActionId>,
    /// The last urgency said.
    pub urgency: Option<UrgencyId>,
    /// What was measured.
    pub measurements: Vec<Measurement>,
    /// Tokens behind each: first, end, role.
    pub words: Vec<(usize, usize, crate::findings::Role)>,
    /// Length of the nearest conditions' distance, for choosing.
    seen: Vec<(ConditionId, usize)>,
}

/// Most conditions kept for one finding.
const MOST_CONDITIONS: usize = 4;

impl Attributes {
    /// Adds what one mention's territory says. `defect` tells whether faults may be taken from it.
    pub fn gather(
        &mut self,
        r: &Reading,
        territory: &[Stretch],
        at: usize,
        defect: bool,
        withdrawn_numbers: &[(usize, usize)],
    ) {
        use crate::findings::Role;
        let mut degree = None;
        for s in territory {
            let signals = r.signals_in(s.first, s.end);
            let exception = signals.iter().rev().find(|x| x.says == Says::Cue(Cue::Except)).map(|x| x.first);
            for x in signals {
                let mut x = *x;
                if let (Some(e), Some(o)) = (exception, x.opposite)
                    && matches!(s.zone, Zone::Before | Zone::Lead)
                    && x.first < e
                {
                    x.says = o;
                }
                if s.zone == Zone::After && exception.is_some_and(|e| x.first > e) {
                    continue;
                }
                match x.says {
                    Says::Defect(c) if defect => {
                        let distance = x.first.abs_diff(at) + if x.weak { 4 } else { 0 };
                        self.condition(c, distance, degree.take());
                        self.words.push((x.first, x.end, Role::Condition));
                    }
                    Says::Degree(d) => degree = Some(d),
                    Says::Sound { .. } | Says::Unchecked | Says::Serviced | Says::SomeDefect => {
                        self.words.push((x.first, x.end, Role::Verdict));
                    }
                    Says::Action(a) => {
                        if !self.actions.contains(&a) {
                            self.actions.push(a);
                        }
                        self.words.push((x.first, x.end, Role::Action));
                    }
                    Says::Urgency(u) => {
                        self.urgency = Some(u);
                        self.words.push((x.first, x.end, Role::Urgency));
                    }
                    _ => {}
                }
            }
            for m in r.measures_in(s.first, s.end) {
                if withdrawn_numbers.contains(&(m.first, m.end)) || is_limit(r, m) || is_time_of_urgency(r, m) {
                    continue;
                }
                if let Some(unit) = m.unit.or_else(|| self.unit_in_use()) {
                    let unit = temperature_unit(unit, m.value);
                    let value = m.value_as(unit);
                    if m.unit.is_none() && !plausible(value, unit) {
                        continue;
                    }
                    if !self.measurements.iter().any(|o| o.value == value && o.unit == unit) {
                        self.measurements.push(Measurement { value, unit, limit: None });
                        self.words.push((m.first, m.end, Role::Measurement));
                    }
                }
            }
        }
    }

    fn condition(&mut self, id: ConditionId, distance: usize, degree: Option<crate::lexicon::DegreeId>) {
        if let Some(c) = self.conditions.iter_mut().find(|c| c.id == id) {
            c.degree = c.degree.or(degree);
            return;
        }
        self.seen.push((id, distance));
        self.conditions.push(Condition { id, degree });
    }

    /// Conditions nearest first, no more than a reader can use.
    pub fn settle(&mut self) {
        let seen = std::mem::take(&mut self.seen);
        let distance = |id: ConditionId| seen.iter().find(|s| s.0 == id).map_or(usize::MAX, |s| s.1);
        self.conditions.sort_by_key(|c| distance(c.id));
        self.conditions.truncate(MOST_CONDITIONS);
        // work that is plainly asked for is asked for now, unless another time was said
        let asks = self.actions.iter().any(|a| !matches!(a, ActionId::Monitor));
        if self.urgency.is_none() && asks {
            self.urgency = Some(UrgencyId::Now);
        }
        if self.urgency.is_none() && self.actions.contains(&ActionId::Monitor) {
            self.urgency = Some(UrgencyId::Watch);
        }
    }

    fn unit_in_use(&self) -> Option<Unit> {
        self.measurements
            .last()
            .map(|m| m.unit)
            .filter(|u| !matches!(u, Unit::Month | Unit::Week | Unit::Mile | Unit::Kilometre))
    }
}

/// A figure that is named as the limit, not as what was measured.
fn is_limit(r: &Reading, m: &Measure) -> bool {
    let from = m.first.saturating_sub(4).max(r.clauses[r.clause_of[m.first]].first);
    let to = (m.end + 3).min(r.clauses[r.clause_of[m.first]].end);
    let behind = r.tokens[m.end.min(to)..to].iter().find(|t| !matches!(t.norm.as_str(), "'s" | "is" | "the" | "are"));
    r.has_cue(from, m.first, Cue::Limit)
        || behind.is_some_and(|t| {
            matches!(
                t.norm.as_str(),
                "limit"
                    | "minimum"
                    | "maximum"
                    | "spec"
                    | "min"
                    | "max"
                    | "allowed"
                    | "permitted"
                    | "nominal"
                    | "rating"
            )
        })
}

/// "in two weeks" says when, not how much.
fn is_time_of_urgency(r: &Reading, m: &Measure) -> bool {
    matches!(m.unit, Some(Unit::Week | Unit::Month | Unit::Mile | Unit::Kilometre))
        && !r
            .signals_in(r.clauses[r.clause_of[m.first]].first, r.clauses[r.clause_of[m.first]].end)
            .iter()
            .any(|s| s.says == Says::Defect(ConditionId::Overdue))
}

fn plausible(value: f64, unit: Unit) -> bool {
    match unit {
        Unit::ThirtySecond => (0.0..=32.0).contains(&value),
        Unit::Millimetre => (0.0..=60.0).contains(&value),
        Unit::Volt => (0.0..=60.0).contains(&value),
        Unit::Psi => (3.0..=150.0).contains(&value),
        _ => true,
    }
}

/// "ninety-one degrees" on a vehicle is Fahrenheit unless it could only be Celsius.
fn temperature_unit(unit: Unit, value: f64) -> Unit {
    match unit {
        Unit::Degree if value.abs() > 30.0 => Unit::Fahrenheit,
        Unit::Degree if value <= 0.0 => Unit::Celsius,
        Unit::Degree => Unit::Celsius,
        other => other,
    }
}
