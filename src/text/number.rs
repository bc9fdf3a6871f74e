//! Owns numbers: values read from words and digits, their units, and trouble codes read out letter by letter.

use std::collections::HashMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::fold::in_order;
use super::token::{Kind, Token};

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

fn small(word: &str) -> Option<f64> {
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

fn tens(word: &str) -> Option<f64> {
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
        if denominator(tokens, k + skip).is_some() {
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
fn number(tokens: &[Token], i: usize) -> Option<(f64, usize, Option<Pair>, Option<Unit>)> {
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
fn and_fraction(tokens: &[Token], i: usize) -> Option<(f64, usize)> {
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

fn unit_at(tokens: &[Token], i: usize, behind_digits: bool, table: &UnitTable) -> Option<(Unit, f64, usize)> {
    let mut best = None;
    let mut phrase = String::new();
    for n in 0..4 {
        let Some(t) = tokens.get(i + n) else { break };
        if n > 0 {
            phrase.push(' ');
        }
        phrase.push_str(&t.norm);
        if let Some(&(u, f)) = table.phrases.get(&phrase) {
            best = Some((u, f, n + 1));
        }
    }
    if best.is_none() && behind_digits {
        let t = tokens.get(i)?;
        let touches =
            i > 0 && tokens[i - 1].span.utterance == t.span.utterance && tokens[i - 1].span.end == t.span.start;
        let closes = tokens.get(i + 1).is_none_or(|n| !n.is_wordlike() || n.opens_line);
        let symbol = t.capital && t.word.len() == 1 && t.word != "a";
        if let Some(&(u, f)) = table.tight.get(&t.norm).filter(|_| touches || symbol || (closes && t.norm != "a")) {
            best = Some((u, f, 1));
        }
    }
    best
}

/// All numbers of the stream with the units said behind them.
pub fn measures(tokens: &[Token], table: &UnitTable) -> Vec<Measure> {
    let mut out: Vec<Measure> = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let word = |k: usize| tokens.get(k).map_or("", |t| t.word.as_str());
        let negative =
            matches!(word(i), "minus" | "negative" | "-") || (tokens[i].kind == Kind::Speaker && tokens[i].norm == "-");
        let at = i + usize::from(negative);
        // "a millimetre", "an inch": one of it
        if matches!(word(i), "a" | "an")
            && let Some((unit, factor, used)) = unit_at(tokens, i + 1, false, table)
            && !matches!(unit, Unit::Percent | Unit::Degree | Unit::Volt | Unit::Week | Unit::Month)
        {
            let mut value = factor;
            let mut end = i + 1 + used;
            if let Some((v, n)) = and_fraction(tokens, end) {
                value += v * factor;
                end += n;
            }
            out.push(Measure { first: i, end, value, unit: Some(unit), pair: None });
            i = end;
            continue;
        }
        let Some((value, n, pair, own)) = number(tokens, at) else {
            // "inch and a half"
            if let Some((unit, factor, used)) = unit_at(tokens, i, false, table)
                && let Some((v, more)) = and_fraction(tokens, i + used)
            {
                let end = i + used + more;
                out.push(Measure { first: i, end, value: (1.0 + v) * factor, unit: Some(unit), pair: None });
                i = end;
                continue;
            }
            i += 1;
            continue;
        };
        let sign = if negative { -1.0 } else { 1.0 };
        let mut end = at + n;
        let mut m = Measure { first: i, end, value: sign * value, unit: own, pair };
        if own.is_none() || own == Some(Unit::Inch) {
            let filler = match (word(end), word(end + 1)) {
                ("of", "a" | "an") => 2,
                ("a" | "an", _) => 1,
                _ => 0,
            };
            let digits = matches!(tokens[end - 1].kind, Kind::Number(_));
            if let Some((unit, factor, used)) = unit_at(tokens, end + filler, digits, table)
                .or_else(|| unit_at(tokens, end, digits, table).filter(|_| filler == 0))
            {
                if own.is_none() {
                    m.value = sign * pair.map_or(value, |(a, b)| join_pair(a, b, Some(unit))) * factor;
                    m.unit = Some(unit);
                    m.pair = None;
                }
                end += filler + used;
                if let Some((v, more)) = and_fraction(tokens, end) {
                    m.value += sign * v * factor;
                    end += more;
                }
            }
        } else if let Some((Unit::Inch, _, used)) = unit_at(tokens, end, false, table) {
            end += used; // "nine thirty-seconds of an inch" says its unit twice
        }
        m.end = end;
        m.value = (m.value * 1e6).round() / 1e6;
        out.push(m);
        i = end.max(i + 1);
    }
    out
}

/// Trouble codes with the structure of SAE J2012 (letter P, C, B or U; digit 0–3; three hexadecimal digits), written together
/// or read out letter by letter. Each is (first token, one past the last, code).
pub fn trouble_codes(tokens: &[Token]) -> Vec<(usize, usize, String)> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let t = &tokens[i];
        let letter = t.word.chars().next().filter(|c| matches!(c, 'p' | 'c' | 'b' | 'u'));
        let Some(letter) = letter.filter(|_| t.word.len() == 1 || t.word.len() == 5) else {
            i += 1;
            continue;
        };
        if t.word.len() == 5 {
            if is_code(&t.word) {
                out.push((i, i + 1, t.word.to_uppercase()));
            }
            i += 1;
            continue;
        }
        let mut code = letter.to_string();
        let mut k = i + 1;
        while code.len() < 5 {
            let Some(n) = tokens.get(k) else { break };
            let piece = match n.kind {
                Kind::Number(_) if n.norm.chars().all(|c| c.is_ascii_digit()) => n.norm.clone(),
                Kind::Word => match (small(&n.word), tens(&n.word)) {
                    (Some(v), _) => format!("{v}"),
                    (_, Some(v)) => {
                        match tokens.get(k + 1).and_then(|t| small(&t.word)).filter(|u| *u > 0.0 && *u < 10.0) {
                            Some(u) if code.len() <= 3 => {
                                k += 1;
                                format!("{}", v + u)
                            }
                            _ => format!("{v}"),
                        }
                    }
                    _ if n.word.len() == 1 && n.word.chars().all(|c| c.is_ascii_hexdigit()) && code.len() > 1 => {
                        n.word.clone()
                    }
                    _ if n.word == "o" => "0".to_string(),
                    _ => break,
                },
                Kind::Mark(',' | '.') if code.len() < 4 => String::new(),
                _ => break,
            };
            code.push_str(&piece);
            k += 1;
        }
        if is_code(&code) {
            out.push((i, k, code.to_uppercase()));
            i = k;
        } else {
            i += 1;
        }
    }
    out
}

fn is_code(code: &str) -> bool {
    let b = code.as_bytes();
    b.len() == 5
        && matches!(b[0].to_ascii_lowercase(), b'p' | b'c' | b'b' | b'u')
        && (b'0'..=b'3').contains(&b[1])
        && b[2..].iter().all(u8::is_ascii_hexdigit)
}
