//! Owns `due`: the logs of a folder's inspections in, what is to be asked again out.

use std::fs;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use crate::history::{self, FollowUp};
use crate::report;
use crate::review::{LOG_NAME, Log};

use super::args::DueFormat;
use super::outcome::{Failure, Outcome, say};
use super::sink::Sink;

/// What is asked.
pub(super) struct Due {
    pub folder: PathBuf,
    /// The day it is asked for; today where none was given.
    pub on: Option<Date>,
    /// Only what is due by then.
    pub until: Option<Date>,
    pub format: DueFormat,
    pub out: Option<PathBuf>,
}

/// Runs `due`.
pub(super) fn run(due: &Due) -> Result<Outcome, Failure> {
    let mut sink = Sink::open(due.out.as_deref())?;
    let zone = TimeZone::system();
    let today = due.on.unwrap_or_else(|| Timestamp::now().to_zoned_datetime(zone.clone()).date());
    let mut outcome = Outcome::Fine;
    let mut list: Vec<FollowUp> = Vec::new();
    for (name, folder) in inspections(&due.folder)? {
        match Log::of(&folder).read() {
            Ok(contents) => list.extend(history::follow_ups(&name, &contents.entries, &zone)),
            Err(e) => {
                say(&e.to_string());
                outcome = Outcome::SomeUnread;
            }
        }
    }
    // what is due by distance has no day and is never held back
    list.retain(|f| due.until.is_none_or(|until| f.day().is_none_or(|d| d <= until)));
    history::in_order(&mut list);
    let unmade = |e: &dyn std::fmt::Display| Failure::unmade("follow-ups", e);
    match due.format {
        DueFormat::Table => sink.coloured(&history::follow_up_table(&list, today, sink.width()))?,
        DueFormat::Csv => sink.plain(&history::csv(&list).map_err(|e| unmade(&e))?)?,
        DueFormat::Ics => sink.plain(&history::calendar(&list))?,
        DueFormat::Json => {
            for f in &list {
                let line = serde_json::to_string(f).map_err(|e| unmade(&e))?;
                sink.plain(&format!("{line}\n"))?;
            }
        }
    }
    sink.finish()?;
    Ok(outcome)
}

/// Folders with a log: the folder itself, or those in it, by name. Links are not followed.
fn inspections(folder: &Path) -> Result<Vec<(String, PathBuf)>, Failure> {
    let shown = report::shown(&folder.display().to_string());
    let fail = |e: std::io::Error| Failure::unreadable(&shown, &e, "name a folder of inspections");
    let mut out = Vec::new();
    for entry in fs::read_dir(folder).map_err(fail)? {
        let entry = entry.map_err(fail)?;
        if entry.file_type().map_err(fail)?.is_dir() && entry.path().join(LOG_NAME).exists() {
            out.push((entry.file_name().to_string_lossy().into_owned(), entry.path()));
        }
    }
    if folder.join(LOG_NAME).exists() {
        let whole = folder.canonicalize().map_err(fail)?;
        let name = whole.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        out.push((name, folder.to_path_buf()));
    }
    out.sort();
    Ok(out)
}
