//! Owns what WebVTT and SubRip share: timing lines, cues, and words that stand outside every cue.

use std::borrow::Cow;
use std::ops::Range;

use super::markup;
use super::reading::Reading;
use super::stamps::{self, Stamp};

/// The arrow between the times of a cue, and what typing and conversions make of it.
const ARROWS: [&str; 5] = ["-->", "->", "–>", "—>", "→"];

/// Which of the two caption formats is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Style {
    WebVtt,
    SubRip,
}

impl Style {
    fn stamp(self, text: &str) -> Option<Stamp> {
        match self {
            Self::WebVtt => stamps::webvtt(text),
            Self::SubRip => stamps::subrip(text),
        }
    }

    fn proper_shape(self) -> &'static str {
        match self {
            Self::WebVtt => "hh:mm:ss.mmm --> hh:mm:ss.mmm",
            Self::SubRip => "hh:mm:ss,mmm --> hh:mm:ss,mmm",
        }
    }
}

/// A line with the times of a cue, as written.
pub(super) struct Timing<'a> {
    pub(super) start: Cow<'a, str>,
    pub(super) end: Cow<'a, str>,
    rest: &'a str,
    /// Whether the arrow and the spaces are as they should be.
    proper: bool,
}

/// A cue's head: its identifier, if any, begins at `first`.
struct Head<'a> {
    first: usize,
    at: usize,
    number: Option<u64>,
    timing: Timing<'a>,
}

/// Times that can be read but are not written as the format demands; told once a file.
#[derive(Default)]
struct Slips {
    count: usize,
    first: Option<(usize, String)>,
}

/// The times in a line, if it is a timing line: arrows that technicians type in notes are not.
pub(super) fn timing(line: &str) -> Option<Timing<'_>> {
    let line = line.trim();
    let arrow = ARROWS.into_iter().find(|arrow| line.contains(arrow))?;
    let (left, right) = line.split_once(arrow)?;
    let (left, right) = (left.trim(), right.trim_start());
    let spaced = left.contains(char::is_whitespace) && left.chars().all(|c| clockish(c) || c == ' ');
    let timing = if spaced {
        let length = right.find(|c| !clockish(c) && c != ' ').unwrap_or(right.len());
        let (end, rest) = right.split_at_checked(length)?;
        let closed_up = |text: &str| Cow::Owned(text.replace(' ', ""));
        Timing { start: closed_up(left), end: closed_up(end), rest, proper: false }
    } else {
        let (end, rest) = right.split_once(char::is_whitespace).unwrap_or((right, ""));
        Timing { start: Cow::Borrowed(left), end: Cow::Borrowed(end), rest, proper: arrow == ARROWS[0] }
    };
    let (start, end) = (timing.start.as_ref(), timing.end.as_ref());
    let found = if arrow == "-->" {
        (meant_as_time(start) && (meant_as_time(end) || end.is_empty())) || (start.is_empty() && meant_as_time(end))
    } else {
        [start, end].into_iter().all(|stamp| is_full(stamp) && stamps::clock(stamp).is_some())
    };
    found.then_some(timing)
}

/// Whether a time has the hours or the fraction that times in captions have and clock times lack.
pub(super) fn is_full(stamp: &str) -> bool {
    let colons = stamp.matches(':').count();
    stamp.chars().all(clockish) && (colons == 2 || (colons == 1 && stamp.contains(['.', ','])))
}

fn clockish(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, ':' | '.' | ',' | ';')
}

fn meant_as_time(text: &str) -> bool {
    let colon = text.contains(':') && !text.ends_with(':');
    let digits_only = text.len() >= 5 && text.chars().all(clockish);
    !text.contains(char::is_whitespace) && (colon || digits_only)
}

