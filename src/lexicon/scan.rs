//! Owns exact matching: one automaton over all phrases that a dictation can hold.

use std::cmp::Reverse;
use std::collections::{HashMap, HashSet};

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
    /// The automaton is built over those phrases only that the stream may hold.
    pub fn scan(&self, tokens: &[Token]) -> Vec<PhraseHit> {
        let mut text = String::with_capacity(tokens.len() * 7);
        let mut at = Vec::with_capacity(tokens.len() + 1);
        text.push(' ');
        for t in tokens {
            at.push(text.len());
            text.push_str(if t.norm.is_empty() { "|" } else { &t.norm });
            text.push(' ');
        }
        let possible = self.possible(&text);
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

    /// Numbers of the phrases all of whose words follow each other somewhere in the text, if not all in one place.
    fn possible(&self, text: &str) -> Vec<usize> {
        let mut known: HashMap<&str, Option<usize>> = HashMap::new();
        let words: Vec<Option<usize>> = text
            .split(' ')
            .filter(|w| !w.is_empty())
            .map(|w| *known.entry(w).or_insert_with(|| self.phrases.word(w)))
            .collect();
        let pairs: HashSet<(u32, u32)> = words.windows(2).filter_map(|w| Some((w[0]? as u32, w[1]? as u32))).collect();
        known
            .values()
            .flatten()
            .flat_map(|first| self.phrases.opened_by(*first))
            .map(|p| *p as usize)
            .filter(|p| self.phrases.words_of(*p).windows(2).all(|w| pairs.contains(&(w[0], w[1]))))
            .collect()
    }
}
