//! Owns a dictation as read: tokens, clauses, hits of lexicon entries, signals, figures and trouble codes, side by side. No meaning
//! is drawn yet.

use crate::dictation::{Dictation, Format};
use crate::lexicon::{ConditionId, Cue, Lexicon, Meaning};
use crate::matching::{self, Mentions, SoundIndex};
use crate::text::{self, Boundary, Clause, Kind, Measure, Token, Unit};

use super::features;
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
    /// How each clause is meant.
    pub moods: Vec<&'static str>,
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
        let typed = dictation.format == Format::Notes && looks_typed(&tokens);
        let line_break = line_break(dictation.format, typed, &tokens);
        let notes = dictation.format == Format::Notes && line_break.is_some();
        let join =
            |t: &Token| lexicon.phrase(&t.norm).is_some_and(|p| lexicon.meanings[p].contains(&Meaning::Cue(Cue::Join)));
        let clauses = text::clauses(&tokens, &join, line_break);
        let mut clause_of = vec![0; tokens.len()];
        for (n, c) in clauses.iter().enumerate() {
            // marks behind a clause belong to it
            let until = clauses.get(n + 1).map_or(tokens.len(), |next| next.first);
            clause_of[c.first..until].fill(n);
        }
        let mut mentions = matching::find(&tokens, lexicon, sounds, typed);
        let measures = text::measures(&tokens, &lexicon.units);
        let codes = text::trouble_codes(&tokens);
        // "P zero four two zero": the digits of a code deny nothing
        mentions.signals.retain(|s| !inside_code(&codes, s.first));
        let mut signals = polarity::signals(&mentions.signals, &clauses, &tokens);
        // a code read out is a fault stored
        signals.extend(codes.iter().map(|&(first, end, _)| Signal {
            first,
            end,
            says: Says::Defect(ConditionId::Code),
            opposite: None,
            weak: false,
        }));
        signals.sort_by_key(|s| s.first);
        let moods = features::moods(&clauses, &signals);
        Reading { tokens, clauses, clause_of, mentions, signals, moods, measures, codes, notes }
    }

    /// Gives figures said without a unit, by their first tokens, the unit they were meant in.
    pub fn give_units(&mut self, units: &[(usize, Unit)]) {
        for (first, unit) in units {
            let at = self.measures.partition_point(|m| m.first < *first);
            if let Some(m) = self.measures.get_mut(at).filter(|m| m.first == *first && m.unit.is_none()) {
                m.value = m.value_as(*unit);
                m.unit = Some(*unit);
                m.pair = None;
            }
        }
    }

    /// Whether the speaker's words are those of a metric country, and no thirty-seconds were said.
    pub fn speaks_metric(&self, lexicon: &Lexicon) -> bool {
        self.tokens.iter().any(|t| lexicon.metric_words.contains(&t.word))
            && !self.measures.iter().any(|m| m.unit == Some(Unit::ThirtySecond))
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

/// How strongly the end of a line parts. Where lines close with no marks, their ends are all the evidence there is: in notes and
/// timed lines a line is a statement, captions are cut anywhere.
fn line_break(format: Format, typed: bool, tokens: &[Token]) -> Option<Boundary> {
    let ends = tokens.iter().enumerate().filter(|(i, _)| tokens.get(i + 1).is_none_or(|n| n.opens_line));
    let (lines, closed) = ends.fold((0, 0), |(n, c), (_, t)| (n + 1, c + usize::from(matches!(t.kind, Kind::Mark(_)))));
    let unmarked = closed * 4 < lines;
    match format {
        Format::Notes if typed || unmarked => Some(Boundary::Strong),
        Format::TimedText if unmarked => Some(Boundary::Strong),
        Format::WebVtt | Format::SubRip | Format::RecogniserJson | Format::Ctm if unmarked => Some(Boundary::Weak),
        _ => None,
    }
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
