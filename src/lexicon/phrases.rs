//! Owns the phrases of the compiled lexicon and what they mean, each kind in one piece of memory so that loading is quick.

use std::ops::Index;

use serde::{Deserialize, Serialize};

use super::compile::Meaning;

/// Folded phrases, words joined by one space; each has a number.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Phrases {
    text: String,
    ends: Vec<u32>,
    /// Numbers of the phrases in the order of their letters.
    sorted: Vec<u32>,
}

impl Phrases {
    /// Lays out the phrases; each keeps its place in the list as its number.
    pub(super) fn new(list: &[String]) -> Phrases {
        let mut sorted: Vec<u32> = (0..list.len() as u32).collect();
        sorted.sort_unstable_by_key(|p| &list[*p as usize]);
        let mut end = 0;
        let ends = list.iter().map(|p| {
            end += p.len() as u32;
            end
        });
        Phrases { ends: ends.collect(), text: list.concat(), sorted }
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// All phrases by number.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.len()).map(|p| &self[p])
    }

    /// Number of a phrase.
    pub fn number(&self, phrase: &str) -> Option<usize> {
        let at = self.sorted.binary_search_by(|p| self[*p as usize].cmp(phrase)).ok()?;
        Some(self.sorted[at] as usize)
    }

    /// Numbers of the phrases whose first word is this.
    pub fn opened_by(&self, word: &str) -> impl Iterator<Item = usize> {
        // a space sorts before all that words are made of: the word itself, then all phrases that go on behind it
        let from = self.sorted.partition_point(|p| &self[*p as usize] < word);
        self.sorted[from..].iter().map(|p| *p as usize).take_while(move |p| {
            self[*p].strip_prefix(word).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
        })
    }
}

impl Index<usize> for Phrases {
    type Output = str;

    fn index(&self, phrase: usize) -> &str {
        let from = phrase.checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.text[from as usize..self.ends[phrase] as usize]
    }
}

/// What each phrase means, by its number.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Meanings {
    all: Vec<Meaning>,
    ends: Vec<u32>,
}

impl Meanings {
    pub(super) fn new(list: &[Vec<Meaning>]) -> Meanings {
        let mut end = 0;
        let ends = list.iter().map(|m| {
            end += m.len() as u32;
            end
        });
        Meanings { ends: ends.collect(), all: list.concat() }
    }
}

impl Index<usize> for Meanings {
    type Output = [Meaning];

    fn index(&self, phrase: usize) -> &[Meaning] {
        let from = phrase.checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.all[from as usize..self.ends[phrase] as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_are_found_by_text_and_first_word() {
        let list = ["ball joint", "ball", "balljoint", "arm", "ball joint boot", "ball/", "ball's end", "cap"];
        let phrases = Phrases::new(&list.map(String::from));
        assert_eq!(phrases.iter().collect::<Vec<_>>(), list);
        for (n, p) in list.iter().enumerate() {
            assert_eq!(phrases.number(p), Some(n));
        }
        assert_eq!(phrases.number("joint"), None);
        let mut opened: Vec<usize> = phrases.opened_by("ball").collect();
        opened.sort_unstable();
        assert_eq!(opened, [0, 1, 4]);
        assert_eq!(phrases.opened_by("bal").count(), 0);
        assert_eq!(phrases.opened_by("cap").count(), 1);
        assert_eq!(phrases.opened_by("zinc").count(), 0);
    }
}
