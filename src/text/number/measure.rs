//! Owns measures: numbers with the unit said behind them.

use super::super::token::{Kind, Token};
use super::words::{and_fraction, number};
use super::{Measure, Unit, UnitTable, join_pair};

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
            && !matches!(unit, Unit::Percent | Unit::Degree | Unit::Volt | Unit::Bar | Unit::Week | Unit::Month)
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
            // "thirty-four F": a capital symbol stands behind number words too
            let symbol = tokens.get(end).is_some_and(|t| t.capital && matches!(t.word.as_str(), "f" | "c" | "v"));
            let digits = matches!(tokens[end - 1].kind, Kind::Number(_)) || symbol;
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
