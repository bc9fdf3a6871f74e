//! Owns the lexicon built into the binary: its files, and the same compiled when the binary was built.

use std::path::Path;

use include_dir::{Dir, include_dir};

use super::compile::Lexicon;
use super::load::{LexiconError, RawLexicon, folder_files};

static FILES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/lexicon");
static COMPILED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/lexicon.bin"));

/// The entries built into the binary.
///
/// # Errors
/// A built-in file that does not parse; the build keeps that from happening.
pub fn builtin() -> Result<RawLexicon, LexiconError> {
    let mut raw = RawLexicon::default();
    // proofs are run by those who ask for it; nothing is said in them that the entries need
    for (name, text) in builtin_files().into_iter().filter(|(name, _)| !name.starts_with("proofs/")) {
        raw.add(name, text)?;
    }
    raw.weights = weights();
    Ok(raw)
}

/// The built-in files, by name, with their text.
pub fn builtin_files() -> Vec<(&'static str, &'static str)> {
    let mut files = Vec::new();
    collect(&FILES, &mut files);
    files.sort_unstable();
    files
}

/// The built-in entries with every `.toml` file under `folder` laid on top.
///
/// # Errors
/// The folder or one of its files can't be read or does not parse.
pub fn with_folder(folder: &Path) -> Result<RawLexicon, LexiconError> {
    let mut raw = builtin()?;
    for (path, text) in folder_files(folder)? {
        raw.add(&path.display().to_string(), &text)?;
    }
    Ok(raw)
}

impl Lexicon {
    /// The built-in lexicon, as compiled when the binary was built.
    ///
    /// # Errors
    /// A binary that was damaged.
    pub fn builtin() -> Result<Lexicon, LexiconError> {
        let mut lexicon: Lexicon = postcard::from_bytes(COMPILED).map_err(|e| LexiconError {
            file: "built-in lexicon".into(),
            line: None,
            column: None,
            what: format!("can't be read ({e}); install the program again"),
        })?;
        lexicon.weights = weights();
        Ok(lexicon)
    }
}

fn weights() -> String {
    FILES.get_file("weights.tsv").and_then(|f| f.contents_utf8()).unwrap_or_default().to_string()
}

fn collect(dir: &Dir<'static>, out: &mut Vec<(&'static str, &'static str)>) {
    for f in dir.files() {
        if let (Some(name), Some(text)) = (f.path().to_str(), f.contents_utf8())
            && name.ends_with(".toml")
        {
            out.push((name, text));
        }
    }
    for d in dir.dirs() {
        collect(d, out);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_lexicon_is_what_its_files_say() {
        let compiled = builtin().and_then(Lexicon::compile).ok();
        assert!(compiled.and_then(|l| postcard::to_allocvec(&l).ok()).is_some_and(|bytes| bytes == COMPILED));
        assert!(Lexicon::builtin().is_ok_and(|l| !l.phrases.is_empty() && !l.weights.is_empty()));
    }
}
