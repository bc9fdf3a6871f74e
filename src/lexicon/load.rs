//! Owns reading lexicon files and laying them on top of each other.

use std::collections::{BTreeMap, HashMap};
use std::fmt;
use std::path::{Path, PathBuf};

use super::entries::{LanguageFile, Part, Saying, VerdictSaying};
use crate::text::{Folding, fold_phrase};

/// A lexicon file that can't be used: which, where, what and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LexiconError {
    /// File as the user knows it.
    pub file: String,
    /// 1-based line, where known.
    pub line: Option<usize>,
    /// 1-based column, where known.
    pub column: Option<usize>,
    /// What is wrong and what to do.
    pub what: String,
}

impl fmt::Display for LexiconError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let (Some(l), Some(c)) = (self.line, self.column) {
            write!(f, ":{l}:{c}")?;
        }
        write!(f, ": {}", self.what)
    }
}

impl std::error::Error for LexiconError {}

/// All entries, read and layered, not yet compiled.
#[derive(Debug, Clone, Default)]
pub struct RawLexicon {
    pub(super) parts: Vec<Part>,
    /// Where each part stands, by id.
    by_id: HashMap<String, usize>,
    pub(super) language: LanguageFile,
    /// Learned weights of the judge, as the file has them.
    pub(super) weights: String,
}

/// Every `.toml` file under a folder with its text.
///
/// # Errors
/// The folder or one of its files can't be read.
pub fn folder_files(folder: &Path) -> Result<Vec<(PathBuf, String)>, LexiconError> {
    let fail =
        |file: &Path, what: String| LexiconError { file: file.display().to_string(), line: None, column: None, what };
    let mut out = Vec::new();
    for entry in walkdir::WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.map_err(|e| fail(folder, format!("can't be read ({e}); check the --lexicon folder")))?;
        let path = entry.path();
        if !entry.file_type().is_file() || path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let text = std::fs::read_to_string(path)
            .map_err(|e| fail(path, format!("can't be read as UTF-8 text ({e}); save it as UTF-8")))?;
        out.push((path.to_path_buf(), text));
    }
    Ok(out)
}

impl RawLexicon {
    /// Lays one file on top of what was read before.
    ///
    /// ```
    /// use hoistnote::lexicon::{Lexicon, builtin};
    ///
    /// let mut raw = builtin()?;
    /// raw.add("ours.toml", "[[part]]\nid = \"brake-caliper\"\nalso = [\"the clamper\"]\n")?;
    /// let lexicon = Lexicon::compile(raw)?;
    /// let part = lexicon.strong_part(&lexicon.fold("the clamper")).map(|p| lexicon.parts[p].id.as_str());
    /// assert_eq!(part, Some("brake-caliper"));
    /// # Ok::<(), hoistnote::lexicon::LexiconError>(())
    /// ```
    ///
    /// # Errors
    /// The file does not parse.
    pub fn add(&mut self, file: &str, text: &str) -> Result<(), LexiconError> {
        let f: LanguageFile = parse(file, text)?;
        let folding = self.folding();
        for mut part in f.part {
            if let (true, Some(system)) = (part.system.is_empty(), &f.system) {
                part.system.clone_from(system);
            }
            self.add_part(part, &folding).map_err(|(id, what)| at_id(file, text, &id, what))?;
        }
        let l = &mut self.language;
        drop_sayings(&mut l.condition, &f.condition, &folding);
        drop_sayings(&mut l.action, &f.action, &folding);
        drop_sayings(&mut l.urgency, &f.urgency, &folding);
        drop_sayings(&mut l.degree, &f.degree, &folding);
        drop_verdicts(&mut l.sound, &f.sound, &folding);
        drop_verdicts(&mut l.unchecked, &f.unchecked, &folding);
        drop_verdicts(&mut l.inspect, &f.inspect, &folding);
        drop_verdicts(&mut l.serviced, &f.serviced, &folding);
        for n in &f.cue {
            l.cue.iter_mut().filter(|o| o.id == n.id).for_each(|o| drop_from([&mut o.say], &n.drop, &folding));
        }
        // a limit with the id of another takes its place
        l.limit.retain(|old| f.limit.iter().all(|new| new.id != old.id));
        l.condition.extend(f.condition);
        l.action.extend(f.action);
        l.urgency.extend(f.urgency);
        l.degree.extend(f.degree);
        l.sound.extend(f.sound);
        l.unchecked.extend(f.unchecked);
        l.inspect.extend(f.inspect);
        l.serviced.extend(f.serviced);
        l.place.extend(f.place);
        l.cue.extend(f.cue);
        l.unit.extend(f.unit);
        l.head.extend(f.head);
        l.usual.extend(f.usual);
        l.alike.extend(f.alike);
        l.piece.extend(f.piece);
        l.limit.extend(f.limit);
        l.kind.extend(f.kind);
        lay_on(&mut l.spelling, f.spelling);
        l.singular.extend(f.singular);
        l.common.extend(f.common);
        lay_on(&mut l.misheard, f.misheard);
        l.per_wheel.extend(f.per_wheel);
        l.not_per_wheel.extend(f.not_per_wheel);
        l.metric_words.extend(f.metric_words);
        l.odometer_words.extend(f.odometer_words);
        l.span_filler.extend(f.span_filler);
        l.past_before.extend(f.past_before);
        l.past_behind.extend(f.past_behind);
        l.running_gear.extend(f.running_gear);
        l.sided.extend(f.sided);
        l.trouble_code.extend(f.trouble_code);
        l.matter.extend(f.matter);
        l.plain.extend(f.plain);
        l.zone.extend(f.zone);
        l.outline.extend(f.outline);
        l.checklist.extend(f.checklist);
        Ok(())
    }

