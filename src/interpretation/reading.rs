//! Owns a dictation as read: tokens, clauses, hits of lexicon entries, signals, figures and trouble codes, side by side. No meaning
//! is drawn yet.

use crate::dictation::{Dictation, Format};
use crate::lexicon::{ConditionId, Cue, Lexicon, Meaning};
use crate::matching::{self, Mentions, SoundIndex};
use crate::text::{self, Clause, Kind, Measure, Token};

use super::polarity::{self, Says, Signal};

/// Everything found in the words themselves.
#[derive(Debug)]
pub struct Reading {
    /// The stream.
    pub tokens: Vec<Token>,
    /// Its clauses.
    pub clauses: Vec<Clause>,
    /// Clause of each token.
    pub clause_of: Vec<usize>,
    /// Parts, places, heads.
    pub mentions: Mentions,
    /// Signals and cues with their polarity, by position.
    pub signals: Vec<Signal>,
    /// Numbers with units.
    pub measures: Vec<Measure>,
    /// Trouble codes: first token, end, code.
    pub codes: Vec<(usize, usize, String)>,
    /// Typed notes: every line stands for itself.
    pub notes: bool,
}

impl Reading {
    /// Reads the words of a dictation.
    pub fn of(dictation: &Dictation, lexicon: &Lexicon, sounds: &SoundIndex) -> Reading {
        let tokens = text::tokenize(&dictation.utterances, &lexicon.folding);
        let notes = dictation.format == Format::Notes && looks_typed(&tokens);
        let join =
            |t: &Token| lexicon.phrase(&t.norm).is_some_and(|p| lexicon.meanings[p].contains(&Meaning::Cue(Cue::Join)));
        let clauses = text::clauses(&tokens, &join, notes);
        let mut clause_of = vec![0; tokens.len()];
        for (n, c) in clauses.iter().enumerate() {
            // marks behind a clause belong to it
            let until = clauses.get(n + 1).map_or(tokens.len(), |next| next.first);
            clause_of[c.first..until].fill(n);
        }
        let mut mentions = matching::find(&tokens, lexicon, sounds, notes);
        let measures = text::measures(&tokens, &lexicon.units);
        let codes = text::trouble_codes(&tokens);
        // "P zero four two zero": the digits of a code deny nothing
        mentions.signals.retain(|s| !inside_code(&codes, s.first));
        let mut signals = polarity::signals(&mentions.signals, &clauses);
        // a code read out is a fault stored
        signals.extend(codes.iter().map(|&(first, end, _)| Signal {
            first,
            end,
            says: Says::Defect(ConditionId::Code),
            opposite: None,
            weak: false,
        }));
        signals.sort_by_key(|s| s.first);
        Reading { tokens, clauses, clause_of, mentions, signals, measures, codes, notes }
    }

    /// Signals whose first token lies in `from..to`.
    pub fn signals_in(&self, from: usize, to: usize) -> &[Signal] {
        let a = self.signals.partition_point(|s| s.first < from);
        let b = self.signals.partition_point(|s| s.first < to);
        &self.signals[a..b.max(a)]
    }

    /// Measures whose first token lies in `from..to`.
    pub fn measures_in(&self, from: usize, to: usize) -> &[Measure] {
        let a = self.measures.partition_point(|m| m.first < from);
        let b = self.measures.partition_point(|m| m.first < to);
        &self.measures[a..b.max(a)]
    }

    /// The folded words of `from..to`, joined by one space as lexicon phrases are.
    pub fn phrase(&self, from: usize, to: usize) -> String {
        self.tokens[from..to].iter().map(|t| t.norm.as_str()).collect::<Vec<_>>().join(" ")
    }

    /// The words of `from..to` as written, but for their case.
    pub fn words(&self, from: usize, to: usize) -> String {
        self.tokens[from..to].iter().map(|t| t.word.as_str()).collect::<Vec<_>>().join(" ")
    }

    /// Whether a trouble code begins in `from..to`.
    pub fn has_code(&self, from: usize, to: usize) -> bool {
        self.codes.iter().any(|c| c.0 >= from && c.0 < to)
    }

    /// Whether a figure with a unit was said in `from..to`.
    pub fn measured_in(&self, from: usize, to: usize) -> bool {
        self.measures_in(from, to).iter().any(|m| m.unit.is_some())
    }

    /// Whether a cue of this family starts in `from..to`.
    pub fn has_cue(&self, from: usize, to: usize, cue: Cue) -> bool {
        self.signals_in(from, to).iter().any(|s| s.says == Says::Cue(cue))
    }

    /// Sentence of a token.
    pub fn sentence_of(&self, token: usize) -> usize {
        self.clauses.get(self.clause_of[token]).map_or(0, |c| c.sentence)
    }
}

fn inside_code(codes: &[(usize, usize, String)], token: usize) -> bool {
    let at = codes.partition_point(|c| c.0 <= token);
    at > 0 && token < codes[at - 1].1
}

/// Typed notes are short, drop articles and full stops; a spoken text stored line by line reads like prose.
fn looks_typed(tokens: &[Token]) -> bool {
    let words = tokens.iter().filter(|t| t.kind == Kind::Word).count().max(1);
    let prose = tokens
        .iter()
        .filter(|t| {
            matches!(t.word.as_str(), "the" | "a" | "an" | "it" | "'s" | "is" | "that" | "you" | "i" | "of" | "are")
        })
        .count();
    (prose as f64) / (words as f64) < 0.08
}
