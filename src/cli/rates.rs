//! Owns the reading of rate books from files: one file, or every `.toml` file of a folder laid together.

use std::path::Path;
use std::sync::Arc;

use crate::diagnostic::SourceFile;
use crate::lexicon::{Lexicon, with_folder};
use crate::pricing::RateBook;
use crate::report;

use super::outcome::Failure;

/// Reads and checks a rate book; parts of the shop's own lexicon count too.
pub(super) fn read(path: &Path, lexicon: Option<&Path>) -> Result<RateBook, Failure> {
    let files = files(path)?;
    let lexicon = match lexicon {
        Some(folder) => with_folder(folder).and_then(Lexicon::compile),
        None => Lexicon::builtin(),
    };
    let lexicon = lexicon.map_err(Failure::Lexicon)?;
    RateBook::read(&files, lexicon.parts.iter().map(|p| p.id.as_str())).map_err(Failure::Book)
}

fn files(path: &Path) -> Result<Vec<Arc<SourceFile>>, Failure> {
    let shown = |p: &Path| report::shown(&p.display().to_string());
    let mut out = Vec::new();
    for entry in walkdir::WalkDir::new(path).follow_links(true).sort_by_file_name() {
        let entry = entry.map_err(|e| {
            let what = e.io_error().map_or_else(|| e.to_string(), ToString::to_string);
            Failure::Input(format!("{}: can't be read: {what}; check the name after --rates", shown(path)))
        })?;
        let file = entry.path();
        let named = file == path || file.extension().is_some_and(|e| e == "toml");
        if !entry.file_type().is_file() || !named {
            continue;
        }
        let text = std::fs::read_to_string(file)
            .map_err(|e| Failure::Input(format!("{}: can't be read: {e}; save it as UTF-8 text", shown(file))))?;
        out.push(SourceFile::new(file.display().to_string(), text.trim_start_matches('\u{feff}')));
    }
    if out.is_empty() {
        return Err(Failure::Input(format!("{}: no rate book in it; a rate book is a .toml file", shown(path))));
    }
    Ok(out)
}
