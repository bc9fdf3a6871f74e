//! Owns money: exact decimal amounts in a currency's own unit, ranges of them, and how they are rounded.

use std::iter::Sum;
use std::ops::{Add, Sub};

use rust_decimal::{Decimal, RoundingStrategy};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// When amounts are rounded to the currency's smallest unit, always half away from zero.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Rounding {
    /// Every labour and parts line, then supplies and each tax: the lines shown add up to the total.
    #[default]
    Line,
    /// Lines are carried exactly; labour, parts, supplies and each tax are rounded once, as sums.
    Total,
}

/// An amount that lies between two bounds, both in the currency's unit; they are equal where it is certain.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Amount {
    /// Lowest.
    pub low: Decimal,
    /// Highest.
    pub high: Decimal,
}

impl Amount {
    /// A certain amount.
    pub fn exact(value: Decimal) -> Amount {
        Amount { low: value, high: value }
    }

    /// Both bounds turned alike.
    pub fn map(self, turn: impl Fn(Decimal) -> Decimal) -> Amount {
        Amount { low: turn(self.low), high: turn(self.high) }
    }

    /// Both bounds, `times` over.
    pub fn times(self, times: Decimal) -> Amount {
        self.map(|v| v * times)
    }

    /// Both bounds rounded to `digits` places, half away from zero.
    pub fn rounded(self, digits: u32) -> Amount {
        self.map(|v| rounded(v, digits))
    }
}

impl Add for Amount {
    type Output = Amount;
    fn add(self, other: Amount) -> Amount {
        Amount { low: self.low + other.low, high: self.high + other.high }
    }
}

impl Sub for Amount {
    type Output = Amount;
    /// Bound by bound: how much more one choice costs than another, not the span of all differences.
    fn sub(self, other: Amount) -> Amount {
        Amount { low: self.low - other.low, high: self.high - other.high }
    }
}

impl Sum for Amount {
    fn sum<I: Iterator<Item = Amount>>(amounts: I) -> Amount {
        amounts.fold(Amount::default(), Amount::add)
    }
}

/// A value rounded to `digits` places, half away from zero, with exactly that many places.
pub fn rounded(value: Decimal, digits: u32) -> Decimal {
    let mut out = value.round_dp_with_strategy(digits, RoundingStrategy::MidpointAwayFromZero);
    out.rescale(digits);
    out
}

/// A sum as a person types it: zero or more, thousands set off or not.
pub fn sum(typed: &str) -> Option<Decimal> {
    let read = typed.trim().replace(',', "").parse::<Decimal>().ok();
    read.filter(|v| *v >= Decimal::ZERO && v.scale() <= 6)
}

/// Share of an amount: `percent` of it, exactly.
pub fn percent_of(amount: Amount, percent: Decimal) -> Amount {
    amount.map(|v| v * percent / Decimal::ONE_HUNDRED)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half away from zero: the rule that IEEE 754-2019, 4.3.1 calls roundTiesToAway.
    #[test]
    fn halves_go_away_from_zero() {
        let table = [("2.345", "2.35"), ("-2.345", "-2.35"), ("2.344999", "2.34"), ("0.005", "0.01"), ("7", "7.00")];
        for (value, expected) in table {
            let value: Decimal = value.parse().unwrap_or_default();
            assert_eq!(rounded(value, 2).to_string(), expected);
        }
        assert_eq!(rounded(Decimal::new(25, 1), 0).to_string(), "3");
    }
}
