//! Tests of the readers of dictations: one file a format, published values, files and properties.

mod ctm;
mod encodings;
mod notes;
mod properties;
mod published;
mod recogniser_json;
mod sources;
mod subrip;
mod timed_text;
mod webvtt;

use hoistnote::dictation::{self, Dictation, Format, Problem, Utterance};

/// What is expected of an utterance: its words, its start and its end.
type Said<'a> = (&'a str, Option<u64>, Option<u64>);

fn read_bytes(bytes: &[u8]) -> Dictation {
    dictation::read("walk", bytes).unwrap_or_else(|problem| panic!("{problem}"))
}

fn read(text: &str) -> Dictation {
    read_bytes(text.as_bytes())
}

fn refusal(bytes: &[u8]) -> Problem {
    match dictation::read("walk", bytes) {
        Ok(dictation) => panic!("was read: {dictation:?}"),
        Err(problem) => problem,
    }
}

fn texts(dictation: &Dictation) -> Vec<&str> {
    dictation.utterances.iter().map(|utterance| utterance.text.as_str()).collect()
}

fn said(dictation: &Dictation) -> Vec<Said<'_>> {
    let one = |u: &'_ Utterance| (u.start_ms, u.end_ms);
    texts(dictation)
        .into_iter()
        .zip(dictation.utterances.iter().map(one))
        .map(|(text, (start, end))| (text, start, end))
        .collect()
}

/// The timed words of an utterance with their times.
fn timed_words(utterance: &Utterance) -> Vec<(&str, u64, u64)> {
    let words = utterance.words.iter();
    words.map(|w| (utterance.text.get(w.start..w.end).unwrap_or("?"), w.start_ms, w.end_ms)).collect()
}

/// Lines of the warnings, for tables.
fn warned_lines(dictation: &Dictation) -> Vec<usize> {
    dictation.warnings.iter().map(|warning| warning.line.unwrap_or(0)).collect()
}

/// Reads a table of inputs that must all be of one format and give these utterances and warnings.
fn check(format: Format, table: &[(&str, &[Said<'_>], &[usize])]) {
    for (input, expected, warned) in table {
        let dictation = read(input);
        assert_eq!(dictation.format, format, "{input}");
        assert_eq!(said(&dictation), *expected, "{input}");
        assert_eq!(warned_lines(&dictation), *warned, "{input}\n{:#?}", dictation.warnings);
    }
}
