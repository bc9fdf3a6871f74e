//! Owns the forms an estimate is shown in. Pure functions from estimates to text.

mod csv;
mod json;
mod page;
mod plans;
mod table;

pub use csv::csv;
pub use json::{json, schema};
pub use page::{Ask, STYLE, page, sheet};
pub use plans::choice_costs;
pub use table::table;

use rust_decimal::Decimal;

use super::estimate::Estimate;
use super::money::{Amount, rounded};

/// The mark of a line whose finding is in doubt.
const UNCERTAIN: &str = "uncertain: read the words";

/// An amount that may lack parts whose price is not known: these are never shown as nothing.
fn priced(amount: Amount, without_price: usize, digits: u32) -> String {
    match (without_price, amount.high.is_zero()) {
        (0, _) => money(amount, digits),
        (_, true) => "price to be asked".into(),
        (_, false) => format!("{} and a price to be asked", money(amount, digits)),
    }
}

/// The total of an estimate with its currency, for people.
pub fn total(estimate: &Estimate) -> String {
    format!("{} {}", in_all(estimate), estimate.book.currency)
}

/// The total of an estimate. Where nothing that is asked for has a price, it is not nothing.
fn in_all(estimate: &Estimate) -> String {
    let t = &estimate.totals;
    let lacks = if t.total.high.is_zero() { estimate.unpriced.len() } else { 0 };
    priced(t.total, t.parts_without_price + lacks, estimate.book.digits)
}

/// That there is no work in an estimate; `None` where there is.
fn nothing_to_do(estimate: &Estimate) -> Option<&'static str> {
    let is_empty = estimate.jobs.is_empty() && estimate.unpriced.is_empty();
    is_empty.then_some("Nothing is left to be done at this visit.")
}

/// An amount of money for people: "58.00", "54.00 to 71.00". Thousands are set off from five digits on.
fn money(amount: Amount, digits: u32) -> String {
    let (low, high) = (one(amount.low, digits), one(amount.high, digits));
    if low == high { high } else { format!("{low} to {high}") }
}

/// A single amount for people.
fn one(value: Decimal, digits: u32) -> String {
    let text = rounded(value, digits).to_string();
    let (sign, text) = text.strip_prefix('-').map_or(("", text.as_str()), |rest| ("-", rest));
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut out = String::from(sign);
    for (i, digit) in whole.chars().enumerate() {
        if whole.len() > 4 && i > 0 && (whole.len() - i) % 3 == 0 {
            out.push(',');
        }
        out.push(digit);
    }
    out + rest
}

/// A difference for people: "+12.00", "-3.50", "the same".
fn difference(amount: Amount, digits: u32) -> String {
    let sign = |v: Decimal| if v > Decimal::ZERO { "+" } else { "" };
    match (rounded(amount.low, digits), rounded(amount.high, digits)) {
        (low, high) if low.is_zero() && high.is_zero() => "the same".into(),
        (low, high) if low == high => format!("{}{}", sign(high), one(high, digits)),
        (a, b) => {
            let (low, high) = (a.min(b), a.max(b));
            format!("{}{} to {}{}", sign(low), one(low, digits), sign(high), one(high, digits))
        }
    }
}

/// A number without needless zeros.
fn plain(value: Decimal) -> String {
    value.normalize().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amount(low: &str, high: &str) -> Amount {
        Amount { low: low.parse().unwrap_or_default(), high: high.parse().unwrap_or_default() }
    }

    #[test]
    fn amounts_read_as_people_write_them() {
        let table = [
            ("58", "58", "58.00", "+58.00"),
            ("54", "71.5", "54.00 to 71.50", "+54.00 to +71.50"),
            ("1234.5", "1234.5", "1234.50", "+1234.50"),
            ("12345.678", "12345.678", "12,345.68", "+12,345.68"),
            ("-3.5", "-3.5", "-3.50", "-3.50"),
            ("-3.5", "2", "-3.50 to 2.00", "-3.50 to +2.00"),
            ("0", "0", "0.00", "the same"),
        ];
        for (low, high, shown, changed) in table {
            assert_eq!(money(amount(low, high), 2), shown);
            assert_eq!(difference(amount(low, high), 2), changed);
        }
        assert_eq!(difference(amount("11", "10"), 2), "+10.00 to +11.00");
    }

    #[test]
    fn what_has_no_price_is_never_nothing() {
        assert_eq!(priced(amount("0", "0"), 1, 2), "price to be asked");
        assert_eq!(priced(amount("5", "5"), 1, 2), "5.00 and a price to be asked");
        assert_eq!(priced(amount("0", "0"), 0, 2), "0.00");
    }
}
