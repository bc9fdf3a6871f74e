//! Owns the reading of rate books from files: one file, or every `.toml` file of a folder laid together.

use std::path::Path;
use std::sync::Arc;

use crate::diagnostic::SourceFile;
use crate::pricing::RateBook;
use crate::report;

use super::outcome::Failure;

/// Reads and checks a rate book; parts of the shop's own lexicon count too.
pub(super) fn read(path: &Path, lexicon: Option<&Path>) -> Result<RateBook, Failure> {
    let files = files(path)?;
    let lexicon = super::find::lexicon(lexicon)?;
    RateBook::read(&files, lexicon.parts.iter().map(|p| p.id.as_str())).map_err(Failure::Book)
}

fn files(path: &Path) -> Result<Vec<Arc<SourceFile>>, Failure> {
    let shown = |p: &Path| report::shown(&p.display().to_string());
    let mut out = Vec::new();
    for entry in walkdir::WalkDir::new(path).follow_links(true).sort_by_file_name() {
        let entry = entry.map_err(|e| {
            let place = shown(e.path().unwrap_or(path));
            Failure::unreadable(&place, &e.into(), "check the name after --rates")
        })?;
        let file = entry.path();
        let named = file == path || file.extension().is_some_and(|e| e == "toml");
        if !entry.file_type().is_file() || !named {
            continue;
        }
        let text = std::fs::read_to_string(file)
            .map_err(|e| Failure::unreadable(&shown(file), &e, "save it as UTF-8 text that you may read"))?;
        out.push(SourceFile::new(file.display().to_string(), text.trim_start_matches('\u{feff}')));
    }
    if out.is_empty() {
        return Err(Failure::Input(format!("{}: no rate book in it; a rate book is a .toml file", shown(path))));
    }
    Ok(out)
}
