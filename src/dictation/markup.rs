//! Owns the markup inside captions: tags, voices, word stamps, placement codes and entities.
//!
//! Only what is certainly markup is taken out: "pads <3 mm, discs >22" must keep its words.

use super::{Utterance, WordTime, stamps};

enum Tag<'a> {
    Time(u64),
    Voice(&'a str),
    VoiceEnd,
    Break,
    Plain,
}

/// Words of one voice, with the stamps that stood among them.
#[derive(Default)]
struct Piece {
    text: String,
    speaker: Option<String>,
    stamps: Vec<(usize, u64)>,
}

/// Turns the lines of one caption, parted by line feeds, into what was said: one utterance, or one
/// a voice where several speak in it.
pub(super) fn clean(raw: &str, start: Option<u64>, end: Option<u64>) -> Vec<Utterance> {
    pieces(raw, start).into_iter().map(|piece| utterance(piece, start, end)).collect()
}

/// The plain words of a caption's markup-free part, such as a speaker's name.
fn plain(raw: &str) -> String {
    pieces(raw, None).into_iter().map(|piece| piece.text).collect::<Vec<_>>().join(" ")
}

fn pieces(raw: &str, start: Option<u64>) -> Vec<Piece> {
    let mut done = Vec::new();
    let mut piece = Piece::default();
    let mut now = start;
    let mut rest = raw;
    while let Some(c) = rest.chars().next() {
        let mut step = c.len_utf8();
        match c {
            '<' => match tag(rest) {
                Some((found, length)) => {
                    step = length;
                    match found {
                        Tag::Time(ms) => {
                            piece.stamps.push((piece.text.len(), ms));
                            now = Some(ms);
                        }
                        Tag::Voice(name) => {
                            finish(&mut done, &mut piece, now);
                            piece.speaker = Some(plain(name)).filter(|name| !name.is_empty());
                        }
                        Tag::VoiceEnd => finish(&mut done, &mut piece, now),
                        Tag::Break => push(&mut piece.text, '\n'),
                        Tag::Plain => {}
                    }
                }
                None => push(&mut piece.text, c),
            },
            '{' => match placement(rest) {
                Some(length) => step = length,
                None => push(&mut piece.text, c),
            },
            '&' => match entity(rest) {
                Some((sign, length)) => {
                    step = length;
                    push(&mut piece.text, sign);
                }
                None => push(&mut piece.text, c),
            },
            _ => push(&mut piece.text, c),
        }
        rest = rest.get(step..).unwrap_or_default();
    }
    finish(&mut done, &mut piece, now);
    done
}

/// Adds a character; a line feed parts words as a space does, and nothing begins with white space.
fn push(text: &mut String, c: char) {
    match c {
        '\n' if text.ends_with(char::is_whitespace) => {}
        _ if c.is_whitespace() && text.is_empty() => {}
        '\n' => text.push(' '),
        _ => text.push(c),
    }
}

/// Ends a voice's piece. The next one goes on from the last stamp passed.
fn finish(done: &mut Vec<Piece>, piece: &mut Piece, now: Option<u64>) {
    let mut ended = std::mem::take(piece);
    let timed = !ended.stamps.is_empty();
    ended.text.truncate(ended.text.trim_end().len());
    if !ended.text.is_empty() {
        done.push(ended);
    }
    if let (true, Some(ms)) = (timed, now) {
        piece.stamps.push((0, ms));
    }
}

fn utterance(piece: Piece, start: Option<u64>, end: Option<u64>) -> Utterance {
    let mut words = Vec::new();
    if !piece.stamps.is_empty() {
        let length = piece.text.len();
        let mut marks = piece.stamps;
        if let Some(ms) = start {
            marks.insert(0, (0, ms));
        }
        for (at, (from, from_ms)) in marks.iter().copied().enumerate() {
            let next = marks.get(at + 1).copied();
            let to = next.map_or(length, |(to, _)| to.min(length));
            let to_ms = next.map(|(_, ms)| ms).or(end).unwrap_or(from_ms).max(from_ms);
            let stretch = piece.text.get(from..to).unwrap_or_default();
            words.extend(word_spans(stretch).map(|(start, end)| WordTime {
                start: from + start,
                end: from + end,
                start_ms: from_ms,
                end_ms: to_ms,
            }));
        }
    }
    Utterance { text: piece.text, start_ms: start, end_ms: end, speaker: piece.speaker, words }
}

