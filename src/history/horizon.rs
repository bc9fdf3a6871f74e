//! Owns horizons: how long something may wait, as a person gives it, as it was said, or as is usual.

use std::fmt;

use jiff::civil::Date;
use jiff::{Span, ToSpan};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::findings::{Document, Finding};
use crate::lexicon::{Lexicon, UrgencyId};
use crate::text::{Token, Unit, measures, tokenize_line};

/// Nothing is put off for longer: 20 years, or so many miles or kilometres.
const MOST: u32 = 500_000;
const MOST_DAYS: u32 = 20 * 366;

/// How long something may wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Horizon {
    /// How many of `unit`.
    pub count: u32,
    /// Of what.
    pub unit: HorizonUnit,
}

/// What a horizon is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)] // the names say it
pub enum HorizonUnit {
    Day,
    Week,
    Month,
    Mile,
    Kilometre,
}

impl HorizonUnit {
    /// Every way to write it, the shortest first; all match whatever stands behind in plural.
    fn words(self) -> [&'static str; 3] {
        match self {
            HorizonUnit::Day => ["d", "day", "days"],
            HorizonUnit::Week => ["w", "week", "weeks"],
            HorizonUnit::Month => ["m", "month", "months"],
            HorizonUnit::Mile => ["mi", "mile", "miles"],
            HorizonUnit::Kilometre => ["km", "kilometre", "kilometres"],
        }
    }

    fn days(self) -> Option<u32> {
        match self {
            HorizonUnit::Day => Some(1),
            HorizonUnit::Week => Some(7),
            HorizonUnit::Month => Some(31),
            HorizonUnit::Mile | HorizonUnit::Kilometre => None,
        }
    }
}

const UNITS: [HorizonUnit; 5] =
    [HorizonUnit::Day, HorizonUnit::Week, HorizonUnit::Month, HorizonUnit::Mile, HorizonUnit::Kilometre];

impl fmt::Display for Horizon {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [_, one, many] = self.unit.words();
        write!(f, "{} {}", self.count, if self.count == 1 { one } else { many })
    }
}

impl Horizon {
    /// How it is written, told to who wrote something else or gave one with an approval.
    pub const SPELLING: &str = "write how long it may wait as 10d, 2w, 3m, 500mi or 800km; approvals take none";

    fn new(count: u32, unit: HorizonUnit) -> Option<Horizon> {
        let sane = unit.days().map_or(count <= MOST, |d| count.saturating_mul(d) <= MOST_DAYS);
        (count > 0 && sane).then_some(Horizon { count, unit })
    }

    /// Reads "2 weeks", "2w", "500 mi".
    pub fn parse(words: &str) -> Option<Horizon> {
        let words = words.trim().to_lowercase();
        let at = words.find(|c: char| !c.is_ascii_digit())?;
        let (count, unit) = words.split_at(at);
        let unit = UNITS.into_iter().find(|u| u.words().contains(&unit.trim()))?;
        Horizon::new(count.parse().ok()?, unit)
    }

    /// What is usual for an urgency: common practice, no source.
    pub fn usual(urgency: Option<UrgencyId>) -> Horizon {
        let (count, unit) = match urgency {
            Some(UrgencyId::Stop) => (1, HorizonUnit::Day),
            Some(UrgencyId::Now) => (1, HorizonUnit::Week),
            Some(UrgencyId::Soon) | None => (4, HorizonUnit::Week),
            Some(UrgencyId::Watch) => (3, HorizonUnit::Month),
        };
        Horizon { count, unit }
    }

    /// The shortest one said in the lines behind a finding ("it will do two more weeks"); what lies in the past is none.
    pub fn said(finding: &Finding, document: &Document, lexicon: &Lexicon) -> Option<Horizon> {
        let mut lines: Vec<usize> = finding.evidence.iter().map(|e| e.utterance).collect();
        lines.dedup();
        let texts = lines.iter().filter_map(|n| document.utterances.get(n.checked_sub(1)?));
        let all = texts.flat_map(|u| in_words(&u.text, lexicon));
        all.min_by_key(|h| (h.unit.days().is_none(), h.unit.days().unwrap_or(1) * h.count))
    }

