//! Owns the files of a shop's lexicon folder: reading them, and writing additions into the one where they belong.

use std::path::{Path, PathBuf};

use walkdir::WalkDir;

use crate::cli::outcome::{Failure, say};
use crate::cli::sink::Sink;
use crate::interpretation::Interpreter;
use crate::lexicon::Lexicon;
use crate::report::shown;
use crate::shop::{Addition, ShopFile, builtin_as_files, compile, with_additions};

/// File that additions to no entry of the shop's own go to.
const NEW_WORDS: &str = "words.toml";

/// The built-in files, the shop's, and the lexicon of both.
pub(super) struct Loaded {
    pub given: Vec<ShopFile>,
    pub ours: Vec<ShopFile>,
    pub interpreter: Interpreter,
}

impl Loaded {
    /// Reads all; files of the shop that can't be used are told of and left out.
    pub(super) fn open(folder: Option<&Path>) -> Result<Loaded, Failure> {
        let ours = folder.map_or(Ok(Vec::new()), read)?;
        for file in ours.iter().filter(|f| !f.usable()) {
            let path = shown(&file.source.path);
            say(&format!("{path}: can't be used as it is and is left out; `hoistnote lexicon check` tells why"));
        }
        let loaded = if ours.is_empty() { Lexicon::builtin().map(|l| (l, Vec::new())) } else { compile(&ours) };
        let (lexicon, left_out) = loaded.map_err(Failure::Lexicon)?;
        left_out.iter().for_each(|e| say(&format!("{e}; the file is left out")));
        let interpreter = Interpreter::new(lexicon);
        Ok(Loaded { given: builtin_as_files(), ours, interpreter })
    }
}

/// Every lexicon file of a folder, read closely, in the order of names.
pub(super) fn read(folder: &Path) -> Result<Vec<ShopFile>, Failure> {
    let name = shown(&folder.display().to_string());
    if !folder.is_dir() {
        return Err(Failure::Input(format!("{name}: no folder; name the folder that your lexicon files are in")));
    }
    let mut out = Vec::new();
    for entry in WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.map_err(|e| Failure::unreadable(&name, &e.into(), "check the folder's rights"))?;
        let path = entry.path();
        if !entry.file_type().is_file() || path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let bytes = std::fs::read(path)
            .map_err(|e| Failure::unreadable(&shown(&path.display().to_string()), &e, "check the file's rights"))?;
        out.push(ShopFile::read(&path.display().to_string(), &bytes));
    }
    Ok(out)
}

/// Writes additions to the shop's folder: to the file that has the entry already, else to the one for new words. Gives the files
/// that were written. Each file is written whole or not at all.
pub(super) fn write(folder: &Path, ours: &[ShopFile], additions: &[Addition]) -> Result<Vec<PathBuf>, Failure> {
    let mut by_file: Vec<(PathBuf, Vec<Addition>)> = Vec::new();
    for a in additions {
        let has = |f: &&ShopFile| {
            f.entries.iter().any(|e| e.family == a.family && e.id.as_ref().is_some_and(|i| i.text == a.id))
        };
        let path = match ours.iter().find(has) {
            Some(file) => PathBuf::from(&file.source.path),
            None => folder.join(NEW_WORDS),
        };
        match by_file.iter_mut().find(|(p, _)| *p == path) {
            Some((_, list)) => list.push(a.clone()),
            None => by_file.push((path, vec![a.clone()])),
        }
    }
    std::fs::create_dir_all(folder).map_err(|e| Failure::unwritten(&shown(&folder.display().to_string()), e))?;
    let mut texts = Vec::new();
    for (path, list) in by_file {
        let name = shown(&path.display().to_string());
        let old = match std::fs::read_to_string(&path) {
            Ok(text) => text,
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => String::new(),
            Err(e) => return Err(Failure::unreadable(&name, &e, "save it as UTF-8 text")),
        };
        let new = with_additions(&old, &list)
            .map_err(|e| Failure::Input(format!("{name}: {}; `hoistnote lexicon check` shows where", e.message())))?;
        texts.push((path, new));
    }
    for (path, text) in &texts {
        let mut sink = Sink::open(Some(path))?;
        sink.plain(text)?;
        sink.finish()?;
    }
    Ok(texts.into_iter().map(|(path, _)| path).collect())
}