/// Reads the cues of `lines`; words before the first one count from line `from` on.
pub(super) fn read(style: Style, lines: &[&str], from: usize, reading: &mut Reading) {
    let mut heads = heads(style, lines);
    free_words(&mut heads, lines, from, reading);
    let mut slips = Slips::default();
    let first = heads.first().map_or(lines.len(), |head| head.first);
    let mut loose = Loose { style, lines, number: None, open_style: false };
    loose.read(from..first, None, reading);
    for (index, head) in heads.iter().enumerate() {
        let next = heads.get(index + 1).map_or(lines.len(), |head| head.first);
        loose.number = head.number.or(loose.number);
        let times = times(style, head, lines, &mut slips, reading);
        let text_end = (head.at + 1..next).find(|at| lines.get(*at).is_none_or(|line| line.is_empty())).unwrap_or(next);
        let mut parts = words_beside(&head.timing, head.at, reading);
        parts.extend(lines.get(head.at + 1..text_end).unwrap_or_default());
        let open = (!keep(&parts, head.at + 1, times, reading)).then_some(times);
        loose.read(text_end..next, open, reading);
    }
    if let Some((line, example)) = slips.first {
        let (count, shape) = (slips.count, style.proper_shape());
        let what = format!("times of {count} cue(s) not written as `{shape}`, first `{example}`");
        reading.warn(line, what, "read all the same");
    }
}

type Times = (Option<u64>, Option<u64>);

/// Keeps the words of a caption; tells whether there were any.
fn keep(parts: &[&str], line: usize, (start, end): Times, reading: &mut Reading) -> bool {
    let trimmed: Vec<&str> = parts.iter().map(|part| part.trim()).filter(|p| !p.is_empty()).collect();
    let said = markup::clean(&trimmed.join("\n"), start, end);
    let any = !said.is_empty();
    for utterance in said {
        reading.keep(line, utterance);
    }
    any
}

fn heads<'a>(style: Style, lines: &[&'a str]) -> Vec<Head<'a>> {
    let mut heads: Vec<Head<'a>> = Vec::new();
    let mut last_number = None;
    for (at, line) in lines.iter().enumerate() {
        let Some(timing) = timing(line) else { continue };
        let free_from = heads.last().map_or(0, |head| head.at + 1);
        let before = at.checked_sub(1).filter(|before| *before >= free_from);
        let id = before.and_then(|before| lines.get(before)).map(|line| line.trim());
        let fresh = at < 2 || lines.get(at - 2).is_some_and(|line| line.trim().is_empty());
        let number = id.and_then(counter);
        let runs_on = number.is_some_and(|number| match last_number {
            Some(last) => number > last,
            None => heads.is_empty() && number <= 1,
        });
        let is_id = id.is_some_and(|id| !id.is_empty())
            && match style {
                Style::WebVtt => fresh || runs_on,
                Style::SubRip => number.is_some() && (fresh || runs_on),
            };
        let number = number.filter(|_| is_id);
        last_number = number.or(last_number);
        heads.push(Head { first: if is_id { at - 1 } else { at }, at, number, timing });
    }
    heads
}

/// An identifier that is no number may be words that a blank line cut off from their cue. They
/// count as said unless most cues have such identifiers.
fn free_words(heads: &mut [Head<'_>], lines: &[&str], from: usize, reading: &mut Reading) {
    let name = |head: &Head<'_>| {
        let id = lines.get(head.first).map_or("", |line| line.trim());
        let named = from <= head.first && head.first < head.at && head.number.is_none();
        named.then(|| id.split_whitespace().count())
    };
    let named = heads.iter().filter(|head| name(head).is_some()).count();
    if named * 2 <= heads.len() {
        for head in heads.iter_mut().filter(|head| name(head).is_some()) {
            head.first = head.at;
        }
    } else if let Some(head) = heads.iter().find(|head| name(head) > Some(1)) {
        let advice = "not taken as said; look whether they were";
        reading.warn(head.first + 1, "cues have identifiers of several words", advice);
    }
}

fn counter(line: &str) -> Option<u64> {
    let digits = !line.is_empty() && line.bytes().all(|b| b.is_ascii_digit());
    if digits { line.parse().ok() } else { None }
}

