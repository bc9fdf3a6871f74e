//! Owns number words: whole numbers, decimals and fractions as they are said.

use super::super::token::{Kind, Token};
use super::{Pair, Unit, join_pair};

pub(super) fn small(word: &str) -> Option<f64> {
    const WORDS: [&str; 20] = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    if matches!(word, "oh" | "nought" | "nil") {
        return Some(0.0);
    }
    WORDS.iter().position(|w| *w == word).map(|n| n as f64)
}

pub(super) fn tens(word: &str) -> Option<f64> {
    const WORDS: [&str; 8] = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    WORDS.iter().position(|w| *w == word).map(|n| (n as f64 + 2.0) * 10.0)
}

/// Denominator a token (or two) names: `half`, `quarter`, `eighth`, `thirty second`.
fn denominator(tokens: &[Token], i: usize) -> Option<(f64, usize)> {
    let w = tokens.get(i)?.norm.as_str();
    let next = tokens.get(i + 1).map_or("", |t| t.norm.as_str());
    match (w, next) {
        ("thirty", "second" | "2nd" | "two") | ("30", "second" | "2nd") => Some((32.0, 2)),
        ("32nd", _) => Some((32.0, 1)),
        ("sixty", "fourth") => Some((64.0, 2)),
        ("half" | "halve", _) => Some((2.0, 1)),
        ("third", _) => Some((3.0, 1)),
        ("quarter", _) => Some((4.0, 1)),
        ("eighth" | "8th", _) => Some((8.0, 1)),
        ("tenth", _) => Some((10.0, 1)),
        ("sixteenth" | "16th", _) => Some((16.0, 1)),
        ("thousandth" | "thou", _) => Some((1000.0, 1)),
        _ => None,
    }
}

/// Whole number at `i`: value, tokens used, and the pair when two were said in a row.
fn whole(tokens: &[Token], i: usize) -> Option<(f64, usize, Option<Pair>)> {
    let word = |k: usize| tokens.get(k).map_or("", |t| t.word.as_str());
    if let Some(Token { kind: Kind::Number(v), .. }) = tokens.get(i) {
        return Some((*v, 1, None));
    }
    let below_hundred = |k: usize| -> Option<(f64, usize)> {
        if let Some(t) = tens(word(k)) {
            return match small(word(k + 1)) {
                // "nine thirty seconds": thirty is the denominator's
                Some(u) if u > 0.0 && u < 10.0 => Some((t + u, 2)),
                _ => Some((t, 1)),
            };
        }
        small(word(k)).map(|u| (u, 1))
    };
    let mut k = i;
    let mut total = 0.0;
    let mut used_scale = false;
    let (mut current, n) = match word(i) {
        "a" | "an" if matches!(word(i + 1), "hundred" | "thousand") => (1.0, 1),
        "hundred" | "thousand" => (1.0, 0),
        _ => below_hundred(i)?,
    };
    k += n;
    loop {
        match word(k) {
            "hundred" => {
                current *= 100.0;
                used_scale = true;
                k += 1;
            }
            "thousand" | "grand" => {
                total += current * 1000.0;
                current = 0.0;
                used_scale = true;
                k += 1;
            }
            _ => break,
        }
        let skip = usize::from(word(k) == "and" && below_hundred(k + 1).is_some());
        // "one hundred thirty-two psi": nobody counts so many thirty-seconds
        let counts_on = (word(k + skip), word(k + skip + 1)) == ("thirty", "two");
        if denominator(tokens, k + skip).is_some() && !counts_on {
            break;
        }
        if let Some((v, n)) = below_hundred(k + skip) {
            if word(k + skip + n) == "hundred" || word(k + skip + n) == "thousand" {
                total += current;
                current = v;
            } else {
                current += v;
            }
            k += skip + n;
        }
    }
    let value = total + current;
    if !used_scale && value < 100.0 && denominator(tokens, k).is_none() {
        // "four ten", "one twenty", "four oh eight", "fourteen two"
        let (zero, at) = if matches!(word(k), "oh" | "zero") { (true, k + 1) } else { (false, k) };
        if let Some((second, n)) = below_hundred(at)
            && (zero || value >= 10.0 || second >= 10.0)
            && !tokens.get(at).is_some_and(|t| t.opens_line)
            && denominator(tokens, at).is_none()
            && !(at + n < tokens.len() && denominator(tokens, at + n).is_some())
        {
            return Some((join_pair(value, second, None), at + n - i, Some((value, second))));
        }
    }
    Some((value, k - i, None))
}

