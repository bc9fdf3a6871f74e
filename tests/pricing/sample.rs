//! The sample rate book: read with the built-in lexicon, large enough, and whole.

use std::collections::BTreeSet;
use std::path::Path;

use hoistnote::diagnostic::SourceFile;
use hoistnote::lexicon::Lexicon;
use hoistnote::pricing::RateBook;

use super::Checked;

const FOLDER: &str = "samples/rates/larkfield";

pub fn sample() -> Result<RateBook, Box<dyn std::error::Error>> {
    let lexicon = Lexicon::builtin()?;
    let mut files = Vec::new();
    for entry in walkdir::WalkDir::new(Path::new(env!("CARGO_MANIFEST_DIR")).join(FOLDER)).sort_by_file_name() {
        let entry = entry?;
        if entry.file_type().is_file() {
            files.push(SourceFile::new(entry.path().display().to_string(), std::fs::read_to_string(entry.path())?));
        }
    }
    let read = RateBook::read(&files, lexicon.parts.iter().map(|p| p.id.as_str()));
    read.map_err(|problems| problems.iter().map(|p| p.render(120)).collect::<Vec<_>>().join("\n").into())
}

#[test]
fn the_sample_is_marked_and_covers_the_trade() -> Checked {
    let book = sample()?;
    assert!(book.jobs.len() >= 120, "{} jobs", book.jobs.len());
    assert!(book.note.is_some_and(|n| n.contains("Invented")));
    for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(FOLDER))? {
        let text = std::fs::read_to_string(entry?.path())?;
        assert!(text.starts_with("# Invented figures"));
    }
    // every operation is of use
    let mut used: BTreeSet<usize> = book.jobs.iter().flat_map(|j| j.operations.iter().copied()).collect();
    for _ in 0..book.operations.len() {
        used.extend(used.clone().iter().flat_map(|n| book.operations[*n].needs.iter().copied()));
    }
    let idle: Vec<&str> =
        book.operations.iter().enumerate().filter(|(n, _)| !used.contains(n)).map(|(_, o)| o.id.as_str()).collect();
    assert!(idle.is_empty(), "no job needs {idle:?}");
    Ok(())
}
