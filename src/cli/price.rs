//! Owns `price`: findings and a rate book in, an estimate out.

use std::collections::BTreeSet;
use std::path::PathBuf;

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::diagnostic::meant;
use crate::findings::Finding;
use crate::history::{self, AnswerLine, Horizon};
use crate::pricing::{self, Answer, Estimate, JobAt, Plans, RateBook, Visit, Wishes};
use crate::report;

use super::args::PriceFormat;
use super::documents::{Documents, several_vehicles};
use super::outcome::{Failure, Outcome};
use super::rates;
use super::request::Reading;
use super::sink::Sink;

/// What is to be priced, how.
pub(super) struct Order {
    pub path: Option<String>,
    pub rates: PathBuf,
    /// What the customer said, by finding.
    pub answers: Vec<(Answer, String, Option<Horizon>)>,
    pub only: Vec<String>,
    pub without: Vec<String>,
    pub wishes: Wishes,
    pub plans: Plans,
    pub format: PriceFormat,
    pub out: Option<PathBuf>,
    pub reading: Reading,
}

/// Runs `price`.
pub(super) fn run(order: &Order) -> Result<Outcome, Failure> {
    let book = rates::read(&order.rates, order.reading.lexicon.as_deref())?;
    check_wishes(&book, &order.wishes)?;
    let mut sink = Sink::open(order.out.as_deref())?;
    let Some(path) = &order.path else {
        sink.plain(&summary(&book))?;
        sink.finish()?;
        return Ok(Outcome::Fine);
    };
    let mut documents = Documents::read(path, &order.reading)?;
    keep_answers(path, &mut documents, order)?;
    let visit = visit(path, &documents, order)?;
    let estimate = estimate(&book, &visit, order)?;
    match order.format {
        PriceFormat::Table => sink.coloured(&pricing::table(&estimate, sink.width()))?,
        PriceFormat::Json => sink.plain(&pricing::json(&estimate).map_err(|e| Failure::unwritten(path, e))?)?,
        PriceFormat::Csv => sink.plain(&pricing::csv(&estimate).map_err(|e| Failure::unwritten(path, e))?)?,
        PriceFormat::Html => sink.plain(&pricing::page(&estimate, documents.all()))?,
    }
    sink.finish()?;
    Ok(Outcome::Fine)
}

fn estimate(book: &RateBook, visit: &Visit, order: &Order) -> Result<Estimate, Failure> {
    let problem = pricing::Problem::new(book, &visit.findings, &order.wishes);
    if let Some(idle) = problem.idle_wishes.first() {
        let can = problem.instances.iter().map(|i| book.jobs[i.what.job].id.as_str());
        let mut can: Vec<&str> = can.collect();
        can.dedup();
        let what = format!("--pin {}: serves none of these findings; jobs that do: {}", idle.job, can.join(", "));
        return Err(Failure::Usage(what));
    }
    let unsolved = |e: pricing::Unsolved| Failure::Usage(e.to_string());
    let estimate = pricing::estimate(book, visit, &order.wishes).map_err(unsolved)?;
    estimate.with_plans(&problem, order.plans).map_err(unsolved)
}

/// Appends the customer's answers to the log of the inspection, all or none.
fn keep_answers(path: &str, documents: &mut Documents, order: &Order) -> Result<(), Failure> {
    if order.answers.is_empty() {
        return Ok(());
    }
    let Documents::Inspection(opened) = documents else {
        let what = "answers are kept in the folder of an inspection; name the folder";
        return Err(Failure::Usage(format!("{}: {what}", report::shown(path))));
    };
    let document = &opened.list.document;
    // all are looked up before the first is written
    let mut lines = Vec::new();
    let mut answered = BTreeSet::new();
    for (answer, id, horizon) in &order.answers {
        let finding = super::why::pick(document, id)?;
        if !answered.insert(finding.id.as_str()) {
            let id = report::short_id(document, &finding.id);
            return Err(Failure::Usage(format!("{}: two answers on {id}; give one", report::shown(path))));
        }
        let lexicon = opened.reader.lexicon();
        lines.push(AnswerLine::new(Timestamp::now(), *answer, *horizon, finding, document, lexicon));
    }
    opened.entries = opened.log.append_all(opened.entries.len(), &lines).map_err(Failure::Log)?.entries;
    Ok(())
}

/// The findings that were chosen, of one vehicle.
fn visit<'d>(path: &str, documents: &'d Documents, order: &Order) -> Result<Visit<'d>, Failure> {
    let path = report::shown(path);
    let entries = match documents {
        Documents::Inspection(opened) => opened.entries.as_slice(),
        Documents::Loose(_) => &[],
    };
    let open = documents.open();
    let documents = documents.all();
    if let Some(named) = several_vehicles(documents) {
        return Err(Failure::Usage(format!("{path}: findings of several vehicles ({named}); price one at a time")));
    }
    let all: Vec<&Finding> = documents.iter().flat_map(|d| &d.findings).collect();
    for id in order.only.iter().chain(&order.without) {
        if !all.iter().any(|f| f.id.starts_with(id.as_str())) {
            let what =
                format!("{path}: no finding has an id that begins with {}; `find` shows them", report::shown(id));
            return Err(Failure::Usage(what));
        }
    }
    let is = |ids: &[String], f: &Finding| ids.iter().any(|id| f.id.starts_with(id.as_str()));
    let named = |f: &Finding| (order.only.is_empty() || is(&order.only, f)) && !is(&order.without, f);
    Ok(history::visit(documents, entries, open, named, &TimeZone::system()))
}

/// Jobs and parts that the book does not have can't be wished for.
fn check_wishes(book: &RateBook, wishes: &Wishes) -> Result<(), Failure> {
    let jobs = || book.jobs.iter().map(|j| j.id.as_str());
    let wish = |option: &str, list: &[JobAt]| {
        let unknown = list.iter().find(|w| !jobs().any(|id| id == w.job))?;
        Some(unknown_id(option, "job", &unknown.job, jobs()))
    };
    let lines = book.jobs.iter().flat_map(|j| &j.parts).chain(book.operations.iter().flat_map(|o| &o.parts));
    let parts: Vec<&str> =
        lines.flat_map(|l| std::iter::once(&l.usual).chain(&l.instead)).map(|c| c.id.as_str()).collect();
    let take = || {
        let unknown = wishes.taken.iter().find(|t| !parts.contains(&t.as_str()))?;
        Some(unknown_id("--take", "part", unknown, parts.iter().copied()))
    };
    match wish("--pin", &wishes.pinned).or_else(|| wish("--forbid", &wishes.forbidden)).or_else(take) {
        Some(failure) => Err(failure),
        None => Ok(()),
    }
}

fn unknown_id<'k>(option: &str, what: &str, id: &str, known: impl Iterator<Item = &'k str>) -> Failure {
    let meant = meant(id, known).map(|k| format!("; \"{k}\" is the one most alike")).unwrap_or_default();
    Failure::Usage(format!("{option} {}: the rate book has no {what} with this id{meant}", report::shown(id)))
}

/// What a rate book holds, when it is only to be checked.
fn summary(book: &RateBook) -> String {
    let covered: BTreeSet<&str> = book.jobs.iter().flat_map(|j| &j.covers).map(|c| c.part.as_str()).collect();
    format!(
        "{}: nothing wrong with it. {} for {}, {}, amounts in {}.\n",
        report::shown(&book.name),
        report::count(book.jobs.len(), "job", "jobs"),
        report::count(covered.len(), "part", "parts"),
        report::count(book.operations.len(), "shared step", "shared steps"),
        book.currency
    )
}
