//! Owns exact matching: one automaton over all phrases that a dictation can hold.

use std::cmp::Reverse;
use std::collections::HashSet;

use aho_corasick::{AhoCorasick, AhoCorasickKind, MatchKind};

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

impl Lexicon {
    /// Every phrase that stands in the stream, overlapping ones too, ordered by start, longest first.
    ///
    /// The automaton is built over those phrases only that have no word which the stream lacks.
    pub fn scan(&self, tokens: &[Token]) -> Vec<PhraseHit> {
        let mut text = String::with_capacity(tokens.len() * 7);
        let mut at = Vec::with_capacity(tokens.len() + 1);
        text.push(' ');
        for t in tokens {
            at.push(text.len());
            text.push_str(if t.norm.is_empty() { "|" } else { &t.norm });
            text.push(' ');
        }
        let words: HashSet<&str> = text.split(' ').filter(|w| !w.is_empty()).collect();
        let possible: Vec<usize> = words
            .iter()
            .flat_map(|first| self.phrases.opened_by(first))
            .filter(|p| self.phrases[*p].split(' ').skip(1).all(|w| words.contains(w)))
            .collect();
        let patterns = possible.iter().map(|p| format!(" {} ", &self.phrases[*p]));
        let automaton = AhoCorasick::builder()
            .match_kind(MatchKind::Standard)
            .kind(Some(AhoCorasickKind::NoncontiguousNFA))
            .build(patterns)
            .unwrap_or_else(|e| unreachable!("the size was limited when the lexicon was compiled: {e}"));
        let mut out: Vec<PhraseHit> = automaton
            .find_overlapping_iter(&text)
            .filter_map(|m| {
                let first = at.binary_search(&(m.start() + 1)).ok()?;
                let end = at.binary_search(&m.end()).unwrap_or_else(|i| i);
                Some(PhraseHit { first, end, phrase: possible[m.pattern().as_usize()] })
            })
            .collect();
        out.sort_unstable_by_key(|h| (h.first, Reverse(h.end), h.phrase));
        out
    }
}
