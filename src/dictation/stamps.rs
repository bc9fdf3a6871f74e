//! Owns written times: `m:ss`, `h:mm:ss` and their fractions, and what each caption format calls proper.

use super::reading::MAX_MS;

/// A time as read from a caption file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stamp {
    pub(super) ms: u64,
    /// Whether it is written as its format demands.
    pub(super) proper: bool,
}

struct Clock<'a> {
    hours: Option<&'a str>,
    minutes: &'a str,
    seconds: &'a str,
    mark: Option<u8>,
    fraction: &'a str,
}

fn split(text: &str) -> Option<Clock<'_>> {
    let (whole, mark, fraction) = match text.find(['.', ',']) {
        Some(at) => (text.get(..at)?, text.as_bytes().get(at).copied(), text.get(at + 1..)?),
        None => (text, None, ""),
    };
    let mut parts = whole.split(':');
    let (first, second, third, more) = (parts.next()?, parts.next()?, parts.next(), parts.next());
    if more.is_some() || (mark.is_some() && fraction.is_empty()) {
        return None;
    }
    let (hours, minutes, seconds) = match third {
        Some(seconds) => (Some(first), second, seconds),
        None => (None, first, second),
    };
    let all = [hours.unwrap_or("0"), minutes, seconds];
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    let good = all.into_iter().all(|part| (1..=9).contains(&part.len()) && digits(part))
        && fraction.len() <= 9
        && digits(fraction);
    good.then_some(Clock { hours, minutes, seconds, mark, fraction })
}

impl Clock<'_> {
    fn ms(&self) -> Option<u64> {
        let number = |part: &str| part.parse::<u64>().ok();
        let hours = number(self.hours.unwrap_or("0"))?;
        let (minutes, seconds) = (number(self.minutes)?, number(self.seconds)?);
        // Without hours, minutes may run on: 75:10 is a quarter past the first hour.
        let fits = (self.hours.is_none() || (minutes < 60 && self.minutes.len() <= 2))
            && seconds < 60
            && self.seconds.len() == 2;
        let thousandths: String = self.fraction.chars().chain("000".chars()).take(3).collect();
        let ms = ((hours * 60 + minutes) * 60 + seconds) * 1000 + number(&thousandths)?;
        (fits && ms <= MAX_MS).then_some(ms)
    }
}

/// A time at the start of a line: `m:ss`, `mm:ss`, `h:mm:ss`, with or without a fraction.
pub(super) fn clock(text: &str) -> Option<u64> {
    split(text)?.ms()
}

/// A time in a WebVTT file. Parsers take one digit of hours, so that counts as proper.
pub(super) fn webvtt(text: &str) -> Option<Stamp> {
    caption(text, |clock| clock.minutes.len() == 2 && clock.mark == Some(b'.') && clock.fraction.len() == 3)
}

/// A time in a SubRip file.
pub(super) fn subrip(text: &str) -> Option<Stamp> {
    caption(text, |clock| {
        clock.hours.is_some_and(|hours| hours.len() >= 2)
            && clock.minutes.len() == 2
            && clock.mark == Some(b',')
            && clock.fraction.len() == 3
    })
}

fn caption(text: &str, proper: fn(&Clock<'_>) -> bool) -> Option<Stamp> {
    let clock = split(text)?;
    let ms = clock.ms()?;
    // Captions count hours, so sixty minutes there is a slip that can't be read with certainty.
    let minutes_fit = clock.minutes.parse::<u64>().is_ok_and(|minutes| minutes < 60);
    minutes_fit.then(|| Stamp { ms, proper: proper(&clock) })
}
