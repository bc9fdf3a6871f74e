//! Owns what labour and parts come to with supplies and taxes: exact, and rounded by the rule of the book.

use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::book::{Base, RateBook, Supplies};
use super::money::{Amount, percent_of};
use super::problem::Cost;

/// What is to be paid. `labour` + `parts` + `supplies` + all `taxes` is `total`, to the last digit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Totals {
    /// All labour.
    pub labour: Decimal,
    /// All parts that have a price.
    pub parts: Amount,
    /// Shop supplies.
    pub supplies: Amount,
    /// Each tax.
    pub taxes: Vec<TaxAmount>,
    /// The sum.
    pub total: Amount,
    /// Parts that are used and whose price is not known: the total lacks them.
    pub parts_without_price: usize,
}

/// What one tax comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TaxAmount {
    /// As the book calls it.
    pub name: String,
    /// Percent.
    pub percent: Decimal,
    /// The tax.
    pub amount: Amount,
}

impl Supplies {
    /// The share before the cap and any rounding.
    pub fn share(&self, labour: Amount, parts: Amount) -> Amount {
        let of = [(Base::Labour, labour), (Base::Parts, parts)];
        let base: Amount = of.into_iter().filter(|(b, _)| self.of.contains(b)).map(|(_, a)| a).sum();
        percent_of(base, self.percent)
    }
}

/// Supplies before rounding.
fn supplies(book: &RateBook, labour: Amount, parts: Amount) -> Amount {
    let capped = |rule: &Supplies| rule.share(labour, parts).map(|v| rule.cap.map_or(v, |cap| v.min(cap)));
    book.supplies.as_ref().map(capped).unwrap_or_default()
}

impl RateBook {
    /// One and all taxes on a kind of amount.
    pub fn with_taxes(&self, base: Base) -> Decimal {
        let percent: Decimal = self.taxes.iter().filter(|t| t.on.contains(&base)).map(|t| t.percent).sum();
        Decimal::ONE + percent / Decimal::ONE_HUNDRED
    }
}

impl Totals {
    /// Of a cost.
    pub fn of(book: &RateBook, cost: Cost) -> Totals {
        let labour = Amount::exact(cost.labour).rounded(book.digits);
        let parts = cost.parts.rounded(book.digits);
        let supplies = supplies(book, Amount::exact(cost.labour), cost.parts).rounded(book.digits);
        let taxes: Vec<TaxAmount> = book
            .taxes
            .iter()
            .map(|tax| {
                let of = [(Base::Labour, labour), (Base::Parts, parts), (Base::Supplies, supplies)];
                let base: Amount = of.into_iter().filter(|(b, _)| tax.on.contains(b)).map(|(_, a)| a).sum();
                let amount = percent_of(base, tax.percent).rounded(book.digits);
                TaxAmount { name: tax.name.clone(), percent: tax.percent, amount }
            })
            .collect();
        let total = labour + parts + supplies + taxes.iter().map(|t| t.amount).sum();
        Totals { labour: labour.high, parts, supplies, taxes, total, parts_without_price: cost.without_price }
    }
}

/// The total before any rounding of sums, at the upper end of every price: what choices are compared by.
pub fn exact(book: &RateBook, cost: Cost) -> Decimal {
    let (labour, parts) = (cost.labour, cost.parts.high);
    let supplies = supplies(book, Amount::exact(labour), cost.parts).high;
    labour * book.with_taxes(Base::Labour)
        + parts * book.with_taxes(Base::Parts)
        + supplies * book.with_taxes(Base::Supplies)
}
