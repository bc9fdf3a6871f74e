//! Owns the reading of lines that begin with a time of the recording: `[0:05] words`, `0:05 words`.

use super::reading::Reading;
use super::{Utterance, stamps};

/// A line's time and what follows it.
struct Stamped<'a> {
    start: u64,
    end: Option<u64>,
    bare: bool,
    words: &'a str,
}

fn stamped(line: &str) -> Option<Stamped<'_>> {
    let line = line.trim();
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some(inner) = line.strip_prefix(open) {
            let (times, words) = inner.split_once(close)?;
            let (start, end) = span(times)?;
            return Some(Stamped { start, end, bare: false, words: words.trim() });
        }
    }
    let (time, words) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    let start = stamps::clock(time)?;
    Some(Stamped { start, end: None, bare: true, words: words.trim() })
}

/// A time, or two with an arrow or a dash between.
fn span(times: &str) -> Option<(u64, Option<u64>)> {
    for between in ["-->", "–", "-"] {
        if let Some((start, end)) = times.split_once(between) {
            return Some((stamps::clock(start.trim())?, Some(stamps::clock(end.trim())?)));
        }
    }
    Some((stamps::clock(times.trim())?, None))
}

/// Whether most lines carry a time. "10:30 appointment" in a page of notes must not make it timed,
/// so times without brackets need company, and must mostly run forward.
pub(super) fn fits(lines: &[&str]) -> bool {
    let (mut all, mut covered, mut bracketed) = (0_usize, 0_usize, false);
    let mut bare: Vec<u64> = Vec::new();
    let mut owed = false;
    for line in lines.iter().filter(|line| !line.trim().is_empty()) {
        all += 1;
        match stamped(line) {
            Some(found) => {
                covered += 1;
                bracketed |= !found.bare;
                owed = found.words.is_empty();
                bare.extend(found.bare.then_some(found.start));
            }
            // A time alone on its line covers the words below it.
            None => covered += usize::from(std::mem::take(&mut owed)),
        }
    }
    let forward = bare.iter().zip(bare.iter().skip(1)).filter(|(a, b)| a <= b).count();
    let bare_fits = bare.len() >= 2 && forward * 3 >= (bare.len() - 1) * 2;
    covered * 2 > all && (bracketed || bare_fits)
}

pub(super) fn read(lines: &[&str], reading: &mut Reading) {
    let mut waiting: Option<Stamped<'_>> = None;
    let (mut untimed, mut first_untimed) = (0_usize, None);
    for (number, line) in (1..).zip(lines).filter(|(_, line)| !line.trim().is_empty()) {
        match (stamped(line), waiting.take()) {
            (Some(found), _) if found.words.is_empty() => waiting = Some(found),
            (Some(found), _) => keep(number, found.words, &found, reading),
            (None, Some(time)) => keep(number, line.trim(), &time, reading),
            (None, None) => {
                untimed += 1;
                first_untimed.get_or_insert(number);
                reading.keep_untimed(number, line);
            }
        }
    }
    if let Some(line) = first_untimed {
        let what = format!("{untimed} line(s) from here on without a time that can be read");
        reading.warn(line, what, "kept without a time");
    }
}

fn keep(line: usize, words: &str, time: &Stamped<'_>, reading: &mut Reading) {
    let utterance =
        Utterance { text: words.to_owned(), start_ms: Some(time.start), end_ms: time.end, ..Utterance::default() };
    reading.keep(line, utterance);
}
