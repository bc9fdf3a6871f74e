//! Owns the comparison of letters: how like the words said are to the words meant.

use strsim::{jaro_winkler, normalized_damerau_levenshtein};

use super::key::spoken;

/// How like two runs of letters are.
pub(super) struct Likeness {
    /// Normalised Damerau-Levenshtein.
    pub edit: f64,
    /// Jaro-Winkler.
    pub winkler: f64,
    /// Letters of the first.
    pub letters: usize,
    /// Letters of the shorter one.
    pub shorter: usize,
    /// Whether one is a reordering of the other.
    pub same_letters: bool,
}

impl Likeness {
    /// Compares the letters of words said with those of words meant; word boundaries do not count.
    pub(super) fn of<A: AsRef<str>, B: AsRef<str>>(said: &[A], meant: &[B]) -> Likeness {
        let (said, meant) = (letters(said), letters(meant));
        let sorted = |s: &str| {
            let mut b = s.as_bytes().to_vec();
            b.sort_unstable();
            b
        };
        let apart = said.len().abs_diff(meant.len()) as f64 / said.len().max(meant.len()).max(1) as f64;
        // lengths alone rule most names out
        let edit = if apart > 0.5 { 0.0 } else { normalized_damerau_levenshtein(&said, &meant) };
        Likeness {
            edit,
            winkler: jaro_winkler(&said, &meant),
            letters: said.len(),
            shorter: said.len().min(meant.len()),
            same_letters: sorted(&said) == sorted(&meant),
        }
    }

    /// Whether the letters are the very same.
    pub(super) fn same(&self) -> bool {
        self.edit == 1.0
    }
}

fn letters<S: AsRef<str>>(words: &[S]) -> String {
    words.iter().map(|w| spoken(w.as_ref())).collect()
}
