//! Owns numbers of rate books: read from the text of the file, digit for digit, since a float would lose cents.

use rust_decimal::Decimal;

use super::book_file::{BookFault, Number};

/// No job takes longer, no part costs more: a figure beyond is a slip, and sums stay exact.
const MOST: i64 = 10_000_000;
/// More places than this no price and no percentage has.
const PLACES: u32 = 6;

/// The number, zero or more.
///
/// # Errors
/// What is wrong with it, as a fault and in words that follow its name.
pub(super) fn read(number: &Number, text: &str) -> Result<Decimal, (BookFault, &'static str)> {
    let written = text.get(number.span()).unwrap_or_default().replace('_', "");
    let plain = number.get_ref().is_integer() || number.get_ref().is_float();
    let read = written.parse::<Decimal>().ok().or_else(|| Decimal::from_scientific(&written).ok());
    match read.filter(|_| plain) {
        None => Err((BookFault::BadNumber, "is no decimal number")),
        Some(value) if value.is_sign_negative() && !value.is_zero() => Err((BookFault::Negative, "is negative")),
        Some(value) if value > Decimal::from(MOST) => Err((BookFault::BadNumber, "is beyond all measure")),
        Some(value) if value.normalize().scale() > PLACES => Err((BookFault::BadNumber, "has more than six places")),
        Some(value) => Ok(value),
    }
}
