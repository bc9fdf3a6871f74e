//! Owns the estimate of an inspection at the desk, and the customer's answers to its lines.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_SECURITY_POLICY;
use axum::response::{Html, IntoResponse, Response};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use serde::Deserialize;

use crate::history::{self, AnswerLine, Horizon};
use crate::pricing::{self, Answer, Estimate, Wishes};

use super::change::{Seen, Told};
use super::page;
use super::routes::{REPORT_POLICY, Shared, aside, opened, ready};
use super::state::{Desk, Opened};
use super::words;

/// The inspection with the estimate of its list as it stands; else the page that says why there is none.
async fn priced(desk: &Arc<Desk>, opened: Opened) -> Result<(Opened, Estimate), Response> {
    let here = Arc::clone(desk);
    let back = page::at(&opened.inspection.name);
    let done = aside(move || {
        let book = here.book.as_ref()?;
        let documents = std::slice::from_ref(&opened.list.document);
        let visit =
            history::visit(documents, &opened.contents.entries, opened.list.open(), |_| true, &TimeZone::system());
        let estimate = pricing::estimate(book, &visit, &Wishes::default());
        Some(estimate.map(|e| (opened, e)))
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
pub async fn estimate(State(desk): Shared, Path(name): Path<String>) -> Result<Html<String>, Response> {
    let opened = opened(&desk, name).await?;
    let (opened, estimate) = priced(&desk, opened).await?;
    Ok(Html(page::estimate(desk.guard.token(), &opened, &estimate)))
}

/// The estimate to print, once nothing is open.
pub async fn printed(State(desk): Shared, Path(name): Path<String>) -> Result<Response, Response> {
    let opened = ready(&desk, name).await?;
    let (opened, estimate) = priced(&desk, opened).await?;
    let page = pricing::page(&estimate, std::slice::from_ref(&opened.list.document));
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
