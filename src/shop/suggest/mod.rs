//! Owns proposals: what past dictations and notes hold that the lexicon does not know, best first.

mod candidates;
mod choice;
mod corpus;
mod decided;
mod heard;
mod spellings;
mod terms;

pub use choice::{Choice, additions};

use std::collections::HashSet;

use serde::Serialize;

use crate::dictation::Dictation;
use crate::interpretation::Interpreter;
use crate::review::Decision;
use corpus::Corpus;

/// What a proposal is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SuggestionKind {
    /// A word written short.
    Abbreviation,
    /// A word misspelt or misheard.
    Mishearing,
    /// Another name of a known part.
    Nickname,
    /// A part of its own.
    NewPart,
    /// A way to say what is wrong.
    NewCondition,
}

impl SuggestionKind {
    /// For people.
    pub fn words(self) -> &'static str {
        match self {
            SuggestionKind::Abbreviation => "abbreviation",
            SuggestionKind::Mishearing => "misspelt or misheard",
            SuggestionKind::Nickname => "nickname",
            SuggestionKind::NewPart => "new part",
            SuggestionKind::NewCondition => "new condition",
        }
    }
}

/// One proposal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Suggestion {
    /// The words.
    pub words: String,
    /// What they may be.
    pub kind: SuggestionKind,
    /// Family of the entry they belong to.
    pub family: &'static str,
    /// Its id; of a word spelt otherwise, the word.
    pub id: String,
    /// Key they belong under.
    pub key: &'static str,
    /// System, of a new part.
    pub system: String,
    /// How often they were found.
    pub count: usize,
    /// How much speaks for it; orders the list and means nothing by itself.
    pub score: f64,
    /// Up to three lines they stand in.
    pub examples: Vec<String>,
}

/// Proposals from dictations and the decisions on them, best first.
pub fn suggest(dictations: &[Dictation], decisions: &[Decision], interpreter: &Interpreter) -> Vec<Suggestion> {
    let corpus = Corpus::read(dictations, interpreter);
    let mut out = decided::suggest(decisions, interpreter.lexicon());
    out.extend(heard::suggest(dictations, interpreter));
    let spelt = spellings::suggest(&corpus, interpreter.lexicon());
    // a slip of the pen makes no new part
    let slips: HashSet<&str> =
        spelt.iter().filter(|s| s.kind == SuggestionKind::Mishearing).map(|s| s.words.as_str()).collect();
    let terms = terms::suggest(&corpus, interpreter.lexicon());
    out.extend(terms.into_iter().filter(|t| !t.words.split(' ').any(|w| slips.contains(w))));
    out.extend(spelt);
    out.sort_by(|a, b| b.score.total_cmp(&a.score).then_with(|| a.words.cmp(&b.words)));
    let mut had = HashSet::new();
    out.retain(|s| had.insert(s.words.clone()));
    out
}
