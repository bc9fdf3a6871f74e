//! Owns which words tell that a stretch of time or way lies ahead ("two more weeks") or does not ("two weeks ago").

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::entries::LanguageFile;

/// Words within and around a stretch of time or way.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Spans {
    filler: BTreeSet<String>,
    before: BTreeSet<String>,
    behind: BTreeSet<String>,
}

impl Spans {
    /// From the entries; `fold` folds a word as the dictation's are.
    pub(super) fn new(file: &LanguageFile, fold: impl Fn(&str) -> String) -> Spans {
        let folded = |words: &[String]| words.iter().map(|w| fold(w)).collect();
        Spans {
            filler: folded(&file.span_filler),
            before: folded(&file.past_before),
            behind: folded(&file.past_behind),
        }
    }

    /// Whether a word may stand between a number and its unit and says nothing of either.
    pub fn is_filler(&self, word: &str) -> bool {
        self.filler.contains(word)
    }

    /// Whether no word around a stretch tells that it lies behind or is no stretch at all.
    pub fn lies_ahead(&self, before: &str, behind: &[&str]) -> bool {
        !self.before.contains(before) && !behind.iter().any(|w| self.behind.contains(*w))
    }
}
