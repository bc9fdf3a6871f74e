//! Owns nouns as such: which name the same kind of thing, and which name no more than a piece of a part.

use std::collections::HashSet;

use serde::{Deserialize, Serialize};

use super::compile::words_in_order;

/// What is known of nouns apart from any part.
#[derive(Debug, Default, Serialize, Deserialize)]
pub struct Nouns {
    alike: Vec<Vec<String>>,
    #[serde(serialize_with = "words_in_order")]
    pieces: HashSet<String>,
}

impl Nouns {
    /// From the folded words of the lexicon.
    pub(super) fn new(alike: Vec<Vec<String>>, pieces: HashSet<String>) -> Nouns {
        Nouns { alike, pieces }
    }

    /// The noun itself, then the other nouns for the same kind of thing ("gaiter" for "boot").
    pub fn alike<'a>(&'a self, noun: &'a str) -> impl Iterator<Item = &'a str> {
        let group = self.alike.iter().find(|g| g.iter().any(|w| w == noun));
        let others = group.into_iter().flatten().map(String::as_str).filter(move |w| *w != noun);
        std::iter::once(noun).chain(others)
    }

    /// Whether the noun says where or of what a part is bad, and names no part by itself: "edge", "rubber", "lip".
    pub fn is_piece(&self, noun: &str) -> bool {
        self.pieces.contains(noun)
    }
}
