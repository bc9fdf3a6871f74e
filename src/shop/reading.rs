//! Owns the reading of one lexicon file for those who look at it closely: its entries with the place of every word, and
//! whatever is wrong with its form.

use std::ops::Range;
use std::sync::Arc;

use serde::Deserialize;
use toml::Spanned;
use toml::de::{DeTable, DeValue, ValueDeserializer};

use super::problem::{Problem, ProblemKind};
use crate::diagnostic::{SourceFile, Spot, meant};
use crate::lexicon::{Example, Family, Shape};

/// A word or phrase of a file, and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    /// The words.
    pub text: String,
    /// Bytes of the file, quotes included.
    pub span: Range<usize>,
}

/// Which key of an entry a phrase stands under.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Key {
    /// The name of a part.
    Name,
    /// Other names.
    Also,
    /// Abbreviations.
    Short,
    /// What counts in context only.
    Weak,
    /// What is not meant.
    Not,
    /// Ways to say it.
    Say,
    /// Verbs.
    Verb,
    /// Says something when denied.
    WhenNegated,
    /// Taken away.
    Drop,
}

impl Key {
    const ALL: [(Key, &'static str); 9] = [
        (Key::Name, "name"),
        (Key::Also, "also"),
        (Key::Short, "short"),
        (Key::Weak, "weak"),
        (Key::Not, "not"),
        (Key::Say, "say"),
        (Key::Verb, "verb"),
        (Key::WhenNegated, "when_negated"),
        (Key::Drop, "drop"),
    ];

    /// The key as files have it.
    pub fn name(self) -> &'static str {
        Key::ALL.iter().find(|(k, _)| *k == self).map_or("", |(_, name)| name)
    }

    /// The key that files have under this name, where phrases stand under it.
    pub fn of(key: &str) -> Option<Key> {
        Key::ALL.iter().find(|(_, k)| *k == key).map(|(k, _)| *k)
    }
}

/// One entry.
#[derive(Debug, Clone)]
pub struct Entry {
    /// What it is.
    pub family: Family,
    /// Its id, where it has one.
    pub id: Option<Word>,
    /// Its head or first words.
    pub span: Range<usize>,
    /// Its phrases.
    pub phrases: Vec<(Key, Word)>,
    /// Ids of parts that it speaks of.
    pub references: Vec<Word>,
    /// Where each of its values stands, by key.
    pub values: Vec<(String, Range<usize>)>,
    /// Its examples.
    pub examples: Vec<(Example, Range<usize>)>,
    /// It takes its part out.
    pub retires: bool,
    /// It can be read as it stands.
    pub sound: bool,
}

impl Entry {
    /// The entry as its file has it, from its head to its last value.
    pub fn source<'t>(&self, text: &'t str) -> &'t str {
        let end = self.values.iter().map(|(_, span)| span.end).fold(self.span.end, usize::max);
        text.get(self.span.start..end).unwrap_or_default()
    }

    /// Place of the value of a key, or of the whole entry.
    pub fn value(&self, key: &str) -> Range<usize> {
        self.values.iter().find(|(k, _)| k == key).map_or(self.span.clone(), |(_, span)| span.clone())
    }
}

/// The text before the entry that a byte stands in.
fn before_entry(text: &str, byte: usize) -> &str {
    let before = text.get(..byte).unwrap_or_default();
    before.rfind("\n[").map_or("", |end| &before[..=end])
}

/// A file, read closely.
#[derive(Debug)]
pub struct ShopFile {
    /// Its text.
    pub source: Arc<SourceFile>,
    /// Whether its head names a system.
    pub has_system: bool,
    /// Its entries.
    pub entries: Vec<Entry>,
    /// What is wrong with its form.
    pub problems: Vec<Problem>,
}

impl ShopFile {
    /// Reads a file from its bytes. Whatever can be read is read, whatever is wrong is told.
    pub fn read(path: &str, bytes: &[u8]) -> ShopFile {
        let (source, encoding) = decode(path, bytes);
        let mut file =
            ShopFile { source, has_system: false, entries: Vec::new(), problems: encoding.into_iter().collect() };
        if file.problems.is_empty() {
            file.parse();
        }
        file
    }

    /// Whether the file can be used as it is.
    pub fn usable(&self) -> bool {
        self.problems.iter().all(|p| p.kind == ProblemKind::Duplicate)
    }

    fn tell(&mut self, kind: ProblemKind, span: Range<usize>, what: impl Into<String>, help: impl Into<String>) {
        self.problems.push(Problem::new(kind, Spot::new(&self.source, span, ""), what, help));
    }

