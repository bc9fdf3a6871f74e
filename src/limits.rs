//! Owns published limits: measured values held against them. A passed limit raises the urgency and says which rule.

use crate::findings::{Finding, LimitCheck};
use crate::lexicon::{Jurisdiction, Lexicon, Limit, LimitSide, VehicleClass, Verdict};
use crate::text::Unit;

/// Holds the measurements of a finding against the limits for its part.
pub fn apply(finding: &mut Finding, lexicon: &Lexicon, class: VehicleClass, jurisdiction: Jurisdiction) {
    for i in 0..finding.measurements.len() {
        let m = &finding.measurements[i];
        let check = lexicon
            .limits
            .iter()
            .filter(|l| l.class == class && l.jurisdiction == jurisdiction && is_for(l, finding))
            .filter_map(|l| {
                let value = convert(m.value, m.unit, l.unit)?;
                let passed_limit = match l.fails {
                    LimitSide::Below => value < l.value - 1e-9,
                    LimitSide::AtMost => value <= l.value + 1e-9,
                    LimitSide::Above => value > l.value + 1e-9,
                };
                Some((l, passed_limit))
            })
            // the graver of two limits stands first: the first that fails counts, else the last one held
            .reduce(|a, b| if a.1 { a } else { b });
        let Some((limit, passed_limit)) = check else { continue };
        finding.measurements[i].limit = Some(LimitCheck {
            rule: limit.id.clone(),
            value: limit.value,
            unit: limit.unit,
            passed_limit,
            source: limit.source.clone(),
        });
        if passed_limit {
            finding.urgency = Some(finding.urgency.map_or(limit.urgency, |u| u.min(limit.urgency)));
            finding.why.push(format!("limit passed: {} ({})", limit.id, limit.source));
            if finding.verdict == Verdict::Sound {
                finding.why.push("called fine, but the figure said fails the limit: look again".into());
                finding.confidence = finding.confidence.min(0.5);
            }
        }
    }
}

fn is_for(limit: &Limit, finding: &Finding) -> bool {
    let position = &finding.position;
    limit.parts.contains(&finding.component.id)
        && (limit.at.is_empty() || limit.at.iter().any(|p| position.contains(p)))
        && !limit.not_at.iter().any(|p| position.contains(p))
}

/// Converts between units of one kind; `None` where the kinds differ. Factors: NIST SP 811, Appendix B (1 in = 25.4 mm and
/// 1 mi = 1.609344 km exactly, 1 psi = 6.894757 kPa, 1 lbf·ft = 1.355818 N·m).
pub fn convert(value: f64, from: Unit, to: Unit) -> Option<f64> {
    let length = |u: Unit| match u {
        Unit::Millimetre => Some(1.0),
        Unit::Inch => Some(25.4),
        Unit::ThirtySecond => Some(25.4 / 32.0),
        _ => None,
    };
    let way = |u: Unit| match u {
        Unit::Kilometre => Some(1.0),
        Unit::Mile => Some(1.609_344),
        _ => None,
    };
    let pressure = |u: Unit| match u {
        Unit::Kilopascal => Some(1.0),
        Unit::Psi => Some(6.894_757),
        Unit::Bar => Some(100.0),
        _ => None,
    };
    let torque = |u: Unit| match u {
        Unit::NewtonMetre => Some(1.0),
        Unit::FootPound => Some(1.355_818),
        _ => None,
    };
    if from == to {
        return Some(value);
    }
    let by = |f: &dyn Fn(Unit) -> Option<f64>| Some(value * f(from)? / f(to)?);
    match (from, to) {
        (Unit::Fahrenheit, Unit::Celsius) => Some((value - 32.0) / 1.8),
        (Unit::Celsius, Unit::Fahrenheit) => Some(value * 1.8 + 32.0),
        _ => by(&length).or_else(|| by(&way)).or_else(|| by(&pressure)).or_else(|| by(&torque)),
    }
}
