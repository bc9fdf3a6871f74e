//! Owns the reading of NIST time-marked words: `file channel start duration word [confidence]`.

use std::collections::{HashMap, HashSet};

use super::reading::Reading;
use super::words::{self, TimedWord};

/// The words of one channel of one recording.
struct Track<'a> {
    file: &'a str,
    channel: &'a str,
    words: Vec<TimedWord>,
}

#[derive(Default)]
struct Tracks<'a> {
    list: Vec<Track<'a>>,
    places: HashMap<(&'a str, &'a str), usize>,
    current: usize,
}

impl<'a> Tracks<'a> {
    fn push(&mut self, file: &'a str, channel: &'a str, word: TimedWord) {
        let list = &mut self.list;
        let place = *self.places.entry((file, channel)).or_insert_with(|| {
            list.push(Track { file, channel, words: Vec::new() });
            list.len() - 1
        });
        self.current = place;
        if let Some(track) = self.list.get_mut(place) {
            track.words.push(word);
        }
    }

    fn current(&self) -> (&'a str, &'a str) {
        self.list.get(self.current).map_or(("", ""), |track| (track.file, track.channel))
    }
}

/// Whether most lines have the columns of a CTM file. Shorthand such as `L F 4.0 4.5 mm` has them
/// too, so there must be confidences, or several different words to a channel.
pub(super) fn fits(lines: &[&str]) -> bool {
    let (mut all, mut good, mut confident, mut fractions) = (0_usize, 0_usize, 0_usize, 0_usize);
    let (mut tracks, mut spoken) = (HashSet::new(), HashSet::new());
    for (_, line) in data_lines(lines) {
        all += 1;
        let fields: Vec<&str> = line.split_whitespace().collect();
        if let [file, channel, start, duration, word, rest @ ..] = fields.as_slice()
            && rest.len() <= 3
            && channel.len() <= 2
            && (word.starts_with("<ALT") || (seconds(start).is_some() && seconds(duration).is_some()))
        {
            good += 1;
            fractions += usize::from(start.contains('.') || duration.contains('.'));
            confident += usize::from(rest.first().is_some_and(|field| is_confidence(field)));
            tracks.insert((*file, *channel));
            spoken.insert(*word);
        }
    }
    let in_company = good >= 2 * tracks.len() && spoken.len() > 1;
    good > 0 && good * 5 >= all * 3 && fractions * 2 >= good && (in_company || confident * 2 > good)
}

fn data_lines<'a>(lines: &'a [&'a str]) -> impl Iterator<Item = (usize, &'a str)> {
    let trimmed = lines.iter().map(|line| line.trim());
    (1..).zip(trimmed).filter(|(_, line)| !line.is_empty() && !line.starts_with(";;"))
}

fn is_confidence(field: &str) -> bool {
    field == "NA" || field.parse::<f64>().is_ok()
}

fn seconds(field: &str) -> Option<u64> {
    field.parse().ok().and_then(words::to_ms)
}

pub(super) fn read(lines: &[&str], reading: &mut Reading) {
    let mut tracks = Tracks::default();
    let mut other_choice = false;
    for (number, line) in data_lines(lines) {
        let fields: Vec<&str> = line.split_whitespace().collect();
        match fields.get(4) {
            Some(&"<ALT_BEGIN>" | &"<ALT_END>") => other_choice = false,
            Some(&"<ALT>") => {
                let advice = "the first one is taken; listen to that place";
                reading.warn(number, "the recogniser gives another wording here", advice);
                other_choice = true;
            }
            _ if other_choice => {}
            Some(_) => add(&mut tracks, &fields, number, reading),
            None => add_short(&mut tracks, &fields, number, reading),
        }
    }
    keep(tracks.list, reading);
}

