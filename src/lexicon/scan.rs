//! Owns exact matching: every phrase of the lexicon that stands in a dictation.

use std::cmp::Reverse;

use super::compile::Lexicon;
use crate::text::Token;

/// A phrase found in the token stream: tokens `first..end` and the index of the phrase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PhraseHit {
    /// First token.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// Index into [`Lexicon::meanings`].
    pub phrase: usize,
}

/// A word of the stream. A token may be several: "n/a" is folded to "not available".
struct Word {
    token: usize,
    /// Whether the token begins with it.
    opens: bool,
    /// Its number, where the lexicon knows it.
    number: Option<u32>,
}

impl Lexicon {
    /// Every phrase that stands in the stream, overlapping ones too, ordered by start, longest first.
    pub fn scan(&self, tokens: &[Token]) -> Vec<PhraseHit> {
        let mut words = Vec::with_capacity(tokens.len());
        for (token, t) in tokens.iter().enumerate() {
            for (n, word) in t.norm.split(' ').enumerate() {
                words.push(Word { token, opens: n == 0, number: self.phrases.word(word).map(|n| n as u32) });
            }
        }
        let mut out = Vec::new();
        for (at, word) in words.iter().enumerate() {
            if word.opens {
                self.phrases_at(&words[at..], &mut out);
            }
        }
        out.sort_unstable_by_key(|h| (h.first, Reverse(h.end), h.phrase));
        out
    }

    /// The phrases that the stream begins with: with each of its words fewer of those that its first word opens are left.
    fn phrases_at(&self, words: &[Word], out: &mut Vec<PhraseHit>) {
        let mut left: &[u32] = &[];
        for (n, word) in words.iter().enumerate() {
            let Some(number) = word.number else { return };
            left = match n {
                0 => self.phrases.opened_by(number as usize),
                _ => self.phrases.going_on(left, n, number),
            };
            while let Some((phrase, others)) = left.split_first() {
                if self.phrases.words_of(*phrase as usize).len() > n + 1 {
                    break;
                }
                out.push(PhraseHit { first: words[0].token, end: word.token + 1, phrase: *phrase as usize });
                left = others;
            }
            if left.is_empty() {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use aho_corasick::{AhoCorasick, MatchKind};
    use proptest::prelude::Strategy;
    use proptest::test_runner::Config;
    use proptest::{collection::vec, prop_assert_eq, proptest};

    use super::*;
    use crate::dictation::Utterance;
    use crate::text::tokenize;

    /// The same by an automaton over all phrases, with the words of the stream between single spaces.
    fn by_automaton(lexicon: &Lexicon, tokens: &[Token]) -> Vec<PhraseHit> {
        let mut text = String::from(" ");
        let mut at = Vec::new();
        for t in tokens {
            at.push(text.len());
            text.push_str(if t.norm.is_empty() { "|" } else { &t.norm });
            text.push(' ');
        }
        let patterns = (0..lexicon.phrases.len()).map(|p| format!(" {} ", &lexicon.phrases[p]));
        let automaton = AhoCorasick::builder().match_kind(MatchKind::Standard).build(patterns);
        let automaton = automaton.unwrap_or_else(|e| panic!("{e}"));
        let hits = automaton.find_overlapping_iter(&text).filter_map(|m| {
            let first = at.binary_search(&(m.start() + 1)).ok()?;
            let end = at.binary_search(&m.end()).unwrap_or_else(|i| i);
            Some(PhraseHit { first, end, phrase: m.pattern().as_usize() })
        });
        let mut out: Vec<PhraseHit> = hits.collect();
        out.sort_unstable_by_key(|h| (h.first, Reverse(h.end), h.phrase));
        out
    }

    proptest! {
        #![proptest_config(Config { cases: 12, failure_persistence: None, ..Config::default() })]

        #[test]
        fn the_scan_finds_what_an_automaton_finds(
            picks in vec((0_usize..100_000, 0_usize..8), 0..40).prop_map(|v| v),
        ) {
            let lexicon = Lexicon::builtin().unwrap_or_else(|e| panic!("{e}"));
            let mut said = String::new();
            for (n, cut) in picks {
                let phrase = &lexicon.phrases[n % lexicon.phrases.len()];
                // whole phrases, and beginnings and ends of them
                let words: Vec<&str> = phrase.split(' ').collect();
                said += &match cut {
                    0 => words[1..].join(" "),
                    1 => words[..words.len() - 1].join(" "),
                    2 => format!("{phrase}, n/a"),
                    _ => phrase.to_string(),
                };
                said.push(' ');
            }
            let tokens = tokenize(&[Utterance { text: said, ..Utterance::default() }], &lexicon.folding);
            prop_assert_eq!(lexicon.scan(&tokens), by_automaton(&lexicon, &tokens));
        }
    }
}