    /// The day it ends, counted from another; `None` for distances.
    pub fn end(self, from: Date) -> Option<Date> {
        let count = i64::from(self.count);
        let span: Span = match self.unit {
            HorizonUnit::Day => count.days(),
            HorizonUnit::Week => count.weeks(),
            HorizonUnit::Month => count.months(),
            HorizonUnit::Mile | HorizonUnit::Kilometre => return None,
        };
        from.checked_add(span).ok()
    }

    /// The distance, for those that are one.
    pub fn distance(self) -> Option<(f64, Unit)> {
        match self.unit {
            HorizonUnit::Mile => Some((self.count.into(), Unit::Mile)),
            HorizonUnit::Kilometre => Some((self.count.into(), Unit::Kilometre)),
            HorizonUnit::Day | HorizonUnit::Week | HorizonUnit::Month => None,
        }
    }
}

fn in_words(text: &str, lexicon: &Lexicon) -> Vec<Horizon> {
    let mut tokens: Vec<Token> = tokenize_line(text, &lexicon.folding);
    tokens.retain(|t| !lexicon.spans.is_filler(&t.word));
    let word = |at: Option<usize>| at.and_then(|i| tokens.get(i)).map_or("", |t| t.word.as_str());
    let ahead = |first: usize, end: usize| {
        lexicon.spans.lies_ahead(word(first.checked_sub(1)), &[word(Some(end)), word(Some(end + 1))])
    };
    let horizon = |m: &crate::text::Measure| {
        let unit = match m.unit? {
            Unit::Week => HorizonUnit::Week,
            Unit::Month => HorizonUnit::Month,
            Unit::Mile => HorizonUnit::Mile,
            Unit::Kilometre => HorizonUnit::Kilometre,
            _ => return None,
        };
        let whole = m.value.round();
        let count =
            ((whole - m.value).abs() < 1e-9 && whole > 0.0 && whole <= f64::from(MOST)).then_some(whole as u32)?;
        Horizon::new(count, unit).filter(|_| ahead(m.first, m.end))
    };
    measures(&tokens, &lexicon.units).iter().filter_map(horizon).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use HorizonUnit::{Day, Kilometre, Mile, Month, Week};

    #[test]
    fn horizons_are_read_as_people_write_them() {
        let table = [
            ("2w", Some((2, Week))),
            ("2 weeks", Some((2, Week))),
            ("1 Month", Some((1, Month))),
            ("10d", Some((10, Day))),
            ("500 mi", Some((500, Mile))),
            ("800km", Some((800, Kilometre))),
            ("0w", None),
            ("w", None),
            ("2", None),
            ("2 fortnights", None),
            ("999999999999 d", None),
            ("9999 months", None),
        ];
        for (words, expected) in table {
            assert_eq!(Horizon::parse(words).map(|h| (h.count, h.unit)), expected, "{words}");
        }
    }

    #[test]
    fn horizons_are_heard() -> Result<(), crate::lexicon::LexiconError> {
        let lexicon = Lexicon::builtin()?;
        let table = [
            ("give it two more weeks", Some((2, Week))),
            ("it will do another two months", Some((2, Month))),
            ("good for 3000 miles yet", Some((3000, Mile))),
            ("replaced three months ago", None),
            ("only two weeks old", None),
            ("changed at 40,000 miles", None),
            ("pads at four millimeters", None),
        ];
        for (words, expected) in table {
            let heard = in_words(words, &lexicon).first().map(|h| (h.count, h.unit));
            assert_eq!(heard, expected, "{words}");
        }
        Ok(())
    }

    /// RFC 5545 knows no month of a fixed length either; a month on from 31 January is the last day of February.
    #[test]
    fn months_end_where_the_calendar_ends() {
        let from = Date::constant(2026, 1, 31);
        let table = [((2, Week), "2026-02-14"), ((1, Month), "2026-02-28"), ((10, Day), "2026-02-10")];
        for ((count, unit), expected) in table {
            let end = Horizon { count, unit }.end(from).map(|d| d.to_string());
            assert_eq!(end.as_deref(), Some(expected));
        }
        assert_eq!(Horizon { count: 500, unit: Mile }.end(from), None);
    }
}