    fn parse(&mut self) {
        let source = Arc::clone(&self.source);
        let (mut root, errors) = DeTable::parse_recoverable(&source.text);
        // what follows the first error is read wrongly
        if let Some(e) = errors.into_iter().min_by_key(|e| e.span().map_or(0, |s| s.start)) {
            let help = "correct the line; what follows it was not read";
            let problem = Problem::noticed(ProblemKind::Syntax, &source, &e, help);
            let start = problem.at.span.start;
            self.problems.push(problem);
            root = match DeTable::parse(before_entry(&source.text, start)) {
                Ok(root) => root,
                Err(_) => return,
            };
        }
        let mut heads: Vec<_> = root.into_inner().into_iter().collect();
        heads.sort_by_key(|(k, _)| k.span().start);
        for (key, value) in heads {
            let name = key.get_ref().to_string();
            match Family::of(&name) {
                Some(family) => self.family(family, value),
                None if name == "system" => {
                    self.has_system = true;
                    if !matches!(value.get_ref(), DeValue::String(_)) {
                        self.tell(
                            ProblemKind::WrongValue,
                            value.span(),
                            "`system` is a text",
                            "write system = \"brakes\"",
                        );
                    }
                }
                None => self.unknown(key.span(), &name, Family::heads(), "a lexicon file"),
            }
        }
    }

