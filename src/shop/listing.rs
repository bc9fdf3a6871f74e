//! Owns what the lexicon holds, for people and spreadsheets: entries by word, counts, rows.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::reading::{Entry, Key, ShopFile};
use crate::lexicon::{Family, Lexicon};

/// An entry, or what a file adds to one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Shown {
    /// File.
    pub file: String,
    /// 1-based line.
    pub line: usize,
    /// The entry as the file has it.
    pub text: String,
}

/// The entries that have this id, or one of whose phrases holds these words: exact hits alone where there are any.
pub fn show(files: &[ShopFile], lexicon: &Lexicon, words: &str) -> Vec<Shown> {
    let wanted = lexicon.fold(words);
    if wanted.is_empty() {
        return Vec::new();
    }
    let entries = || files.iter().flat_map(|f| f.entries.iter().map(move |e| (f, e)));
    let is = |e: &Entry| {
        e.id.as_ref().is_some_and(|i| i.text == words) || e.phrases.iter().any(|(_, p)| lexicon.fold(&p.text) == wanted)
    };
    let holds = |e: &Entry| {
        e.phrases.iter().any(|(_, p)| format!(" {} ", lexicon.fold(&p.text)).contains(&format!(" {wanted} ")))
    };
    let mut found: Vec<(&ShopFile, &Entry)> = entries().filter(|(_, e)| is(e)).collect();
    if found.is_empty() {
        found = entries().filter(|(_, e)| holds(e)).collect();
    }
    // what other files say of the same parts
    let ids: BTreeSet<(Family, &str)> =
        found.iter().filter_map(|(_, e)| Some((e.family, e.id.as_ref()?.text.as_str()))).collect();
    let belongs = |e: &Entry| e.id.as_ref().is_some_and(|i| ids.contains(&(e.family, i.text.as_str())));
    entries()
        .filter(|(_, e)| belongs(e) || found.iter().any(|(_, f)| std::ptr::eq(*f, *e)))
        .map(|(f, e)| Shown {
            file: f.source.path.clone(),
            line: f.source.position(e.span.start).0,
            text: e.source(&f.source.text).to_string(),
        })
        .collect()
}

/// One phrase of the lexicon.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Row {
    /// `part`, `condition`, …
    pub family: &'static str,
    /// Id of the entry, where it has one.
    pub id: String,
    /// System of the part.
    pub system: String,
    /// Key the phrase stands under.
    pub key: &'static str,
    /// The words.
    pub phrase: String,
    /// File it stands in.
    pub file: String,
    /// 1-based line.
    pub line: usize,
}

impl Row {
    /// Names of the cells.
    pub const COLUMNS: [&'static str; 7] = ["family", "id", "system", "key", "phrase", "file", "line"];

    /// As a row for spreadsheets.
    pub fn cells(&self) -> [String; 7] {
        let cells = [self.family, &self.id, &self.system, self.key, &self.phrase, &self.file, &self.line.to_string()];
        cells.map(str::to_string)
    }
}

/// Every phrase of the files, in their order. `lexicon` knows the systems.
pub fn rows(files: &[ShopFile], lexicon: &Lexicon) -> Vec<Row> {
    let systems: BTreeMap<&str, &str> = lexicon.parts.iter().map(|p| (p.id.as_str(), p.system.as_str())).collect();
    let mut out = Vec::new();
    for file in files {
        // phrases come in the order of the file: lines are counted on from the last one
        let mut at = (0, 1);
        let mut line_of = |byte: usize| {
            let text = &file.source.text;
            let from = if byte < at.0 { (0, 1) } else { at };
            at = (byte, from.1 + text.get(from.0..byte).map_or(0, |t| t.matches('\n').count()));
            at.1
        };
        for entry in &file.entries {
            let id = entry.id.as_ref().map_or("", |i| &i.text);
            for (key, word) in &entry.phrases {
                out.push(Row {
                    family: entry.family.key(),
                    id: id.to_string(),
                    system: systems.get(id).filter(|_| entry.family == Family::Part).unwrap_or(&"").to_string(),
                    key: key.name(),
                    phrase: word.text.clone(),
                    file: file.source.path.clone(),
                    line: line_of(word.span.start),
                });
            }
        }
    }
    out
}

/// Counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stats {
    /// Files read.
    pub files: usize,
    /// Parts of the lexicon as it is used.
    pub parts: usize,
    /// Phrases of the lexicon as it is used, all spellings of one counted once.
    pub phrases: usize,
    /// Parts by system.
    pub systems: BTreeMap<String, usize>,
    /// Phrases in the files, by family and key.
    pub written: BTreeMap<&'static str, BTreeMap<&'static str, usize>>,
    /// Phrases that the shop's own files add.
    pub own_phrases: usize,
    /// Parts that the shop's own files name.
    pub own_parts: usize,
    /// Examples.
    pub examples: usize,
}

/// Counts what is there: `given` lie below, `ours` on top.
pub fn stats(given: &[ShopFile], ours: &[ShopFile], lexicon: &Lexicon) -> Stats {
    let mut written: BTreeMap<&'static str, BTreeMap<&'static str, usize>> = BTreeMap::new();
    let entries = || given.iter().chain(ours).flat_map(|f| &f.entries);
    for entry in entries() {
        for (key, _) in &entry.phrases {
            *written.entry(entry.family.key()).or_default().entry(key.name()).or_default() += 1;
        }
    }
    let mut systems: BTreeMap<String, usize> = BTreeMap::new();
    for p in &lexicon.parts {
        *systems.entry(p.system.clone()).or_default() += 1;
    }
    let own = || ours.iter().flat_map(|f| &f.entries);
    Stats {
        files: given.len() + ours.len(),
        parts: lexicon.parts.len(),
        phrases: lexicon.phrases.len(),
        systems,
        written,
        own_phrases: own().flat_map(|e| &e.phrases).filter(|(k, _)| *k != Key::Drop).count(),
        own_parts: own().filter(|e| e.family == Family::Part && e.phrases.iter().any(|(k, _)| *k == Key::Name)).count(),
        examples: entries().map(|e| e.examples.len()).sum(),
    }
}
