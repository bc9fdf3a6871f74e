//! Owns the check of a shop's files: form, names, references, limits, sound-alikes, examples.

mod examples;
mod names;
mod references;

use super::problem::Problem;
use super::reading::ShopFile;
use crate::interpretation::Interpreter;
use crate::lexicon::{Lexicon, LexiconError, RawLexicon, builtin, builtin_files};

pub use examples::outcome;

/// What a check came to.
#[derive(Debug)]
pub struct Checked {
    /// All problems, by file, line and column.
    pub problems: Vec<Problem>,
    /// Entries looked at.
    pub entries: usize,
    /// Examples run.
    pub examples: usize,
}

/// The built-in files, read as closely as a shop's own.
pub fn builtin_as_files() -> Vec<ShopFile> {
    let files = builtin_files();
    files.iter().map(|(name, text)| ShopFile::read(&format!("built-in lexicon/{name}"), text.as_bytes())).collect()
}

/// The built-in lexicon with those of the files on top that can be used; and why others can't, where their form is right.
///
/// # Errors
/// More phrases than the program can hold.
pub fn compile(files: &[ShopFile]) -> Result<(Lexicon, Vec<LexiconError>), LexiconError> {
    let mut raw: RawLexicon = builtin()?;
    let mut left_out = Vec::new();
    for file in files.iter().filter(|f| f.usable()) {
        // half a file is worse than none
        let mut with = raw.clone();
        match with.add(&file.source.path, &file.source.text) {
            Ok(()) => raw = with,
            Err(e) => left_out.push(e),
        }
    }
    Ok((Lexicon::compile(raw)?, left_out))
}

/// Checks files: `given` lie below and are not told of, `ours` are. `interpreter` reads with all of them.
pub fn check(given: &[ShopFile], ours: &[ShopFile], interpreter: &Interpreter) -> Checked {
    let mut problems: Vec<Problem> = ours.iter().flat_map(|f| f.problems.iter().cloned()).collect();
    problems.extend(references::check(given, ours, interpreter.lexicon()));
    problems.extend(names::check(given, ours, interpreter));
    problems.extend(examples::check(ours, interpreter));
    problems.sort_by(|a, b| a.order().cmp(&b.order()).then(a.kind.cmp(&b.kind)));
    problems.dedup();
    let entries = ours.iter().map(|f| f.entries.len()).sum();
    let examples = ours.iter().flat_map(|f| &f.entries).map(|e| e.examples.len()).sum();
    Checked { problems, entries, examples }
}
