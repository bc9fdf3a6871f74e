//! Owns tokens: the words, numbers and marks of a dictation, each with its byte span.

use std::sync::LazyLock;

use regex::Regex;

use super::fold::Folding;
use crate::dictation::Utterance;

/// Byte range inside one utterance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    /// 0-based index of the utterance.
    pub utterance: usize,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// A word or abbreviation.
    Word,
    /// Digits with their value.
    Number(f64),
    /// A punctuation mark.
    Mark(char),
    /// A speaker label or dialogue dash: somebody else may be talking from here.
    Speaker,
}

/// One token of the stream that runs through the whole dictation.
#[derive(Debug, Clone, PartialEq)]
pub struct Token {
    /// Where it stands.
    pub span: Span,
    /// Folded form that phrases are compared with.
    pub norm: String,
    /// Lower-case form as written.
    pub word: String,
    /// Whether folding took a plural ending off.
    pub plural: bool,
    /// Whether the word was written with a capital.
    pub capital: bool,
    /// Word, number, mark or speaker change.
    pub kind: Kind,
    /// First token of its utterance.
    pub opens_line: bool,
}

impl Token {
    /// Whether the token carries words (not a mark or a speaker label).
    pub fn is_wordlike(&self) -> bool {
        matches!(self.kind, Kind::Word | Kind::Number(_))
    }
}

// Alternatives in order: trouble code, ordinal, number, abbreviation with a slash, word, mark.
/// What parts of an inch, or of a whole, are counted in; the others are figures one behind the other.
const UNDER: [&str; 9] = ["2", "3", "4", "5", "8", "10", "16", "32", "64"];