/// The number at `i` with decimals and fractions: value, tokens used, pair, and a unit where the form itself names it.
pub(super) fn number(tokens: &[Token], i: usize) -> Option<(f64, usize, Option<Pair>, Option<Unit>)> {
    let word = |k: usize| tokens.get(k).map_or("", |t| t.word.as_str());
    if matches!(word(i), "point" | "decimal") {
        let (v, n) = decimals(tokens, i + 1)?;
        return Some((v, n + 1, None, None));
    }
    // a bare fraction: "half a", "a quarter", "three quarter"
    let article = usize::from(matches!(word(i), "a" | "an"));
    if let Some((d, n)) = denominator(tokens, i + article)
        && !matches!(word(i + article), "third" | "thirty" | "30")
        && (article == 1 || word(i) == "half")
    {
        return Some((1.0 / d, article + n, None, None));
    }
    let first = tokens.get(i)?;
    if let Kind::Number(v) = first.kind {
        if let Some(top) = first.norm.strip_suffix("/32") {
            return top.parse().ok().map(|v| (v, 1, None, Some(Unit::ThirtySecond)));
        }
        // recognisers write "four thirty-seconds" as a time: 4.30 seconds, 4:30 seconds
        let (a, b) = (word(i + 1), word(i + 2));
        if first.norm.ends_with(".30") && matches!(a, "seconds" | "second") {
            return Some((v.trunc(), 2, None, Some(Unit::ThirtySecond)));
        }
        if a == ":" && b == "30" && matches!(word(i + 3), "seconds" | "second") {
            return Some((v, 4, None, Some(Unit::ThirtySecond)));
        }
    }
    let (mut value, mut n, pair) = whole(tokens, i)?;
    if let Some((d, used)) = denominator(tokens, i + n) {
        let names = word(i + n) != "second";
        if d == 32.0 {
            return Some((value, n + used, None, Some(Unit::ThirtySecond)));
        }
        if d == 1000.0 {
            return Some((value / 1000.0, n + used, None, Some(Unit::Inch)));
        }
        if names && d > 2.0 && value < d {
            return Some((value / d, n + used, None, None));
        }
    }
    if matches!(word(i + n), "point" | "decimal")
        && let Some((v, used)) = decimals(tokens, i + n + 1)
    {
        return Some((value + v, n + 1 + used, None, None));
    }
    if word(i + n) == "and"
        && let Some((v, used)) = and_fraction(tokens, i + n)
    {
        value += v;
        n += used;
    }
    Some((value, n, pair, None))
}

/// `and a half`, `and three quarters` from the `and` on.
pub(super) fn and_fraction(tokens: &[Token], i: usize) -> Option<(f64, usize)> {
    let word = |k: usize| tokens.get(k).map_or("", |t| t.word.as_str());
    if word(i) != "and" {
        return None;
    }
    if matches!(word(i + 1), "a" | "an") {
        let (d, used) = denominator(tokens, i + 2)?;
        return Some((1.0 / d, used + 2));
    }
    let top = small(word(i + 1))?;
    let (d, used) = denominator(tokens, i + 2)?;
    (top < d).then_some((top / d, used + 2))
}

fn decimals(tokens: &[Token], i: usize) -> Option<(f64, usize)> {
    let mut digits = String::new();
    let mut n = 0;
    while let Some(t) = tokens.get(i + n) {
        match (t.kind, small(&t.word), tens(&t.word)) {
            (Kind::Number(v), ..) if v.fract() == 0.0 && n == 0 => digits.push_str(&t.norm),
            (_, Some(v), _) => digits.push_str(&format!("{v}")),
            (_, _, Some(v)) if n == 0 => digits.push_str(&format!("{v}")),
            _ => break,
        }
        n += 1;
    }
    let v: f64 = format!("0.{digits}").parse().ok()?;
    (n > 0).then_some((v, n))
}
