//! Owns quoting: the words behind a finding as people read them, each line of the dictation in its own quote.

use std::collections::BTreeMap;

use crate::findings::{Document, Evidence};

use super::wording;

/// Lines up to this many bytes are quoted whole.
const WHOLE: usize = 150;
/// Of longer lines this much is kept on each side of the words meant.
const AROUND: usize = 70;

/// Words of one line of the dictation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quote {
    /// When it was said, or which line it is where no time is known.
    pub at: String,
    /// Who spoke, where known.
    pub speaker: Option<String>,
    /// The words without quotation marks, safe to show.
    pub words: String,
}

/// The quotes for evidence, in the order of the dictation.
pub fn quotes(document: &Document, evidence: &[Evidence]) -> Vec<Quote> {
    let mut lines: BTreeMap<usize, Vec<&Evidence>> = BTreeMap::new();
    for e in evidence {
        lines.entry(e.utterance).or_default().push(e);
    }
    lines.into_iter().map(|(line, pieces)| quote(document, line, &pieces)).collect()
}

/// One whole line, as it stands in the dictation.
pub fn whole(document: &Document, line: usize, text: &str) -> Quote {
    let spoken = line.checked_sub(1).and_then(|i| document.utterances.get(i));
    Quote {
        at: at(spoken.and_then(|u| u.start_ms), line),
        speaker: spoken.and_then(|u| u.speaker.as_deref()).map(wording::shown),
        words: wording::shown(text),
    }
}

fn at(ms: Option<u64>, line: usize) -> String {
    ms.map_or_else(|| format!("line {line}"), wording::time)
}

fn quote(document: &Document, line: usize, pieces: &[&Evidence]) -> Quote {
    let Some(u) = line.checked_sub(1).and_then(|i| document.utterances.get(i)) else {
        let words: Vec<&str> = pieces.iter().map(|e| e.text.as_str()).collect();
        return whole(document, line, &words.join(" … "));
    };
    let first = pieces.iter().filter_map(|e| e.start_ms).min();
    let spans: Vec<(usize, usize)> = pieces.iter().map(|e| (e.start, e.end)).collect();
    Quote { at: at(first.or(u.start_ms), line), ..whole(document, line, &excerpt(&u.text, &spans)) }
}

/// The text, or of a long one the sentences around the spans, cut ends and gaps marked.
fn excerpt(text: &str, spans: &[(usize, usize)]) -> String {
    if text.len() <= WHOLE {
        return text.to_string();
    }
    let mut stretches: Vec<(usize, usize)> = spans.iter().map(|&(from, to)| (back(text, from), on(text, to))).collect();
    stretches.sort_unstable();
    let mut joined: Vec<(usize, usize)> = Vec::new();
    for s in stretches {
        match joined.last_mut() {
            Some(last) if s.0 <= last.1 + 3 => last.1 = last.1.max(s.1),
            _ => joined.push(s),
        }
    }
    let (Some(first), Some(last)) = (joined.first(), joined.last()) else {
        return text.to_string();
    };
    let (cut_before, cut_after) = (text[..first.0].trim() != "", text[last.1..].trim() != "");
    let words: Vec<&str> = joined.iter().map(|s| text[s.0..s.1].trim()).collect();
    let (before, after) = (if cut_before { "… " } else { "" }, if cut_after { " …" } else { "" });
    format!("{before}{}{after}", words.join(" … "))
}

/// Where the sentence around `from` begins, or a word not too far before it.
fn back(text: &str, from: usize) -> usize {
    let from = text.floor_char_boundary(from);
    let low = text.floor_char_boundary(from.saturating_sub(AROUND));
    let near = &text[low..from];
    if let Some(end) = near.rmatch_indices(ends_sentence).map(|(i, _)| i + 1).find(|i| near[*i..].starts_with(' ')) {
        return low + end;
    }
    if low == 0 { 0 } else { low + near.find(' ').unwrap_or(0) }
}

/// Where the sentence around `to` ends, or a word not too far behind it.
fn on(text: &str, to: usize) -> usize {
    let to = text.floor_char_boundary(to);
    let high = text.floor_char_boundary(to.saturating_add(AROUND));
    let near = &text[to..high];
    let rest = |i: usize| text[to + i..].chars().next().is_none_or(char::is_whitespace);
    if let Some(end) = near.match_indices(ends_sentence).map(|(i, _)| i + 1).find(|i| rest(*i)) {
        return to + end;
    }
    if high == text.len() { high } else { to + near.rfind(' ').unwrap_or(near.len()) }
}

fn ends_sentence(c: char) -> bool {
    matches!(c, '.' | '?' | '!' | ';')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_lines_are_quoted_whole() {
        assert_eq!(excerpt("left pad is thin.", &[(5, 8)]), "left pad is thin.");
    }

    #[test]
    fn long_lines_are_cut_at_sentences() {
        let text =
            format!("{} Left pad is thin. {}", "Nothing to see here so far.".repeat(4), "More of the same.".repeat(6));
        let at = text.find("pad").unwrap_or(0);
        assert_eq!(excerpt(&text, &[(at, at + 3)]), "… Left pad is thin. …");
    }

    #[test]
    fn spans_that_fit_no_text_do_no_harm() {
        let text = "é".repeat(200);
        for span in [(0, 1), (1, 3), (399, 400), (900, 1000), (50, 10)] {
            assert!(!excerpt(&text, &[span]).is_empty());
        }
    }

    #[test]
    fn far_apart_words_of_one_line_are_joined_by_a_gap() {
        let text = format!("pad {}thin", "word ".repeat(60));
        let out = excerpt(&text, &[(0, 3), (text.len() - 4, text.len())]);
        assert!(out.starts_with("pad word") && out.contains(" … ") && out.ends_with("word thin"), "{out}");
    }
}
