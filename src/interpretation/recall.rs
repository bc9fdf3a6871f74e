//! Owns what is called back at the end: "the hose, that clamp and the spring" sum up parts that were found wanting before.

use std::collections::HashMap;

use super::mention::Builder;
use super::polarity::{Says, Signal};

/// Tokens around a part in which a word of fault or a remedy makes it worth calling back.
const IN_FRONT: usize = 8;
const BEHIND: usize = 18;
/// Shorter talks are not summed up.
const SHORTEST: usize = 200;

/// Parts found wanting, by the last word of what they were called.
#[derive(Debug, Default)]
pub(super) struct Recall {
    by_word: HashMap<String, usize>,
}

impl Builder<'_> {
    /// Keeps a part in mind that something was found at.
    pub(super) fn keep_in_mind(&mut self, component: usize, first: usize, end: usize) {
        let r = self.reading;
        let own = &r.clauses[r.clause_of[first]];
        let from = first.saturating_sub(IN_FRONT).max(own.first);
        let to = (end + BEHIND).min(r.tokens.len());
        let found =
            r.signals_in(from, to).iter().any(|s| !s.weak && (s.is_fault() || matches!(s.says, Says::Action(_))));
        if !found {
            return;
        }
        let name = self.lexicon.fold(&self.scene.components[component].name);
        let last = name.split(' ').next_back().unwrap_or_default().to_string();
        self.recall.by_word.insert(last, component);
        self.recall.by_word.insert(r.tokens[end - 1].norm.clone(), component);
    }

    /// The part a word near the end of the talk calls back. Who sums up names the parts and says nothing new of them.
    pub(super) fn called_back(&self, word: &str, at: usize) -> Option<usize> {
        let r = self.reading;
        let total = r.tokens.len();
        let own = &r.clauses[r.clause_of[at]];
        let told = |s: &Signal| {
            !s.weak && (s.is_fault() || matches!(s.says, Says::Sound { .. } | Says::Unchecked | Says::Serviced))
        };
        let (from, to) = (own.first.max(at.saturating_sub(IN_FRONT)), own.end.min(at + BEHIND));
        if total < SHORTEST || at * 4 < total * 3 || r.signals_in(from, to).iter().any(told) {
            return None;
        }
        self.recall.by_word.get(word).copied()
    }
}