/// Byte spans of the words between white space.
pub(super) fn word_spans(text: &str) -> impl Iterator<Item = (usize, usize)> + '_ {
    text.split(char::is_whitespace)
        .scan(0, |at, word| {
            let start = *at;
            let end = start + word.len();
            let gap = text.get(end..).and_then(|rest| rest.chars().next()).map_or(0, char::len_utf8);
            *at = end + gap;
            Some((start, end))
        })
        .filter(|(start, end)| start < end)
}

/// A tag at the start of the text and its length in bytes.
fn tag(text: &str) -> Option<(Tag<'_>, usize)> {
    let inner = text.get(1..)?;
    let length = inner.find(['<', '>'])?;
    let body = inner.get(..length).filter(|_| inner.as_bytes().get(length) == Some(&b'>'))?;
    Some((tag_of(body)?, length + 2))
}

fn tag_of(body: &str) -> Option<Tag<'_>> {
    if body.contains(':') && body.bytes().all(|b| b.is_ascii_digit() || b":.,".contains(&b)) {
        return Some(stamps::webvtt(body).map_or(Tag::Plain, |stamp| Tag::Time(stamp.ms)));
    }
    let (closing, open) = match body.strip_prefix('/') {
        Some(rest) => (true, rest.trim()),
        None => (false, body),
    };
    let name_end = open.find(|c: char| !c.is_ascii_alphanumeric()).unwrap_or(open.len());
    let (name, rest) = open.split_at_checked(name_end)?;
    if name == "v" {
        if closing {
            return rest.is_empty().then_some(Tag::VoiceEnd);
        }
        return voice(rest).map(Tag::Voice);
    }
    let bare = rest.is_empty() || (rest.starts_with('.') && !rest.contains(char::is_whitespace));
    let known = match name.to_ascii_lowercase().as_str() {
        "b" | "i" | "u" | "s" | "c" | "ruby" | "rt" | "em" | "strong" => bare,
        "lang" => bare || (rest.starts_with([' ', '\t', '.']) && rest.split_whitespace().count() == 1),
        "font" | "span" | "p" | "div" => rest.is_empty() || rest.contains('='),
        "br" if rest.trim().is_empty() || rest.trim() == "/" => return Some(Tag::Break),
        _ => false,
    };
    known.then_some(Tag::Plain)
}

/// The name in a voice tag, after its classes.
fn voice(rest: &str) -> Option<&str> {
    if rest.is_empty() {
        return Some("");
    }
    if !rest.starts_with(['.', ' ', '\t', '\n']) {
        return None;
    }
    Some(rest.split_once(char::is_whitespace).map_or("", |(_, name)| name.trim()))
}

/// The length of a placement or style code such as `{\an8}`.
fn placement(text: &str) -> Option<usize> {
    let inner = text.strip_prefix("{\\")?;
    let close = inner.find(['{', '}', '\n'])?;
    let certain = inner.starts_with(|c: char| c.is_ascii_alphanumeric()) && inner.as_bytes().get(close) == Some(&b'}');
    certain.then_some(close + 3)
}

/// The sign that an entity stands for, and the entity's length.
fn entity(text: &str) -> Option<(char, usize)> {
    let close = text.bytes().take(11).position(|byte| byte == b';')?;
    let name = text.get(1..close)?;
    let sign = match name {
        "amp" => '&',
        "lt" => '<',
        "gt" => '>',
        "quot" => '"',
        "apos" => '\'',
        "nbsp" => '\u{a0}',
        "lrm" => '\u{200e}',
        "rlm" => '\u{200f}',
        "ndash" => '–',
        "mdash" => '—',
        "hellip" => '…',
        "lsquo" => '‘',
        "rsquo" => '’',
        "ldquo" => '“',
        "rdquo" => '”',
        "deg" => '°',
        "frac12" => '½',
        "frac14" => '¼',
        "frac34" => '¾',
        "times" => '×',
        "plusmn" => '±',
        "micro" => 'µ',
        "pound" => '£',
        "euro" => '€',
        _ => numbered(name.strip_prefix('#')?)?,
    };
    Some((sign, close + 1))
}

fn numbered(name: &str) -> Option<char> {
    let code = match name.strip_prefix(['x', 'X']) {
        Some(hex) if hex.bytes().all(|b| b.is_ascii_hexdigit()) => u32::from_str_radix(hex, 16),
        None if name.bytes().all(|b| b.is_ascii_digit()) => name.parse(),
        _ => return None,
    };
    char::from_u32(code.ok()?).filter(|c| !c.is_control())
}