    /// How words are folded, by the tables read so far.
    pub(super) fn folding(&self) -> Folding {
        let mut folding = Folding::default();
        folding.singular.extend(self.language.singular.clone());
        for (word, variants) in &self.language.spelling {
            folding.spelling.extend(variants.iter().map(|v| (v.clone(), word.clone())));
        }
        folding
    }

    /// A part whose id is known already adds to that part, renames it or retires it. Otherwise: the id and what is wrong.
    fn add_part(&mut self, part: Part, folding: &Folding) -> Result<(), (String, String)> {
        let part = Part { example: Vec::new(), ..part };
        let known = self.by_id.get(&part.id).copied();
        let Some(at) = known.filter(|at| !self.parts[*at].retire) else {
            let id = &part.id;
            if part.retire || part.name.is_empty() {
                let there = self.parts.iter().filter(|p| !p.retire);
                let near = there.max_by(|a, b| likeness(id, &a.id).total_cmp(&likeness(id, &b.id)));
                let meant = near.map_or(String::new(), |p| format!(" (\"{}\"?)", p.id));
                let what =
                    format!("no part has the id \"{id}\"; write the id of one{meant}, or give a new part a name");
                return Err((part.id, what));
            }
            if part.system.is_empty() {
                let what = "missing field `system`; write it at the head of the file or in the entry";
                return Err((part.id, what.into()));
            }
            match known {
                Some(at) => self.parts[at] = part,
                None => {
                    self.by_id.insert(part.id.clone(), self.parts.len());
                    self.parts.push(part);
                }
            }
            return Ok(());
        };
        let old = &mut self.parts[at];
        if part.retire {
            old.retire = true;
            return Ok(());
        }
        drop_from([&mut old.also, &mut old.short, &mut old.weak], &part.drop, folding);
        if !part.name.is_empty() && part.name != old.name {
            let former = std::mem::replace(&mut old.name, part.name);
            if !part.drop.contains(&former) {
                old.also.insert(0, former);
            }
        }
        old.also.extend(part.also);
        old.short.extend(part.short);
        old.weak.extend(part.weak);
        old.not.extend(part.not);
        if !part.usual.is_empty() {
            old.usual = part.usual;
        }
        Ok(())
    }
}

/// Adds to a table of words and their variants; a variant goes over to the word that claims it last.
fn lay_on(table: &mut BTreeMap<String, Vec<String>>, more: BTreeMap<String, Vec<String>>) {
    for (word, variants) in more {
        for (other, list) in table.iter_mut().filter(|(other, _)| **other != word) {
            list.retain(|v| !variants.contains(v) || v == other);
        }
        table.entry(word).or_default().extend(variants);
    }
}

/// Takes phrases out of lists, however they are spelt there.
fn drop_from<const N: usize>(lists: [&mut Vec<String>; N], phrases: &[String], folding: &Folding) {
    if phrases.is_empty() {
        return;
    }
    let gone: Vec<String> = phrases.iter().map(|p| fold_phrase(p, folding)).collect();
    lists.into_iter().for_each(|list| list.retain(|phrase| !gone.contains(&fold_phrase(phrase, folding))));
}

/// Takes what new sayings drop out of those that were there.
fn drop_sayings<Id: PartialEq>(old: &mut [Saying<Id>], new: &[Saying<Id>], folding: &Folding) {
    for n in new {
        for o in old.iter_mut().filter(|o| o.id == n.id) {
            drop_from([&mut o.say, &mut o.verb, &mut o.weak], &n.drop, folding);
        }
    }
}

fn drop_verdicts(old: &mut [VerdictSaying], new: &[VerdictSaying], folding: &Folding) {
    for n in new {
        for o in old.iter_mut() {
            drop_from([&mut o.say, &mut o.verb, &mut o.weak, &mut o.when_negated], &n.drop, folding);
        }
    }
}

fn likeness(a: &str, b: &str) -> f64 {
    strsim::jaro_winkler(a, b)
}

/// An error at the line where an id stands.
fn at_id(file: &str, text: &str, id: &str, what: String) -> LexiconError {
    let quoted = format!("\"{id}\"");
    let at = text.lines().enumerate().find_map(|(n, l)| {
        let column = l.trim_start().starts_with("id").then(|| l.find(&quoted)).flatten()?;
        Some((n + 1, l[..column].chars().count() + 1))
    });
    LexiconError { file: file.to_string(), line: at.map(|a| a.0), column: at.map(|a| a.1), what }
}

fn parse<T: serde::de::DeserializeOwned>(file: &str, text: &str) -> Result<T, LexiconError> {
    toml::from_str(text).map_err(|e| {
        let at = e.span().map(|s| {
            let before = &text[..s.start.min(text.len())];
            let line = before.matches('\n').count() + 1;
            let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
            (line, column)
        });
        LexiconError {
            file: file.to_string(),
            line: at.map(|a| a.0),
            column: at.map(|a| a.1),
            what: format!("{}; correct the entry or take it out", e.message()),
        }
    })
}
