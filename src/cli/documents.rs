//! Owns getting findings from what a user names: findings documents as `find --format json` prints them, or dictations and folders
//! of them, which are read as `find` reads them.

use crate::dictation::{Source, gather};
use crate::findings::{self, Document};
use crate::report;

use super::find::Reader;
use super::outcome::{Failure, say};
use super::request::Reading;

/// All findings documents that a path stands for; the lexicon is loaded only where there are words to read.
pub(super) struct Documents<'r> {
    reading: &'r Reading,
    reader: Option<Reader>,
}

impl<'r> Documents<'r> {
    pub(super) fn new(reading: &'r Reading) -> Documents<'r> {
        Documents { reading, reader: None }
    }

    /// The documents of one path. Dictations with warnings are read, and the warnings told.
    pub(super) fn read(&mut self, path: &str) -> Result<Vec<Document>, Failure> {
        let (sources, problems) = gather(&[path.to_string()]);
        if let Some(problem) = problems.into_iter().next() {
            return Err(Failure::Unread(problem));
        }
        let mut out = Vec::new();
        for source in &sources {
            out.extend(self.source(source)?);
        }
        Ok(out)
    }

    fn source(&mut self, source: &Source) -> Result<Vec<Document>, Failure> {
        let bytes = source.load().map_err(Failure::Unread)?;
        if let Some(read) = findings::read_lines(&bytes) {
            return read.map_err(|e| {
                let path = report::shown(&source.path);
                Failure::Input(format!("{path}:{e}; write it again with find --format json"))
            });
        }
        let dictation = crate::dictation::read(&source.path, &bytes).map_err(Failure::Unread)?;
        dictation.warnings.iter().for_each(|w| say(&w.to_string()));
        let reader = match self.reader.take() {
            Some(reader) => reader,
            None => Reader::open(self.reading)?,
        };
        let document = reader.document(&dictation);
        self.reader = Some(reader);
        Ok(vec![document])
    }
}
