//! Owns numbers: values read from words and digits, their units, and trouble codes read out letter by letter.

mod code;
mod measure;
mod words;

use std::collections::HashMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::fold::in_order;
pub use code::trouble_codes;
pub use measure::measures;

/// Unit of a measurement, named as in the findings document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[allow(missing_docs)] // the names say it: symbols of the units themselves
pub enum Unit {
    #[serde(rename = "mm")]
    Millimetre,
    #[serde(rename = "in")]
    Inch,
    #[serde(rename = "1/32in")]
    ThirtySecond,
    #[serde(rename = "V")]
    Volt,
    #[serde(rename = "psi")]
    Psi,
    #[serde(rename = "kPa")]
    Kilopascal,
    #[serde(rename = "bar")]
    Bar,
    #[serde(rename = "%")]
    Percent,
    #[serde(rename = "degC")]
    Celsius,
    #[serde(rename = "degF")]
    Fahrenheit,
    #[serde(rename = "mi")]
    Mile,
    #[serde(rename = "km")]
    Kilometre,
    #[serde(rename = "week")]
    Week,
    #[serde(rename = "month")]
    Month,
    #[serde(rename = "A")]
    Ampere,
    #[serde(rename = "CCA")]
    ColdCranking,
    #[serde(rename = "Nm")]
    NewtonMetre,
    #[serde(rename = "ft_lb")]
    FootPound,
    #[serde(rename = "deg")]
    Degree,
}

impl Unit {
    /// All of them.
    pub const ALL: [Unit; 19] = [
        Unit::Millimetre,
        Unit::Inch,
        Unit::ThirtySecond,
        Unit::Volt,
        Unit::Psi,
        Unit::Kilopascal,
        Unit::Bar,
        Unit::Percent,
        Unit::Celsius,
        Unit::Fahrenheit,
        Unit::Mile,
        Unit::Kilometre,
        Unit::Week,
        Unit::Month,
        Unit::Ampere,
        Unit::ColdCranking,
        Unit::NewtonMetre,
        Unit::FootPound,
        Unit::Degree,
    ];
}

/// How units are said: folded phrase (words joined by a space) → unit and the factor to it (thou → inch × 0.001).
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct UnitTable {
    /// Phrase → unit, factor.
    #[serde(serialize_with = "in_order")]
    pub phrases: HashMap<String, (Unit, f64)>,
    /// Phrases that are plain words too (`in`, `a`, `c`): they count only right behind digits.
    #[serde(serialize_with = "in_order")]
    pub tight: HashMap<String, (Unit, f64)>,
}

/// `fourteen two`: two numbers said in a row.
pub type Pair = (f64, f64);

/// A number with its unit, over the tokens `first..end`.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// First token.
    pub first: usize,
    /// One past the last token, unit included.
    pub end: usize,
    /// The number in `unit`.
    pub value: f64,
    /// `None` where no unit was said; context may supply it.
    pub unit: Option<Unit>,
    /// To be joined once the unit is known.
    pub pair: Option<Pair>,
}

impl Measure {
    /// The value in a unit learnt from context.
    pub fn value_as(&self, unit: Unit) -> f64 {
        match self.pair {
            Some((a, b)) => join_pair(a, b, Some(unit)),
            None => self.value,
        }
    }
}

fn join_pair(a: f64, b: f64, unit: Option<Unit>) -> f64 {
    if unit == Some(Unit::Volt) && (9.0..16.0).contains(&a) && b < 100.0 {
        return if b < 10.0 { a + b / 10.0 } else { a + b / 100.0 };
    }
    a * 100.0 + b
}
