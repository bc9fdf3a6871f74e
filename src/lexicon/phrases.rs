//! Owns the phrases of the compiled lexicon: their words numbered, each kind of data in one piece of memory so that loading is
//! quick.

use std::collections::HashMap;
use std::hash::BuildHasher;
use std::ops::Index;
use std::sync::OnceLock;

use hashbrown::{DefaultHashBuilder, HashTable};
use serde::{Deserialize, Serialize};

/// Texts one behind the other.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
struct Texts {
    all: String,
    ends: Vec<u32>,
}

impl Texts {
    fn new<S: AsRef<str>>(list: impl Iterator<Item = S>) -> Texts {
        let mut out = Texts::default();
        for text in list {
            out.all.push_str(text.as_ref());
            out.ends.push(out.all.len() as u32);
        }
        out
    }
}

impl Index<usize> for Texts {
    type Output = str;

    fn index(&self, i: usize) -> &str {
        &self.all[start(&self.ends, i)..self.ends[i] as usize]
    }
}

/// Short lists one behind the other.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Groups<T> {
    all: Vec<T>,
    ends: Vec<u32>,
}

impl<T> Groups<T> {
    pub(super) fn new<G: IntoIterator<Item = T>>(list: impl IntoIterator<Item = G>) -> Groups<T> {
        let mut out = Groups { all: Vec::new(), ends: Vec::new() };
        for group in list {
            out.all.extend(group);
            out.ends.push(out.all.len() as u32);
        }
        out
    }
}

impl<T> Index<usize> for Groups<T> {
    type Output = [T];

    fn index(&self, i: usize) -> &[T] {
        &self.all[start(&self.ends, i)..self.ends[i] as usize]
    }
}

fn start(ends: &[u32], i: usize) -> usize {
    i.checked_sub(1).map_or(0, |before| ends[before] as usize)
}

/// Folded phrases, words joined by one space. Each has a number, and so has each of the words they are made of.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Phrases {
    texts: Texts,
    /// The words in the order of their letters: their place is their number.
    words: Texts,
    /// Words of each phrase.
    made_of: Groups<u32>,
    /// Phrases that each word opens, in the order of their letters.
    opened: Groups<u32>,
    /// Where to look for a word; made when the first one is asked for.
    #[serde(skip)]
    lookup: OnceLock<Lookup>,
}

/// Numbers of words by their hashes: words are asked for far more often than anything else.
#[derive(Debug, Clone)]
struct Lookup {
    table: HashTable<u32>,
    hasher: DefaultHashBuilder,
}

impl Lookup {
    fn of(words: &Texts) -> Lookup {
        let hasher = DefaultHashBuilder::default();
        let mut table = HashTable::with_capacity(words.ends.len());
        for n in 0..words.ends.len() {
            table.insert_unique(hasher.hash_one(&words[n]), n as u32, |other| hasher.hash_one(&words[*other as usize]));
        }
        Lookup { table, hasher }
    }
}

impl Phrases {
    /// Lays out the phrases; each keeps its place in the list as its number.
    pub(super) fn new(list: &[String]) -> Phrases {
        // each word is looked up once; numbers by the order of letters are given when all are known
        let mut first_seen: HashMap<&str, u32> = HashMap::new();
        let mut words: Vec<&str> = Vec::new();
        let seen = Groups::new(list.iter().map(|p| {
            let numbers = p.split(' ').map(|w| {
                *first_seen.entry(w).or_insert_with(|| {
                    words.push(w);
                    words.len() as u32 - 1
                })
            });
            numbers.collect::<Vec<_>>()
        }));
        let mut order: Vec<u32> = (0..words.len() as u32).collect();
        order.sort_unstable_by_key(|w| words[*w as usize]);
        let mut number = vec![0; words.len()];
        for (n, w) in order.iter().enumerate() {
            number[*w as usize] = n as u32;
        }
        let made_of = Groups { all: seen.all.iter().map(|w| number[*w as usize]).collect(), ends: seen.ends };
        let mut opened = vec![Vec::new(); words.len()];
        for phrase in 0..list.len() {
            opened[made_of[phrase][0] as usize].push(phrase as u32);
        }
        for group in &mut opened {
            group.sort_unstable_by_key(|p| &list[*p as usize]);
        }
        Phrases {
            texts: Texts::new(list.iter()),
            words: Texts::new(order.iter().map(|w| words[*w as usize])),
            made_of,
            opened: Groups::new(opened),
            lookup: OnceLock::new(),
        }
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.texts.ends.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.texts.ends.is_empty()
    }

    /// All words that phrases are made of, by number.
    pub fn words(&self) -> impl ExactSizeIterator<Item = &str> {
        (0..self.words.ends.len()).map(|w| &self.words[w])
    }

    /// Number of a word.
    pub fn word(&self, word: &str) -> Option<usize> {
        let Lookup { table, hasher } = self.lookup.get_or_init(|| Lookup::of(&self.words));
        table.find(hasher.hash_one(word), |n| self.words[*n as usize] == *word).map(|n| *n as usize)
    }

    /// Numbers of the words of a phrase.
    pub fn words_of(&self, phrase: usize) -> &[u32] {
        &self.made_of[phrase]
    }

    /// Numbers of the phrases that begin with a word.
    pub fn opened_by(&self, word: usize) -> &[u32] {
        &self.opened[word]
    }

    /// Number of a phrase.
    pub fn number(&self, phrase: &str) -> Option<usize> {
        let mut words = phrase.split(' ');
        let mut left = self.opened_by(self.word(words.next()?)?);
        let mut count = 1;
        for word in words {
            left = self.going_on(left, count, self.word(word)? as u32);
            count += 1;
        }
        left.first().map(|p| *p as usize).filter(|p| self.words_of(*p).len() == count)
    }

    /// Those of some phrases with the same beginning, in the order of their letters, whose word at `at` is this one. That order is the
    /// order of their words too, the shorter ones first.
    pub(super) fn going_on<'p>(&self, phrases: &'p [u32], at: usize, word: u32) -> &'p [u32] {
        let word_of = |p: &u32| self.words_of(*p as usize).get(at).copied();
        let from = phrases.partition_point(|p| word_of(p) < Some(word));
        let behind = &phrases[from..];
        &behind[..behind.partition_point(|p| word_of(p) == Some(word))]
    }
}

impl Index<usize> for Phrases {
    type Output = str;

    fn index(&self, phrase: usize) -> &str {
        &self.texts[phrase]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_are_found_by_text_and_first_word() {
        let list = ["ball joint", "ball", "balljoint", "arm", "ball joint boot", "ball/", "ball's end", "cap"];
        let phrases = Phrases::new(&list.map(String::from));
        for (n, p) in list.iter().enumerate() {
            assert_eq!(&phrases[n], *p);
            assert_eq!(phrases.number(p), Some(n));
        }
        for unknown in ["joint", "", " ", "ball boot", "zinc"] {
            assert_eq!(phrases.number(unknown), None);
        }
        let words: Vec<&str> = phrases.words().collect();
        assert_eq!(words, ["arm", "ball", "ball's", "ball/", "balljoint", "boot", "cap", "end", "joint"]);
        assert_eq!(phrases.words_of(4), [1, 8, 5]);
        assert_eq!(phrases.opened_by(1), [1, 0, 4]);
        assert!(phrases.opened_by(8).is_empty());
    }
}
