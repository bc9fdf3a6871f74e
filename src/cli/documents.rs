//! Owns getting findings from what a user names: findings documents as `find` and `final` print them, a dictation, or the folder of
//! an inspection with the decisions made on it.

use std::path::{Path, PathBuf};

use jiff::civil::Date;

use crate::dictation::{Source, gather};
use crate::findings::{self, Document};
use crate::report;
use crate::review::Inspection;

use super::find::Reader;
use super::outcome::{Failure, say};
use super::request::Reading;
use super::review::{self, Opened};

/// What a path stands for.
pub(super) enum Documents {
    /// An inspection, with its log.
    Inspection(Box<Opened>),
    /// Documents, or a dictation read.
    Loose(Vec<Document>),
}

impl Documents {
    /// Reads a path.
    pub(super) fn read(path: &str, reading: &Reading) -> Result<Documents, Failure> {
        if Path::new(path).is_dir() {
            return Ok(Documents::Inspection(Box::new(review::open(Path::new(path), reading)?)));
        }
        let (sources, problems) = gather(&[path.to_string()]);
        if let Some(problem) = problems.into_iter().next() {
            return Err(Failure::Unread(problem));
        }
        let all = sources.iter().map(|s| source(s, reading)).collect::<Result<Vec<_>, _>>()?;
        Ok(Documents::Loose(all.into_iter().flatten().collect()))
    }

    /// The documents.
    pub(super) fn all(&self) -> &[Document] {
        match self {
            Documents::Inspection(opened) => std::slice::from_ref(&opened.list.document),
            Documents::Loose(documents) => documents,
        }
    }
}

fn source(source: &Source, reading: &Reading) -> Result<Vec<Document>, Failure> {
    let bytes = source.load().map_err(Failure::Unread)?;
    if let Some(read) = findings::read_lines(&bytes) {
        return read.map_err(|e| {
            let path = report::shown(&source.path);
            Failure::Input(format!("{path}:{e}; write it again with --format json"))
        });
    }
    let dictation = crate::dictation::read(&source.path, &bytes).map_err(Failure::Unread)?;
    dictation.warnings.iter().for_each(|w| say(&w.to_string()));
    Ok(vec![Reader::open(reading)?.document(&dictation)])
}

/// The day of a visit: the one its folder or file is named by, or an inspection's own.
pub(super) fn day_of(path: &str) -> Option<Date> {
    let names = Path::new(path).components().rev().filter_map(|c| c.as_os_str().to_str());
    let named = names.filter_map(|n| n.get(..10)?.parse().ok()).next();
    named.or_else(|| {
        let folder = Some(PathBuf::from(path)).filter(|p| p.is_dir())?;
        Inspection::open(&folder).ok()?.day
    })
}
