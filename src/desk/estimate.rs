//! Owns the estimate of an inspection at the desk, and the customer's answers to its lines.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_SECURITY_POLICY;
use axum::response::{Html, IntoResponse, Response};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use serde::Deserialize;

use crate::history::{self, AnswerLine, Horizon};
use crate::pricing::{self, Answer, Estimate, JobAt, Plans, Problem, RateBook, Wishes};

use super::change::{Seen, Told};
use super::page;
use super::routes::{REPORT_POLICY, Shared, aside, opened, ready};
use super::state::{Desk, Opened};
use super::words;

/// What the writer asks of an estimate, as the address of its page has it.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    /// Jobs and parts that were settled.
    pub wishes: Wishes,
    /// The sum as it was typed; empty for none.
    pub budget: String,
    /// Visits to spread the work over; one for no such plan.
    pub visits: usize,
    /// What could not be read of it.
    pub problem: Option<String>,
}

impl Asked {
    fn read(pairs: Vec<(String, String)>) -> Asked {
        let mut out = Asked { visits: 1, ..Asked::default() };
        for (name, value) in pairs {
            let job = || JobAt::parse(&value).map_err(|word| format!("{value}: there is no place {word}"));
            match name.as_str() {
                "pin" => job().map(|j| out.wishes.pinned.push(j)),
                "forbid" => job().map(|j| out.wishes.forbidden.push(j)),
                "take" => {
                    out.wishes.taken.push(value);
                    Ok(())
                }
                "budget" => {
                    out.budget = value.trim().to_string();
                    Ok(())
                }
                "visits" => match value.parse() {
                    Ok(n @ 1..=MOST_VISITS) => {
                        out.visits = n;
                        Ok(())
                    }
                    _ => Err(format!("{value}: visits are 1 to {MOST_VISITS}")),
                },
                _ => Ok(()),
            }
            .unwrap_or_else(|why| out.problem = Some(why));
        }
        if !out.budget.is_empty() && pricing::sum(&out.budget).is_none() {
            out.problem = Some(format!("{}: no sum of money; write a number such as 800 or 799.50", out.budget));
        }
        out
    }

    fn plans(&self) -> Plans {
        Plans { budget: pricing::sum(&self.budget), visits: (self.visits > 1).then_some(self.visits) }
    }

    /// All of it as names and values, as [`Asked::read`] takes them.
    pub fn pairs(&self) -> Vec<(&'static str, String)> {
        let jobs = |name, list: &[JobAt]| list.iter().map(|j| (name, j.to_string())).collect::<Vec<_>>();
        let mut out = jobs("pin", &self.wishes.pinned);
        out.extend(jobs("forbid", &self.wishes.forbidden));
        out.extend(self.wishes.taken.iter().map(|t| ("take", t.clone())));
        out.extend((!self.budget.is_empty()).then(|| ("budget", self.budget.clone())));
        out.extend((self.visits > 1).then(|| ("visits", self.visits.to_string())));
        out
    }
}

/// An estimate spreads work over so many visits at most.
pub const MOST_VISITS: usize = 3;

/// What the address of an estimate asks for.
type Wanted = Query<Vec<(String, String)>>;

/// An estimate of the list of an inspection as it stands.
pub struct Priced {
    /// The inspection.
    pub opened: Opened,
    /// Its estimate.
    pub estimate: Estimate,
    /// Jobs that were wished for and serve none of the findings.
    pub idle: Vec<JobAt>,
    /// What the book calls the jobs and parts that were settled, by their ids.
    pub names: BTreeMap<String, String>,
}

/// What a book calls what was wished for.
fn names(book: &RateBook, wishes: &Wishes) -> BTreeMap<String, String> {
    let jobs = book.jobs.iter().map(|j| (&j.id, &j.name));
    let lines = book.jobs.iter().flat_map(|j| &j.parts).chain(book.operations.iter().flat_map(|o| &o.parts));
    let parts = lines.flat_map(|l| std::iter::once(&l.usual).chain(&l.instead)).map(|c| (&c.id, &c.name));
    let is_job = |id: &String| wishes.pinned.iter().chain(&wishes.forbidden).any(|w| w.job == *id);
    let jobs = jobs.filter(|(id, _)| is_job(id));
    jobs.chain(parts.filter(|(id, _)| wishes.taken.contains(id))).map(|(i, n)| (i.clone(), n.clone())).collect()
}