    fn unknown(&mut self, span: Range<usize>, name: &str, known: &[&'static str], of: &str) {
        let help = match meant(name, known.iter().copied()) {
            Some(likely) => format!("write `{likely}`"),
            None => format!("{of} may have {}", known.join(", ")),
        };
        self.tell(ProblemKind::UnknownKey, span, format!("unknown key `{name}`"), help);
    }

    fn family(&mut self, family: Family, value: Spanned<DeValue<'_>>) {
        let span = value.span();
        match (family.shape(), value.get_ref()) {
            (Shape::Tables, DeValue::Array(_)) => {
                let DeValue::Array(list) = value.into_inner() else { return };
                for entry in list {
                    self.entry(family, entry);
                }
            }
            (Shape::Words, DeValue::Array(_)) => {
                let DeValue::Array(list) = value.into_inner() else { return };
                for word in list {
                    if let Err(e) = family.read(word.clone()) {
                        self.wrong(&e, word.span());
                    }
                }
            }
            (Shape::Map, DeValue::Table(_)) => {
                if let Err(e) = family.read(value) {
                    self.wrong(&e, span);
                }
            }
            (shape, _) => {
                let help = match shape {
                    Shape::Tables => format!("begin each entry with a line [[{}]]", family.key()),
                    Shape::Words => format!("write {} = [\"…\", \"…\"]", family.key()),
                    Shape::Map => format!("write a line [{}], then word = …", family.key()),
                };
                self.tell(ProblemKind::WrongValue, span, format!("`{}` is written otherwise", family.key()), help);
            }
        }
    }

    fn entry(&mut self, family: Family, value: Spanned<DeValue<'_>>) {
        let span = value.span();
        let DeValue::Table(mut table) = value.into_inner() else {
            let help = format!("begin each entry with a line [[{}]]", family.key());
            self.tell(ProblemKind::WrongValue, span, format!("an entry of `{}` is a table", family.key()), help);
            return;
        };
        let before = self.problems.len();
        let keys: Vec<_> = table.keys().cloned().collect();
        for key in keys {
            if !family.keys().contains(&key.get_ref().as_ref()) {
                table.remove(&key);
                self.unknown(key.span(), key.get_ref(), family.keys(), &format!("an entry of `{}`", family.key()));
            }
        }
        // each wrong value is told and left out, so that the next one is found
        let mut removed: Vec<String> = Vec::new();
        while let Err(e) = family.read(Spanned::new(span.clone(), DeValue::Table(table.clone()))) {
            let at = e.span().unwrap_or(span.clone());
            let holder = table.iter().find(|(_, v)| v.span().start <= at.start && at.end <= v.span().end);
            let Some(key) = holder.map(|(k, _)| k.clone()) else {
                if !removed.iter().any(|k| e.message().contains(&format!("`{k}`"))) {
                    self.wrong(&e, span.clone());
                }
                break;
            };
            self.wrong(&e, at);
            removed.push(key.get_ref().to_string());
            table.remove(&key);
        }
        let sound = self.problems.len() == before;
        self.entries.push(read_entry(family, span, &table, sound));
    }

    /// A message of the reading code, put so that it says what to do.
    fn wrong(&mut self, e: &toml::de::Error, fallback: Range<usize>) {
        let span = e.span().unwrap_or(fallback);
        let message = e.message().trim();
        let mut quoted = message.split('`').skip(1).step_by(2);
        if message.starts_with("missing field") {
            let key = quoted.next().unwrap_or_default();
            self.tell(ProblemKind::MissingKey, span, format!("the key `{key}` is missing"), format!("add {key} = …"));
        } else if message.starts_with("unknown variant") {
            let said = quoted.next().unwrap_or_default();
            let known: Vec<&str> = quoted.collect();
            let help = match meant(said, known.iter().copied()) {
                Some(likely) => format!("write \"{likely}\""),
                None => format!("write one of {}", known.join(", ")),
            };
            self.tell(
                ProblemKind::WrongValue,
                span,
                format!("\"{said}\" is none of the words that may stand here"),
                help,
            );
        } else if message.starts_with("unknown field") {
            let said = quoted.next().unwrap_or_default();
            let known: Vec<&str> = quoted.collect();
            let help = match meant(said, known.iter().copied()) {
                Some(likely) => format!("write `{likely}`"),
                None => format!("the keys here are {}", known.join(", ")),
            };
            self.tell(ProblemKind::UnknownKey, span, format!("unknown key `{said}`"), help);
        } else {
            self.tell(ProblemKind::WrongValue, span, message, "correct the value or take it out");
        }
    }
}

/// The text of a file, and where it is no UTF-8.
fn decode(path: &str, bytes: &[u8]) -> (Arc<SourceFile>, Option<Problem>) {
    let bad = match std::str::from_utf8(bytes) {
        Ok(text) => return (SourceFile::new(path, text), None),
        Err(e) => e.valid_up_to(),
    };
    let (guess, at) = match bytes {
        [0xff, 0xfe, ..] => (encoding_rs::UTF_16LE, 0),
        [0xfe, 0xff, ..] => (encoding_rs::UTF_16BE, 0),
        // what stands before the first bad byte is shown as the UTF-8 it is
        _ => (encoding_rs::WINDOWS_1252, bad),
    };
    let mut text = String::from_utf8_lossy(&bytes[..at]).into_owned();
    text.push_str(&guess.decode(&bytes[at..]).0);
    let end = text[at..].chars().next().map_or(at, |c| at + c.len_utf8());
    let source = SourceFile::new(path, text);
    let what = format!("the file is not UTF-8 text; it looks like {}", guess.name());
    let problem = Problem::new(
        ProblemKind::Encoding,
        Spot::new(&source, at..end, ""),
        what,
        "save the file as UTF-8 in your editor",
    );
    (source, Some(problem))
}

fn read_entry(family: Family, span: Range<usize>, table: &DeTable<'_>, sound: bool) -> Entry {
    let mut entry = Entry {
        family,
        id: None,
        span,
        phrases: Vec::new(),
        references: Vec::new(),
        values: Vec::new(),
        examples: Vec::new(),
        retires: false,
        sound,
    };
    for (key, value) in table {
        let key: &str = key.get_ref();
        entry.values.push((key.to_string(), value.span()));
        if let Some(list) = Key::of(key) {
            entry.phrases.extend(words(value).into_iter().map(|w| (list, w)));
        }
        match (family, key) {
            (_, "id") => entry.id = words(value).pop(),
            (_, "retire") => entry.retires = matches!(value.get_ref(), DeValue::Boolean(true)),
            (Family::Limit, "parts") | (Family::TroubleCode, "part") | (Family::Usual, "is") => {
                entry.references.extend(words(value));
            }
            (Family::Usual, "near") => {
                let DeValue::Table(near) = value.get_ref() else { continue };
                let ids = near.keys().map(|k| Word { text: k.get_ref().to_string(), span: k.span() });
                entry.references.extend(ids);
            }
            (_, "example") => {
                let DeValue::Array(list) = value.get_ref() else { continue };
                for e in list {
                    let read = Example::deserialize(ValueDeserializer::from(e.clone()));
                    entry.examples.extend(read.ok().map(|example| (example, e.span())));
                }
            }
            _ => {}
        }
    }
    entry.phrases.sort_by_key(|(_, w)| w.span.start);
    entry.values.sort_by_key(|(_, span)| span.start);
    entry
}

/// The words of a text or a list of texts.
fn words(value: &Spanned<DeValue<'_>>) -> Vec<Word> {
    match value.get_ref() {
        DeValue::String(text) => vec![Word { text: text.to_string(), span: value.span() }],
        DeValue::Array(list) => list.iter().flat_map(words).collect(),
        _ => Vec::new(),
    }
}
