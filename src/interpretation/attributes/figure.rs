//! Owns which figures are a finding's own and in which unit they are.

use crate::lexicon::{ConditionId, Cue, Figure};
use crate::text::{Measure, Unit};

use super::super::mention::Mention;
use super::super::polarity::Says;
use super::super::reading::Reading;
use super::kind::PartNature;

/// The value and unit of a figure said of a part, or nothing where it is a limit, a time or a mere count.
/// `used` is the unit last used for the part; `metric` tells which units go without saying.
pub fn value_of(
    r: &Reading,
    m: &Measure,
    of: &Mention,
    kind: &PartNature,
    used: Option<Unit>,
    metric: bool,
) -> Option<(f64, Unit)> {
    if is_limit(r, m) || is_time_of_urgency(r, m) {
        return None;
    }
    match m.unit {
        Some(Unit::Degree) => Some((m.value, degrees(kind, m.value, metric))),
        // a battery tester's amps are cranking amps
        Some(Unit::Ampere) if kind.has(Unit::ColdCranking) && m.value >= 90.0 => Some((m.value, Unit::ColdCranking)),
        Some(unit) => Some((m.value, unit)),
        None if stands_free(r, m, of) => unit_left_out(r, m, kind, used, metric),
        None => None,
    }
}

/// Tokens of the sentence looked back over for a unit, and how far one figure of a kind of part may be from another.
const SPOKEN_BEFORE: usize = 30;
const ALIKE: std::ops::RangeInclusive<f64> = 0.1..=4.0;

fn unit_left_out(r: &Reading, m: &Measure, kind: &PartNature, used: Option<Unit>, metric: bool) -> Option<(f64, Unit)> {
    let foreign = |u: Unit| match u {
        Unit::ThirtySecond | Unit::Fahrenheit => metric,
        Unit::Celsius => !metric,
        _ => false,
    };
    let inside = |unit: Unit, from: f64, to: f64| {
        let value = m.value_as(unit);
        (from..=to).contains(&value).then_some((value, unit))
    };
    let fitting = |keep: &dyn Fn(Unit) -> bool| {
        kind.figures.iter().filter(|f| keep(f.unit)).find_map(|f| inside(f.unit, f.from, f.to))
    };
    let last = used.filter(|u| !is_time(*u));
    if let Some(u) = last
        && let Some(found) = fitting(&|f| f == u)
    {
        return Some(found);
    }
    // "front pads ten thirty-seconds, rear seven"
    if let Some(found) = in_unit_spoken_before(r, m, kind) {
        return Some(found);
    }
    fitting(&|f| !foreign(f)).or_else(|| {
        let unit = last.filter(|u| kind.figures.is_empty() && !matches!(u, Unit::Inch | Unit::Percent))?;
        inside(unit, 0.0, if unit == Unit::Millimetre { 60.0 } else { 150.0 })
    })
}

/// The figure in the unit last spoken in the sentence, of a figure that may have been one of such a part.
fn in_unit_spoken_before(r: &Reading, m: &Measure, kind: &PartNature) -> Option<(f64, Unit)> {
    // nobody leaves a unit without a span unsaid, but for thirty-seconds
    let open = |f: &Figure| f.from >= f.to && f.unit == Unit::ThirtySecond;
    let sentence = r.sentence_of(m.first);
    let before = r.measures_in(m.first.saturating_sub(SPOKEN_BEFORE), m.first).iter().rev();
    before.take_while(|o| r.sentence_of(o.first) == sentence).find_map(|o| {
        let unit = o.unit.filter(|u| !is_time(*u))?;
        let figure = kind.figures.iter().find(|f| f.unit == unit && (open(f) || (f.from..=f.to).contains(&o.value)))?;
        let value = m.value_as(unit);
        let fits =
            if open(figure) { ALIKE.contains(&(value / o.value)) } else { (figure.from..=figure.to).contains(&value) };
        fits.then_some((value, unit))
    })
}

/// "ninety-one degrees": an angle on a part that has one, else a temperature in the scale of the country.
fn degrees(kind: &PartNature, value: f64, metric: bool) -> Unit {
    let warm = kind.has(Unit::Celsius) || kind.has(Unit::Fahrenheit) || value.abs() > 30.0;
    match (kind.has(Unit::Degree), warm, metric) {
        (true, ..) | (_, false, _) => Unit::Degree,
        (_, _, true) => Unit::Celsius,
        _ => Unit::Fahrenheit,
    }
}

fn is_time(u: Unit) -> bool {
    matches!(u, Unit::Week | Unit::Month | Unit::Mile | Unit::Kilometre)
}

/// A number that counts nothing behind it: "inner's at four", "pads five and five", not "four bolts", not "number three".
fn stands_free(r: &Reading, m: &Measure, of: &Mention) -> bool {
    let word = |k: usize| r.tokens.get(k).map_or("", |t| t.norm.as_str());
    let before = if m.first > 0 { word(m.first - 1) } else { "" };
    let named = [
        "number", "unit", "bank", "cylinder", "bay", "door", "station", "page", "#", "/", "no", "type", "this", "the",
        "that", "these", "those", "which", "any", "another",
    ];
    if named.contains(&before) || (m.value == 1.0 && m.end == m.first + 1 && word(m.first) == "one" && before != "at") {
        return false;
    }
    // "putting out fourteen three": what is broken down into tenths is measured, not counted
    if m.first == of.end || m.pair.is_some() || m.value.fract() != 0.0 {
        return true;
    }
    let next = m.end;
    let Some(t) = r.tokens.get(next) else { return true };
    if !t.is_wordlike() || r.clause_of[next] != r.clause_of[m.first] || t.opens_line {
        return t.norm != "%" && t.norm != "/";
    }
    let joins = ["and", "or", "to", "left", "even", "each", "cold", "hot", "inboard", "outboard", "again", "ok", "now"];
    joins.contains(&t.norm.as_str())
        || !r.measures_in(next, next + 1).is_empty()
        || r.signals_in(next, next + 1).iter().any(|s| !matches!(s.says, Says::Degree(_)))
        || r.mentions.places.binary_search_by_key(&next, |p| p.first).is_ok()
}

/// A figure that is named as the limit, not as what was measured.
fn is_limit(r: &Reading, m: &Measure) -> bool {
    let clause = r.clauses[r.clause_of[m.first]];
    let from = m.first.saturating_sub(4).max(clause.first);
    let to = (m.end + 4).min(clause.end).max(m.end);
    // "twelve against a label of twenty", "nine and two is the limit": the figure nearest to the word is the limit
    let nearer = r.measures_in(from, m.first).last().map_or(from, |o| o.end);
    let behind = r.measures_in(m.end, to).first().map_or(to, |o| o.first);
    if r.has_cue(nearer, m.first, Cue::Limit) {
        return true;
    }
    let skip = |w: &str| matches!(w, "'s" | "is" | "the" | "are" | "what" | "as" | "a" | "i");
    let first = (m.end..behind).find(|k| !skip(&r.tokens[*k].norm));
    first.is_some_and(|k| r.has_cue(k, k + 1, Cue::LimitBehind))
}

/// "in two weeks" says when, not how much.
fn is_time_of_urgency(r: &Reading, m: &Measure) -> bool {
    let clause = r.clauses[r.clause_of[m.first]];
    m.unit.is_some_and(is_time)
        && !r.signals_in(clause.first, clause.end).iter().any(|s| s.says == Says::Defect(ConditionId::Overdue))
}