/// The estimate that was asked for; else the page that says why there is none.
async fn priced(desk: &Arc<Desk>, opened: Opened, asked: &Asked) -> Result<Priced, Response> {
    let here = Arc::clone(desk);
    let back = page::at(&opened.inspection.name);
    let (wishes, plans) = (asked.wishes.clone(), asked.plans());
    let done = aside(move || {
        let book = here.book.as_ref()?;
        let documents = std::slice::from_ref(&opened.list.document);
        let visit =
            history::visit(documents, &opened.contents.entries, opened.list.open(), |_| true, &TimeZone::system());
        let problem = Problem::new(book, &visit.findings, &wishes);
        let idle = problem.idle_wishes.clone();
        let estimate = pricing::estimate(book, &visit, &wishes).and_then(|e| e.with_plans(&problem, plans));
        let names = names(book, &wishes);
        Some(estimate.map(|estimate| Priced { opened, estimate, idle, names }))
    });
    let told = |status: StatusCode, what: &str| {
        (status, Html(page::told(desk.guard.token(), "No estimate", what, &back))).into_response()
    };
    match done.await? {
        None => Err(told(StatusCode::CONFLICT, WITHOUT_BOOK)),
        Some(Err(unsolved)) => Err(told(StatusCode::UNPROCESSABLE_ENTITY, &unsolved.to_string())),
        Some(Ok(done)) => Ok(done),
    }
}

const WITHOUT_BOOK: &str = "The desk was opened without --rates BOOK; there are no prices to reckon with.";

/// The page that asks for answers.
pub async fn estimate(
    State(desk): Shared,
    Path(name): Path<String>,
    Query(wanted): Wanted,
) -> Result<Html<String>, Response> {
    let opened = opened(&desk, name).await?;
    let asked = Asked::read(wanted);
    let priced = priced(&desk, opened, &asked).await?;
    Ok(Html(page::estimate(desk.guard.token(), &priced, &asked)))
}

/// The estimate to print, once nothing is open.
pub async fn printed(
    State(desk): Shared,
    Path(name): Path<String>,
    Query(wanted): Wanted,
) -> Result<Response, Response> {
    let opened = ready(&desk, name).await?;
    let priced = priced(&desk, opened, &Asked::read(wanted)).await?;
    let page = pricing::page(&priced.estimate, std::slice::from_ref(&priced.opened.list.document));
    Ok(([(CONTENT_SECURITY_POLICY, REPORT_POLICY)], Html(page)).into_response())
}

/// What the customer says to a line.
#[derive(Deserialize)]
pub struct Said {
    #[serde(flatten)]
    seen: Seen,
    /// Ids of the findings behind the line.
    findings: Vec<String>,
    answer: Answer,
    /// How long it may wait, as a person writes it; empty for what was said or is usual.
    #[serde(default)]
    horizon: String,
}

/// Keeps an answer in the log: one line for each finding, all or none.
pub async fn answer(
    State(desk): Shared,
    Path(name): Path<String>,
    Json(said): Json<Said>,
) -> Result<Response, Response> {
    let opened = opened(&desk, name).await?;
    if let Some(past) = said.seen.is_past(&opened) {
        return Ok(past);
    }
    let interpreter = desk.interpreter();
    match lines(&said, &opened, interpreter.lexicon()) {
        Err(why) => Ok(said.seen.refused(&why)),
        Ok(lines) => {
            let worded: Vec<String> = lines.iter().map(words::answer).collect();
            let told = Told::saved(worded.join("; "));
            said.seen.save(&desk, &opened, lines, told).await
        }
    }
}

/// The lines that an answer amounts to, or why it amounts to none.
fn lines(said: &Said, opened: &Opened, lexicon: &crate::lexicon::Lexicon) -> Result<Vec<AnswerLine>, String> {
    let horizon = match said.horizon.trim() {
        "" => None,
        typed => {
            let read = Horizon::parse(typed).filter(|_| said.answer != Answer::Approve);
            Some(read.ok_or_else(|| format!("{typed}: {}", Horizon::SPELLING))?)
        }
    };
    if said.findings.is_empty() {
        return Err("an answer is on a line of the estimate; choose one".into());
    }
    let when = Timestamp::now();
    let document = &opened.list.document;
    let line = |id: &String| {
        let (finding, _) = opened.list.find(id).ok_or_else(|| format!("no finding has the id {id} any more"))?;
        Ok(AnswerLine::new(when, said.answer, horizon, finding, document, lexicon))
    };
    let mut ids: Vec<&String> = said.findings.iter().collect();
    ids.sort_unstable();
    ids.dedup();
    ids.into_iter().map(line).collect()
}
