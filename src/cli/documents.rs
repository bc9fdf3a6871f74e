//! Owns getting findings from what a user names: findings documents as `find` and `final` print them, a dictation, or the folder of
//! an inspection with the decisions made on it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use crate::dictation::{Source, gather};
use crate::findings::{self, Document, Finding, ReviewState};
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

    /// How many things must still be looked at before anything goes to the customer. Of documents without an inspection it is
    /// known only what they say of themselves: where no finding was looked at, none was.
    pub(super) fn open(&self) -> usize {
        let of = |d: &Document| {
            let is_fresh = d.findings.iter().all(|f| f.review.is_none());
            let is_passed = |f: &Finding| f.review.as_ref().is_some_and(|r| r.state == ReviewState::PassedOver);
            let open = d.findings.iter().filter(|f| is_fresh || (f.is_uncertain() && !is_passed(f)));
            open.count() + d.unplaced.len()
        };
        match self {
            Documents::Inspection(opened) => opened.list.open(),
            Documents::Loose(documents) => documents.iter().map(of).sum(),
        }
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

/// The names of the vehicles, for people, where the documents are of more than one.
pub(super) fn several_vehicles<'d>(documents: impl IntoIterator<Item = &'d Document>) -> Option<String> {
    let named = documents.into_iter().filter_map(|d| d.vehicle.identification.as_deref());
    let named: BTreeSet<String> = named.map(report::shown).collect();
    (named.len() > 1).then(|| named.into_iter().collect::<Vec<_>>().join(", "))
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
