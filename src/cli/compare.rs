//! Owns `compare`: visits of one vehicle in, what became of its parts out.

use std::path::PathBuf;

use jiff::civil::Date;

use crate::history::{self, VisitAt};
use crate::report;
use crate::review::Figure;

use super::args::CompareFormat;
use super::documents::{Documents, day_of, several_vehicles};
use super::outcome::{Failure, Outcome};
use super::request::Reading;
use super::sink::Sink;

/// Which visits are compared, how.
pub(super) struct Visits {
    /// Oldest first.
    pub paths: Vec<String>,
    pub days: Vec<Date>,
    pub limits: Vec<(String, Figure)>,
    pub format: CompareFormat,
    pub out: Option<PathBuf>,
    pub reading: Reading,
}

/// Runs `compare`.
pub(super) fn run(visits: &Visits) -> Result<Outcome, Failure> {
    let mut sink = Sink::open(visits.out.as_deref())?;
    let read = visits.paths.iter().map(|p| Documents::read(p, &visits.reading)).collect::<Result<Vec<_>, _>>()?;
    let mut at = Vec::new();
    for (n, (path, documents)) in visits.paths.iter().zip(&read).enumerate() {
        let [document] = documents.all() else {
            let what = format!(
                "{}: {} findings documents; give each visit as one",
                report::shown(path),
                documents.all().len()
            );
            return Err(Failure::Usage(what));
        };
        at.push(VisitAt { document, day: visits.days.get(n).copied().or_else(|| day_of(path)) });
    }
    if let Some(named) = several_vehicles(at.iter().map(|v| v.document)) {
        return Err(Failure::Usage(format!("visits of several vehicles ({named}); name those of one")));
    }
    if at.windows(2).any(|w| w[0].day.zip(w[1].day).is_some_and(|(a, b)| b < a)) {
        return Err(Failure::Usage("the visits are not in the order of their days; name the earliest first".into()));
    }
    let comparison = history::compare(&at, &visits.limits);
    match visits.format {
        CompareFormat::Table => sink.coloured(&history::table(&comparison, sink.width()))?,
        CompareFormat::Json => {
            sink.plain(&history::json(&comparison).map_err(|e| Failure::unwritten("comparison", e))?)?
        }
        CompareFormat::Csv => {
            sink.plain(&history::comparison_csv(&comparison).map_err(|e| Failure::unwritten("comparison", e))?)?
        }
    }
    sink.finish()?;
    Ok(Outcome::Fine)
}