static PIECE: LazyLock<Regex> = LazyLock::new(|| {
    #[allow(clippy::expect_used)] // a constant pattern, covered by every test
    Regex::new(
        r##"(?xi)
        (?P<stamp>\[[\d:.,\s-]+\])
      | (?P<code>\b[pcbu][0-3][0-9a-f]{3}\b)
      | (?P<ord>\d+(?:st|nd|rd|th)\b)
      | (?P<frac>\d+/\d+)
      | (?P<num>\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d*\.\d+|\d+)
      | (?P<slash>[a-z]/[a-z]+|[a-z]+/[a-z]\b|[a-z]+/)
      | (?P<word>[\p{L}][\p{L}0-9]*(?:['’][\p{L}]+)*)
      | (?P<dots>\.{2,}|…)
      | (?P<mark>[.,;:!?&+=%°()"\#@*~–—-])
    "##,
    )
    .expect("constant pattern")
});

const ENDINGS: [&str; 6] = ["'s", "'re", "'ve", "'ll", "'d", "'m"];

/// Tokens of a whole dictation, in order.
pub fn tokenize(utterances: &[Utterance], folding: &Folding) -> Vec<Token> {
    let labels = speaker_labels(utterances);
    let mut out = Vec::new();
    for (n, u) in utterances.iter().enumerate() {
        let from = out.len();
        let skip = labels[n];
        if skip > 0 {
            out.push(Token {
                span: Span { utterance: n, start: 0, end: skip },
                norm: String::new(),
                word: u.text[..skip].to_lowercase(),
                plural: false,
                capital: false,
                kind: Kind::Speaker,
                opens_line: false,
            });
        }
        push_tokens(&u.text, skip, n, folding, &mut out);
        if let Some(t) = out.get_mut(from) {
            t.opens_line = true;
        }
    }
    out
}

/// Tokens of one line: how lexicon phrases are read.
pub fn tokenize_line(text: &str, folding: &Folding) -> Vec<Token> {
    let mut out = Vec::new();
    push_tokens(text, 0, 0, folding, &mut out);
    out
}

/// The folded words of a phrase, joined by one space: how lexicon phrases are compared with the stream.
pub fn fold_phrase(phrase: &str, folding: &Folding) -> String {
    // most phrases are plain words, and all of the lexicon's pass through here
    let words: Vec<String> = if phrase.bytes().all(|b| b.is_ascii_lowercase() || b == b' ') {
        phrase.split(' ').filter(|w| !w.is_empty()).map(|w| folding.fold(w).0).collect()
    } else {
        tokenize_line(phrase, folding).into_iter().map(|t| t.norm).collect()
    };
    words.join(" ")
}

fn push_tokens(text: &str, from: usize, utterance: usize, folding: &Folding, out: &mut Vec<Token>) {
    for m in PIECE.captures_iter(&text[from..]) {
        let Some(whole) = m.get(0) else { continue };
        let (start, end) = (from + whole.start(), from + whole.end());
        let piece = whole.as_str();
        let lower = piece.to_lowercase().replace('’', "'");
        let mut push = |start: usize, end: usize, word: &str, kind: Kind| {
            let (norm, plural) = match kind {
                Kind::Word => folding.fold(word),
                _ => (word.to_string(), false),
            };
            let capital = text[start..end].chars().next().is_some_and(char::is_uppercase);
            out.push(Token {
                span: Span { utterance, start, end },
                norm,
                word: word.to_string(),
                plural,
                capital,
                kind,
                opens_line: false,
            });
        };
        // a time in brackets that the reader left in the line is no figure
        if m.name("stamp").is_some() {
            push(start, end, "[", Kind::Mark('['));
            continue;
        }
        if m.name("num").is_some() {
            let value = lower.replace(',', "").parse().unwrap_or(0.0);
            push(start, end, &lower, Kind::Number(value));
        } else if m.name("frac").is_some() {
            let (over, under) = lower.split_once('/').unwrap_or((&lower, ""));
            let (a, b): (f64, f64) = (over.parse().unwrap_or(0.0), under.parse().unwrap_or(0.0));
            let strung = text[end..].starts_with('/') || text[..start].ends_with('/');
            if a < b && UNDER.contains(&under) && !strung {
                push(start, end, &lower, Kind::Number(a / b));
            } else {
                // "3/3/3": three figures
                let bar = start + over.len();
                push(start, bar, over, Kind::Number(a));
                push(bar, bar + 1, "/", Kind::Mark('/'));
                push(bar + 1, end, under, Kind::Number(b));
            }
        } else if m.name("dots").is_some() {
            push(start, end, "...", Kind::Mark('…'));
        } else if m.name("mark").is_some() {
            let c = match lower.chars().next() {
                Some('–' | '—') | None => '-',
                Some(c) => c,
            };
            // a hyphen inside a word joins it: it counts as a space
            let spaced = text[..start].chars().next_back().is_none_or(char::is_whitespace);
            if c == '-' && !spaced {
                continue;
            }
            // a dash in front of digits is a sign, unless it opens the line like a bullet
            if c == '-' && start > from && text[end..].starts_with(|n: char| n.is_ascii_digit()) {
                push(start, end, "minus", Kind::Word);
                continue;
            }
            let kind = if c == '-' { Kind::Speaker } else { Kind::Mark(c) };
            push(start, end, &c.to_string(), kind);
        } else if m.name("word").is_some() {
            let ending = ENDINGS.iter().find(|e| lower.len() > e.len() && lower.ends_with(**e));
            match ending {
                // lower-casing may change byte lengths, the ending itself is the same in the source but for the apostrophe
                Some(e) => {
                    let tail = piece.char_indices().rev().nth(e.chars().count() - 1).map_or(0, |(i, _)| i);
                    push(start, start + tail, &lower[..lower.len() - e.len()], Kind::Word);
                    push(start + tail, end, e, Kind::Word);
                }
                None => push(start, end, &lower, Kind::Word),
            }
        } else {
            push(start, end, &lower, Kind::Word);
        }
    }
}

static LABEL: LazyLock<Regex> = LazyLock::new(|| {
    #[allow(clippy::expect_used)]
    Regex::new(r"^(?:[A-Z]|[A-Z][A-Za-z]{1,14}):\s+").expect("constant pattern")
});

/// Bytes of speaker label at the start of each utterance. `Pads: 3 mm` in notes is no label: a label comes back and speaks for
/// a good part of the lines.
fn speaker_labels(utterances: &[Utterance]) -> Vec<usize> {
    let found: Vec<Option<&str>> = utterances.iter().map(|u| LABEL.find(&u.text).map(|m| m.as_str())).collect();
    let labelled = found.iter().flatten().count();
    let mut names: Vec<&str> = found.iter().flatten().map(|l| l.trim()).collect();
    names.sort_unstable();
    names.dedup();
    let talk = labelled * 3 >= utterances.len() && !names.is_empty() && names.len() <= 6;
    let single = |l: &str| l.trim().len() == 2;
    found
        .iter()
        .map(|l| match l {
            Some(l) if talk && (single(l) || labelled >= names.len() * 2) => l.len(),
            _ => 0,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_fold_as_the_stream_does() {
        let folding = Folding::default();
        for phrase in
            ["ball joints", " glasses  of oil ", "", "a", "two-post lift", "driver's side", "a/c hoses", "5 mm"]
        {
            let words: Vec<String> = tokenize_line(phrase, &folding).into_iter().map(|t| t.norm).collect();
            assert_eq!(fold_phrase(phrase, &folding), words.join(" "), "{phrase}");
        }
    }
}
