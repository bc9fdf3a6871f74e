//! Owns the way from bytes to text: encodings, byte order marks, line ends, and telling what is no text.

use encoding_rs::{Encoding, UTF_16BE, UTF_16LE, WINDOWS_1252};

use super::Problem;

/// A file as text, every line ended by a single line feed.
pub(super) struct Decoded {
    pub(super) text: String,
    pub(super) warning: Option<Problem>,
}

/// Decodes a file, or says why it is no text.
pub(super) fn decode(path: &str, bytes: &[u8]) -> Result<Decoded, Problem> {
    if bytes.is_empty() {
        return Err(nothing(path));
    }
    if let Some((what, advice)) = known_binary(bytes) {
        return Err(Problem::whole(path, what, advice));
    }
    let (raw, warning) = to_text(path, bytes);
    let text = tidy_lines(&raw);
    if let Some(at) = text.find('\0') {
        return Err(binary(path).at_line(line_of(&text, at)));
    }
    if mostly_controls(&text) {
        return Err(binary(path));
    }
    if text.trim().is_empty() {
        return Err(nothing(path));
    }
    Ok(Decoded { text, warning })
}

/// The number of the line that holds a byte offset, counted from 1.
pub(super) fn line_of(text: &str, at: usize) -> usize {
    text.bytes().take(at).filter(|b| *b == b'\n').count() + 1
}

fn nothing(path: &str) -> Problem {
    let advice = "check that it is the right file and that the recording or export was finished";
    Problem::whole(path, "nothing in it", advice)
}

fn binary(path: &str) -> Problem {
    let what = "not a text file: it holds bytes that no text has";
    Problem::whole(path, what, "save the dictation as plain text, captions or recogniser JSON")
}

/// Kinds of file that people hand over by mistake, by their first bytes.
fn known_binary(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    const SOUND: (&str, &str) = (
        "a sound or video recording, not text",
        "run a speech recogniser over it first and give the text, captions or JSON it writes",
    );
    const DOCUMENT: (&str, &str) =
        ("a word-processor document or archive, not plain text", "save or export it as plain text first");
    const PICTURE: (&str, &str) = ("a picture, not text", "type out or recognise what it shows first");
    let starts = |head: &[u8]| bytes.starts_with(head);
    let at = |from: usize, part: &[u8]| bytes.get(from..).is_some_and(|b| b.starts_with(part));
    if starts(b"%PDF-") || starts(b"PK\x03\x04") || starts(b"{\\rtf") || starts(b"\x1f\x8b") {
        Some(DOCUMENT)
    } else if starts(b"\x89PNG") || starts(b"\xff\xd8\xff") {
        Some(PICTURE)
    } else if (starts(b"RIFF") && (at(8, b"WAVE") || at(8, b"AVI ")))
        || (starts(b"ID3") && bytes.get(3).is_some_and(|b| *b < 0x10))
        || starts(b"OggS\0")
        || starts(b"fLaC\0")
        || starts(b"\x1a\x45\xdf\xa3")
        || (at(4, b"ftyp") && starts(b"\0"))
    {
        Some(SOUND)
    } else {
        None
    }
}

fn to_text(path: &str, bytes: &[u8]) -> (String, Option<Problem>) {
    if let Some(rest) = bytes.strip_prefix(b"\xef\xbb\xbf") {
        return utf8_or_windows(path, rest);
    }
    if let Some(rest) = bytes.strip_prefix(b"\xff\xfe") {
        return utf16(path, UTF_16LE, rest);
    }
    if let Some(rest) = bytes.strip_prefix(b"\xfe\xff") {
        return utf16(path, UTF_16BE, rest);
    }
    match unmarked_utf16(bytes) {
        Some(encoding) => utf16(path, encoding, bytes),
        None => utf8_or_windows(path, bytes),
    }
}

fn utf16(path: &str, encoding: &'static Encoding, bytes: &[u8]) -> (String, Option<Problem>) {
    let (text, broken) = encoding.decode_without_bom_handling(bytes);
    let warning = broken.then(|| {
        Problem::whole(
            path,
            "some characters of this UTF-16 file are broken or cut off",
            "each is shown as \u{fffd}; save it again as UTF-8 if words are missing",
        )
    });
    (text.into_owned(), warning)
}

/// UTF-16 without a mark gives itself away by zero bytes on one side of the pairs only.
fn unmarked_utf16(bytes: &[u8]) -> Option<&'static Encoding> {
    let zeros = |side: usize| bytes.iter().skip(side).step_by(2).filter(|b| **b == 0).count();
    let encoding = match (zeros(0), zeros(1)) {
        (0, 0) => return None,
        (0, _) => UTF_16LE,
        (_, 0) => UTF_16BE,
        _ => return None,
    };
    let whole_pairs = bytes.get(..bytes.len() & !1)?;
    let (text, broken) = encoding.decode_without_bom_handling(whole_pairs);
    (!broken && !text.is_empty() && !text.chars().any(is_stray_control)).then_some(encoding)
}

/// Bytes that are not UTF-8 are read as Windows-1252, the rest of the file as it is, so that a
/// single foreign byte doesn't spoil every other sign.
fn utf8_or_windows(path: &str, bytes: &[u8]) -> (String, Option<Problem>) {
    let mut text = String::with_capacity(bytes.len());
    let mut first_bad = None;
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        if !chunk.invalid().is_empty() {
            first_bad.get_or_insert(text.len());
            text.push_str(&WINDOWS_1252.decode_without_bom_handling(chunk.invalid()).0);
        }
    }
    let warning = first_bad.map(|at| {
        let line = line_of(&tidy_lines(text.get(..at).unwrap_or_default()), usize::MAX);
        Problem::whole(path, "not UTF-8", "read as Windows-1252; save it as UTF-8 if signs such as ½ or ° look wrong")
            .at_line(line)
    });
    (text, warning)
}

/// Makes every line end a line feed and drops byte order marks left at line starts by joined files.
fn tidy_lines(raw: &str) -> String {
    let mut text = String::with_capacity(raw.len());
    let mut chars = raw.chars().peekable();
    let mut at_start = true;
    while let Some(c) = chars.next() {
        match c {
            '\r' => {
                // CR CR LF comes from a line end translated twice: one break, not two.
                let mut returns = 1;
                while chars.next_if_eq(&'\r').is_some() {
                    returns += 1;
                }
                let breaks = if chars.next_if_eq(&'\n').is_some() { 1 } else { returns };
                text.extend(std::iter::repeat_n('\n', breaks));
                at_start = true;
            }
            '\u{feff}' if at_start => {}
            _ => {
                text.push(c);
                at_start = c == '\n';
            }
        }
    }
    text
}

fn is_stray_control(c: char) -> bool {
    c.is_control() && !matches!(c, '\t' | '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{1b}' | '\u{85}')
}

fn mostly_controls(text: &str) -> bool {
    let (mut all, mut strays) = (0_usize, 0_usize);
    for c in text.chars().filter(|c| !c.is_whitespace()) {
        all += 1;
        strays += usize::from(is_stray_control(c));
    }
    strays > 0 && (strays == all || (strays > 2 && strays * 20 > all))
}