fn times(style: Style, head: &Head<'_>, lines: &[&str], slips: &mut Slips, reading: &mut Reading) -> Times {
    let line = head.at + 1;
    let shown: String = lines.get(head.at).map_or("", |l| l.trim()).chars().take(60).collect();
    let Some(start) = style.stamp(&head.timing.start) else {
        let what = format!("the times in `{shown}` can't be read");
        reading.warn(line, what, "the words are kept without a time");
        return (None, None);
    };
    let end = style.stamp(&head.timing.end);
    if !(head.timing.proper && start.proper && end.is_none_or(|end| end.proper)) {
        slips.count += 1;
        slips.first.get_or_insert_with(|| (line, shown.clone()));
    }
    match end {
        None => {
            let what = format!("the end time in `{shown}` can't be read");
            reading.warn(line, what, "only the start time is kept");
            (Some(start.ms), None)
        }
        Some(end) if end.ms == start.ms => {
            reading.warn(line, "ends where it starts", "the end time was left out");
            (Some(start.ms), None)
        }
        Some(end) => (Some(start.ms), Some(end.ms)),
    }
}

/// Words typed on the timing line itself; cue settings and coordinates are none.
fn words_beside<'a>(timing: &Timing<'a>, at: usize, reading: &mut Reading) -> Vec<&'a str> {
    const SETTINGS: [&str; 10] = ["vertical", "line", "position", "size", "align", "region", "X1", "X2", "Y1", "Y2"];
    let is_setting = |token: &str| token.split_once([':', '=']).is_some_and(|(name, _)| SETTINGS.contains(&name));
    if timing.rest.split_whitespace().all(is_setting) {
        return Vec::new();
    }
    reading.warn(at + 1, "words on the line of the times", "kept as part of the caption");
    vec![timing.rest]
}

/// The reader of what stands between cues: comments, style sheets and words without a time.
struct Loose<'a> {
    style: Style,
    lines: &'a [&'a str],
    /// The last cue number passed, so that a number without a cue isn't taken for words.
    number: Option<u64>,
    /// Whether a style sheet with a blank line inside goes on.
    open_style: bool,
}

impl Loose<'_> {
    /// `open` holds the times of a cue before these lines that had no words yet.
    fn read(&mut self, range: Range<usize>, mut open: Option<Times>, reading: &mut Reading) {
        let (mut at, end) = (range.start, range.end);
        while at < end {
            let stop = (at..end).find(|i| self.lines.get(*i).is_none_or(|l| l.is_empty())).unwrap_or(end);
            let parts = self.lines.get(at..stop).unwrap_or_default();
            if !parts.is_empty() && !self.is_block(parts) {
                self.words(parts, at + 1, &mut open, reading);
            }
            at = stop + 1;
        }
    }

    fn is_block(&mut self, parts: &[&str]) -> bool {
        if self.style != Style::WebVtt {
            return false;
        }
        let first = parts.first().map_or("", |line| line.trim_end());
        let sheet = self.open_style || first == "STYLE";
        if sheet {
            let signs = |sign| parts.iter().map(|line| line.matches(sign).count()).sum::<usize>();
            let (opened, closed) = (signs('{'), signs('}'));
            self.open_style = opened > closed || (self.open_style && opened == closed);
        }
        sheet || first == "REGION" || first == "NOTE" || first.starts_with("NOTE ") || first.starts_with("NOTE\t")
    }

    fn words(&mut self, parts: &[&str], line: usize, open: &mut Option<Times>, reading: &mut Reading) {
        let expected = |found: u64| match self.number {
            Some(last) => last.checked_add(1) == Some(found),
            None => found <= 1,
        };
        let number = parts.first().and_then(|first| counter(first.trim())).filter(|n| expected(*n));
        let parts = if number.is_some() { parts.get(1..).unwrap_or_default() } else { parts };
        if number.is_some() {
            self.number = number;
        }
        let nothing = parts.iter().all(|part| part.trim().is_empty());
        if nothing && number.is_some() {
            reading.warn(line, "a cue number with nothing after it", "skipped");
        }
        if nothing {
            return;
        }
        let times = if number.is_some() { None } else { *open };
        if keep(parts, line, times.unwrap_or_default(), reading) {
            match times {
                Some(_) => {
                    *open = None;
                    let what = "a blank line between a cue's times and its words";
                    reading.warn(line, what, "the words are kept with those times");
                }
                None => reading.warn(line, "words outside any timed cue", "kept without a time"),
            }
        }
    }
}
