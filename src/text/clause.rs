//! Owns clauses: stretches of tokens between marks, pauses and joining words.
//!
//! Recognisers put full stops anywhere and captions cut anywhere, so a boundary has a strength and nothing more.

use super::token::{Kind, Token};

/// How strongly a clause is parted from the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Boundary {
    /// A comma or a joining word.
    Weak,
    /// A full stop in front of a lower-case word, dots, a semicolon.
    Middle,
    /// A full stop, question mark or the like.
    Strong,
    /// Somebody else starts to speak.
    Speaker,
}

/// Longer than any clause that is said; one word after the other without a mark or a pause is cut here, so that looking at all words of
/// a clause for each of them stays cheap.
const LONGEST_CLAUSE: usize = 400;
/// The same for sentences.
const LONGEST_SENTENCE: usize = 3000;

/// A run of tokens `first..end` (indexes into the token stream).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clause {
    /// First token.
    pub first: usize,
    /// One past the last token.
    pub end: usize,
    /// How it is parted from what stands before it.
    pub before: Boundary,
    /// Number of the sentence it belongs to: counts strong boundaries.
    pub sentence: usize,
    /// Whether the clause closes with a question mark.
    pub asks: bool,
}

/// Cuts the stream at marks and at the joining words in `joins` (`but`, `because`, …).
/// `line_break` is how strongly the end of a line parts, where it parts at all.
pub fn clauses(tokens: &[Token], joins: &dyn Fn(&Token) -> bool, line_break: Option<Boundary>) -> Vec<Clause> {
    let mut out: Vec<Clause> = Vec::new();
    let mut first = 0;
    let mut before = Boundary::Speaker;
    let mut sentence = 0;
    let mut opened = 0;
    let mut close = |first: usize, end: usize, before: Boundary, asks: bool| {
        if tokens[first..end].iter().any(Token::is_wordlike) {
            let before = if first - opened >= LONGEST_SENTENCE { before.max(Boundary::Strong) } else { before };
            if before >= Boundary::Strong {
                sentence += 1;
                opened = first;
            }
            out.push(Clause { first, end, before, sentence, asks });
            true
        } else {
            false
        }
    };
    for (i, t) in tokens.iter().enumerate() {
        let next_capital = tokens.get(i + 1).is_none_or(|n| n.capital || n.opens_line || !matches!(n.kind, Kind::Word));
        let cut = match t.kind {
            Kind::Speaker => Some(Boundary::Speaker),
            Kind::Mark('.' | '!' | '?') if next_capital => Some(Boundary::Strong),
            Kind::Mark('.' | '!' | '?' | '…' | ';') => Some(Boundary::Middle),
            Kind::Mark(',' | ':' | '(' | ')') => Some(Boundary::Weak),
            _ if t.opens_line && line_break.is_some() => line_break,
            Kind::Word if joins(t) => Some(Boundary::Weak),
            _ if i - first >= LONGEST_CLAUSE => Some(Boundary::Weak),
            _ => None,
        };
        if let Some(cut) = cut {
            let asks = t.kind == Kind::Mark('?');
            let keeps = t.is_wordlike();
            let closed = close(first, i, before, asks);
            // an empty clause passes its boundary on
            before = if closed { cut } else { before.max(cut) };
            first = if keeps { i } else { i + 1 };
        }
    }
    close(first.min(tokens.len()), tokens.len(), before, false);
    out
}
