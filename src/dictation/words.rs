//! Owns single words with times: grouping them to utterances, and finding them in a given text.

use super::reading::MAX_MS;
use super::{Utterance, WordTime};

/// A silence longer than this ends an utterance.
const PAUSE_MS: u64 = 600;
/// More words than this are no longer one utterance.
const MOST_WORDS: usize = 20;
/// How far ahead a word is looked for in the text, in bytes: past a few words that it lacks.
const LOOK_AHEAD: usize = 48;

/// A word with its start and end, and the line of the file it comes from.
pub(super) struct TimedWord {
    pub(super) text: String,
    pub(super) times: Option<(u64, u64)>,
    pub(super) line: usize,
}

/// Seconds as milliseconds, if they can be a time of a recording.
pub(super) fn to_ms(seconds: f64) -> Option<u64> {
    let ms = (seconds * 1000.0).round();
    // The bounds are checked first, so that the cast is exact.
    (ms >= 0.0 && ms <= MAX_MS as f64).then_some(ms as u64)
}

/// Parts words into utterances at long pauses, and where they get too many.
pub(super) fn grouped(words: Vec<TimedWord>) -> Vec<(usize, Utterance)> {
    let mut groups: Vec<(usize, Utterance)> = Vec::new();
    let mut count = 0;
    let mut last_end = None;
    for word in words {
        let text = word.text.trim();
        if text.is_empty() {
            continue;
        }
        let start = word.times.map(|(start, _)| start);
        let paused = last_end.zip(start).is_some_and(|(end, start)| start > end + PAUSE_MS);
        if groups.is_empty() || paused || count == MOST_WORDS {
            groups.push((word.line, Utterance::default()));
            count = 0;
        }
        if let Some((_, utterance)) = groups.last_mut() {
            append(utterance, text, word.times);
        }
        count += 1;
        last_end = word.times.map(|(_, end)| end).or(last_end);
    }
    groups
}

/// All words as one utterance.
pub(super) fn joined(words: &[TimedWord]) -> Utterance {
    let mut utterance = Utterance::default();
    for word in words.iter().filter(|word| !word.text.trim().is_empty()) {
        append(&mut utterance, word.text.trim(), word.times);
    }
    utterance
}

fn append(utterance: &mut Utterance, text: &str, times: Option<(u64, u64)>) {
    if !utterance.text.is_empty() {
        utterance.text.push(' ');
    }
    let start = utterance.text.len();
    utterance.text.push_str(text);
    if let Some((start_ms, end_ms)) = times {
        utterance.words.push(WordTime { start, end: utterance.text.len(), start_ms, end_ms });
        utterance.start_ms = utterance.start_ms.or(Some(start_ms));
        utterance.end_ms = utterance.end_ms.max(Some(end_ms));
    }
}

/// Finds timed words in the text they belong to, in order; gives the words that are not in it too.
pub(super) fn aligned<'a>(text: &str, words: &'a [TimedWord]) -> (Vec<WordTime>, Vec<&'a TimedWord>) {
    let (mut found, mut missing) = (Vec::new(), Vec::new());
    let mut cursor = 0;
    for word in words.iter().filter(|word| !word.text.trim().is_empty()) {
        match find(text, cursor, word.text.trim()) {
            Some((start, end)) => {
                cursor = end;
                if let Some((start_ms, end_ms)) = word.times {
                    found.push(WordTime { start, end, start_ms, end_ms });
                }
            }
            None => missing.push(word),
        }
    }
    (found, missing)
}

/// The span of a word at or soon after `from`: as written, or without its punctuation and case.
fn find(text: &str, from: usize, word: &str) -> Option<(usize, usize)> {
    let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
    [word, bare].into_iter().filter(|word| !word.is_empty()).find_map(|word| {
        let rest = text.get(from..)?;
        rest.char_indices().take_while(|(at, _)| *at <= LOOK_AHEAD).find_map(|(at, _)| {
            let length = prefix(rest.get(at..)?, word)?;
            let (start, end) = (from + at, from + at + length);
            is_whole(text, start, end).then_some((start, end))
        })
    })
}

/// The length of the text's beginning that equals the word but for case.
fn prefix(text: &str, word: &str) -> Option<usize> {
    let mut chars = text.char_indices();
    for wanted in word.chars() {
        let (_, c) = chars.next()?;
        if c != wanted && !c.to_lowercase().eq(wanted.to_lowercase()) {
            return None;
        }
    }
    Some(chars.next().map_or(text.len(), |(at, _)| at))
}

/// Whether a span does not cut a word of the text: "at" must not be found in "seat".
fn is_whole(text: &str, start: usize, end: usize) -> bool {
    let cut = |at: usize| {
        let (before, after) = text.split_at_checked(at).unwrap_or_default();
        before.ends_with(char::is_alphanumeric) && after.starts_with(char::is_alphanumeric)
    };
    !cut(start) && !cut(end)
}