fn add<'a>(tracks: &mut Tracks<'a>, fields: &[&'a str], line: usize, reading: &mut Reading) {
    let [file, channel, start, duration, rest @ ..] = fields else {
        return;
    };
    let times = seconds(start).zip(seconds(duration)).map(|(start, length)| (start, start + length));
    if times.is_none() {
        let what = format!("`{start} {duration}` is no start and duration in seconds");
        reading.warn(line, what, "the word is kept without a time");
    }
    let spoken = word_count(rest);
    if spoken > 1 {
        reading.warn(line, "more than one word on the line", "all are kept");
    }
    let text = rest.get(..spoken).unwrap_or_default().join(" ");
    tracks.push(file, channel, TimedWord { text, times, line });
}

/// How many of the columns from the word on are words. After it come a confidence and, from some
/// writers, the kind of token and a speaker; anything else may have been said.
fn word_count(columns: &[&str]) -> usize {
    const KINDS: [&str; 8] = ["lex", "fp", "frag", "un-lex", "for-lex", "non-lex", "misc", "noscore"];
    match columns {
        [_, second, .., last] if !is_confidence(second) => columns.len() - usize::from(is_confidence(last)),
        [_, second] if !is_confidence(second) => 2,
        [_, _, third, ..] if !KINDS.contains(third) => columns.len(),
        _ => 1,
    }
}

/// A line with columns missing: what can be a word of it is kept.
fn add_short<'a>(tracks: &mut Tracks<'a>, fields: &[&'a str], line: usize, reading: &mut Reading) {
    let (file, channel) = tracks.current();
    let known = fields.starts_with(&[file, channel]);
    let said = if known { fields.get(2..).unwrap_or_default() } else { fields };
    let what = "not a line of file, channel, start, duration and word";
    if known && said.iter().all(|field| field.parse::<f64>().is_ok()) {
        reading.warn(line, what, "it has no word and was skipped");
        return;
    }
    reading.warn(line, what, "kept as words without a time");
    tracks.push(file, channel, TimedWord { text: said.join(" "), times: None, line });
}

/// Keeps one recording after the other, and within one the utterances of its channels by time:
/// the clocks of different recordings have nothing in common.
fn keep(tracks: Vec<Track<'_>>, reading: &mut Reading) {
    let mut places: HashMap<&str, usize> = HashMap::new();
    let mut recordings: Vec<Vec<Track<'_>>> = Vec::new();
    for track in tracks {
        let place = *places.entry(track.file).or_insert(recordings.len());
        match recordings.get_mut(place) {
            Some(channels) => channels.push(track),
            None => recordings.push(vec![track]),
        }
    }
    if recordings.len() > 1 {
        let line = recordings.get(1).and_then(|r| r.first()?.words.first()).map_or(1, |w| w.line);
        let what = format!("words of {} recordings in one file", recordings.len());
        reading.warn(line, what, "kept one recording after the other");
    }
    for channels in recordings {
        reading.restart_clock();
        let several = channels.len() > 1;
        let mut said = Vec::new();
        for mut track in channels {
            by_time(&mut track.words, reading);
            let mut start = 0;
            for (line, mut utterance) in words::grouped(track.words) {
                start = utterance.start_ms.unwrap_or(start);
                utterance.speaker = several.then(|| track.channel.to_owned());
                said.push((start, line, utterance));
            }
        }
        said.sort_by_key(|(start, ..)| *start);
        for (_, line, utterance) in said {
            reading.keep(line, utterance);
        }
    }
}

/// Puts a channel's words in order of time; words without one stay after the word before them.
fn by_time(words: &mut Vec<TimedWord>, reading: &mut Reading) {
    let mut last = 0;
    let mut keyed = Vec::with_capacity(words.len());
    for word in words.drain(..) {
        let start = word.times.map_or(last, |(start, _)| start);
        if start < last {
            let what = "the word starts before the one above it";
            reading.warn(word.line, what, "put where its time says");
        }
        last = start;
        keyed.push((start, word));
    }
    keyed.sort_by_key(|(start, _)| *start);
    words.extend(keyed.into_iter().map(|(_, word)| word));
}
