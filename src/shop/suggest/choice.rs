//! Owns what a person makes of proposals: a list ticked off, row by row, and the additions it comes to.

use std::collections::HashSet;

use serde::Deserialize;

use super::Suggestion;
use crate::lexicon::{Family, Lexicon, Shape};
use crate::shop::edit::Addition;
use crate::shop::reading::Key;

/// A row of the list: a proposal, and whether it is taken. Any cell may be changed before it is.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Choice {
    /// `y` to take it.
    pub take: String,
    /// The words, as proposed.
    pub words: String,
    /// What they may be; for the reader.
    #[serde(default)]
    pub kind: String,
    /// Family of the entry.
    pub family: String,
    /// Its id; of a word spelt otherwise, the word.
    pub id: String,
    /// Key they go under.
    pub key: String,
    /// System, of a new part.
    pub system: String,
    /// How often they were found; for the reader.
    #[serde(default)]
    pub count: usize,
    /// A line they stand in; for the reader.
    #[serde(default)]
    pub example: String,
}

impl Choice {
    /// Names of the cells, as [`Choice`] is read back by.
    pub const COLUMNS: [&'static str; 9] =
        ["take", "words", "kind", "family", "id", "key", "system", "count", "example"];

    /// As a row for spreadsheets.
    pub fn cells(self) -> [String; 9] {
        let count = self.count.to_string();
        [self.take, self.words, self.kind, self.family, self.id, self.key, self.system, count, self.example]
    }

    /// A proposal as a row, not yet taken.
    pub fn of(s: &Suggestion) -> Choice {
        Choice {
            take: String::new(),
            words: s.words.clone(),
            kind: s.kind.words().to_string(),
            family: s.family.to_string(),
            id: s.id.clone(),
            key: s.key.to_string(),
            system: s.system.clone(),
            count: s.count,
            example: s.examples.first().cloned().unwrap_or_default(),
        }
    }

    /// Whether it is taken.
    pub fn is_taken(&self) -> bool {
        matches!(self.take.trim().to_lowercase().as_str(), "y" | "yes" | "x" | "1")
    }

    /// What it adds.
    ///
    /// # Errors
    /// What is wrong with the row, and what to do.
    pub fn addition(&self, lexicon: &Lexicon) -> Result<Addition, String> {
        let (family, key) = (self.family.trim(), self.key.trim());
        let Some(family) = Family::of(family) else {
            let all: Vec<&str> = Family::ALL.iter().map(|f| f.key()).collect();
            return Err(format!("no family is called \"{family}\"; write one of {}", all.join(", ")));
        };
        let id = self.id.trim().to_string();
        if id.is_empty() && family.shape() != Shape::Words {
            return Err("the id is empty; write the id of the entry it belongs to".into());
        }
        let key = match (family.shape(), Key::of(key)) {
            (Shape::Tables, None) => {
                return Err(format!(
                    "no entry of `{}` has a key \"{key}\"; write also, short, weak, say …",
                    family.key()
                ));
            }
            (Shape::Tables, Some(key)) if !family.keys().contains(&key.name()) => {
                return Err(format!("no entry of `{}` has a key \"{}\"", family.key(), key.name()));
            }
            (_, key) => key.unwrap_or(Key::Say),
        };
        let new = family == Family::Part && key == Key::Name;
        if new && lexicon.part_by_id(&id).is_some() {
            return Err(format!("part \"{id}\" is there already; write `also` for another name of it"));
        }
        if new && self.system.trim().is_empty() {
            return Err(format!("the new part \"{id}\" has no system; write one"));
        }
        let system = Some(self.system.trim().to_string()).filter(|s| new && !s.is_empty());
        Ok(Addition { family, id, system, key, phrase: self.words.trim().to_lowercase() })
    }
}

/// What the rows taken come to, and what is wrong with the others: row number (from 1) and words. Only what was proposed is taken;
/// rows may stand in any order, but a part is named before anything is added to it.
pub fn additions(
    choices: &[Choice],
    proposed: &[Suggestion],
    lexicon: &Lexicon,
) -> (Vec<Addition>, Vec<(usize, String)>) {
    let known: HashSet<&str> = proposed.iter().map(|s| s.words.as_str()).collect();
    let (mut out, mut wrong) = (Vec::new(), Vec::new());
    for (n, choice) in choices.iter().enumerate().filter(|(_, c)| c.is_taken()) {
        if !known.contains(choice.words.trim()) {
            wrong.push((n + 1, format!("\"{}\" is not among what is proposed from these texts", choice.words)));
            continue;
        }
        match choice.addition(lexicon) {
            Ok(addition) => out.push(addition),
            Err(what) => wrong.push((n + 1, what)),
        }
    }
    out.sort_by_key(|a| a.key != Key::Name);
    let named: Vec<String> = out.iter().filter(|a| a.key == Key::Name).map(|a| a.id.clone()).collect();
    out.retain(|a| {
        let there = a.family != Family::Part
            || a.key == Key::Name
            || named.contains(&a.id)
            || lexicon.part_by_id(&a.id).is_some();
        if !there {
            wrong.push((0, format!("no part has the id \"{}\": \"{}\" is left out", a.id, a.phrase)));
        }
        there
    });
    (out, wrong)
}
