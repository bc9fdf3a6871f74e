//! Owns the addresses: which page, file or change each stands for.

use std::sync::Arc;
use std::sync::atomic::Ordering;

use axum::extract::{DefaultBodyLimit, Path, Query, Request, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Json, Router, middleware};
use jiff::Timestamp;
use serde::Deserialize;

use crate::report;
use crate::review::{self, Edit, Line};

use super::change::{Seen, Told};
use super::estimate::{answer, estimate, printed};
use super::page::{self, Row};
use super::state::{Desk, Opened};
use super::teach::{Addition, teachable};
use super::{assets, capture, guard, media, words};

/// Longer requests are refused.
const LONGEST: usize = 64 << 10;
/// So many completions are offered.
const OFFERED: usize = 12;
/// Reports carry their style and pictures in themselves, and nothing runs in them.
pub const REPORT_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";

pub type Shared = State<Arc<Desk>>;

/// All addresses, behind the guard.
pub fn router(desk: Arc<Desk>) -> Router {
    Router::new()
        .route("/", get(inspections))
        .route("/changes", get(changes))
        .route("/assets/{name}", get(|Path(name): Path<String>| async move { assets::serve(&name) }))
        .route("/parts", get(parts))
        .route("/inspection/{name}", get(inspection))
        .route("/inspection/{name}/changes", get(inspection_changes))
        .route("/inspection/{name}/file/{*file}", get(file))
        .route("/capture", get(capture::choose))
        .route("/pair", get(already_in))
        .route("/let-in", get(let_in))
        .route("/inspection/{name}/capture", get(capture::record))
        .route("/inspection/{name}/piece", post(capture::piece).layer(DefaultBodyLimit::max(capture::LONGEST_PIECE)))
        .route("/inspection/{name}/end", post(capture::end))
        .route("/inspection/{name}/note", post(capture::note))
        .route("/inspection/{name}/photo", post(capture::photo).layer(DefaultBodyLimit::max(capture::LONGEST_PIECE)))
        .route("/inspection/{name}/decide", post(decide))
        .route("/inspection/{name}/hand-over", get(hand_over))
        .route("/inspection/{name}/report.html", get(customer_report))
        .route("/inspection/{name}/work-list.html", get(work_list))
        .route("/inspection/{name}/findings.csv", get(csv))
        .route("/inspection/{name}/findings.json", get(json))
        .route("/inspection/{name}/estimate", get(estimate))
        .route("/inspection/{name}/estimate.html", get(printed))
        .route("/inspection/{name}/answer", post(answer))
        .route("/teach", post(teach))
        .fallback(|State(desk): Shared| async move { missing(&desk) })
        .layer(DefaultBodyLimit::max(LONGEST))
        .layer(middleware::from_fn_with_state(Arc::clone(&desk), guard::check))
        .with_state(desk)
}

/// Reading files and dictations off the threads that answer others.
pub async fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Response> {
    tokio::task::spawn_blocking(work).await.map_err(|_| {
        (StatusCode::INTERNAL_SERVER_ERROR, "Something went wrong here; the log is untouched.\n").into_response()
    })
}

fn missing(desk: &Desk) -> Response {
    let page =
        page::told(desk.guard.token(), "Not here", "There is no such page, or no such inspection any more.", "/");
    (StatusCode::NOT_FOUND, Html(page)).into_response()
}

fn unreadable(desk: &Desk, why: &str) -> Response {
    let page = page::told(desk.guard.token(), "It can't be read", why, "/");
    (StatusCode::INTERNAL_SERVER_ERROR, Html(page)).into_response()
}

/// The inspection of this name with its list; else the page that says why not.
pub async fn opened(desk: &Arc<Desk>, name: String) -> Result<Opened, Response> {
    let here = Arc::clone(desk);
    let found = aside(move || here.inspection(&name).map(|i| here.open(i))).await?;
    match found {
        None => Err(missing(desk)),
        Some(Err(error)) => Err(unreadable(desk, &error.to_string())),
        Some(Ok(opened)) => Ok(opened),
    }
}

async fn inspections(State(desk): Shared) -> Response {
    let here = Arc::clone(&desk);
    let read = aside(move || {
        let listing = here.listing()?;
        let row = |inspection: review::Inspection| {
            // what is known of the dictation makes the rest quick; the watcher reads what is new
            let summary = match here.known(&inspection) {
                Some(known) => Ok(Some(known)),
                None => here.summary_if_read(&inspection).transpose().map_err(|e| e.to_string()),
            };
            Row { inspection, summary }
        };
        Ok::<_, std::io::Error>((listing.inspections.into_iter().map(row).collect::<Vec<_>>(), listing.problems))
    });
    match read.await {
        Ok(Ok((rows, problems))) => {
            let version = desk.version.load(Ordering::Relaxed);
            Html(page::list(&desk.guard, version, &rows, &problems)).into_response()
        }
        Ok(Err(error)) => unreadable(&desk, &format!("The folder of inspections: {error}")),
        Err(response) => response,
    }
}

/// A new code for a phone.
async fn let_in(State(desk): Shared) -> Response {
    let guard = &desk.guard;
    match guard.pairing.code() {
        Ok(code) => Html(page::code(guard.token(), &guard.pair_address(), &code, guard.is_secure())).into_response(),
        Err(e) => unreadable(&desk, &e.to_string()),
    }
}

/// Who is let in already need not be asked.
async fn already_in() -> Redirect {
    Redirect::to("/capture")
}

async fn changes(State(desk): Shared) -> String {
    desk.version.load(Ordering::Relaxed).to_string()
}

async fn inspection(State(desk): Shared, Path(name): Path<String>) -> Result<Html<String>, Response> {
    let opened = opened(&desk, name).await?;
    let interpreter = desk.interpreter();
    Ok(Html(page::review(&desk, &opened, interpreter.lexicon())))
}

async fn inspection_changes(State(desk): Shared, Path(name): Path<String>) -> Response {
    let here = Arc::clone(&desk);
    match aside(move || here.inspection(&name)).await {
        Ok(Some(i)) => desk.state(&i).into_response(),
        Ok(None) => missing(&desk),
        Err(response) => response,
    }
}

async fn file(State(desk): Shared, Path((name, file)): Path<(String, String)>, request: Request) -> Response {
    match desk.inspection(&name) {
        Some(inspection) => media::serve(&inspection, &file, request).await,
        None => missing(&desk),
    }
}

/// A change that is asked for.
#[derive(Deserialize)]
struct Asked {
    #[serde(flatten)]
    seen: Seen,
    edit: Edit,
}

async fn decide(State(desk): Shared, Path(name): Path<String>, Json(asked): Json<Asked>) -> Result<Response, Response> {
    let opened = opened(&desk, name).await?;
    let seen = &asked.seen;
    if let Some(past) = seen.is_past(&opened) {
        return Ok(past);
    }
    let interpreter = desk.interpreter();
    let decision = match review::decide(&asked.edit, &opened.list, interpreter.lexicon()) {
        Ok(decision) => decision,
        Err(refusal) => return Ok(seen.refused(&refusal.to_string())),
    };
    let teach = desk.lexicon.is_some().then(|| teachable(&decision, &opened.list, interpreter.lexicon())).flatten();
    let mut told = Told::saved(words::decision(&decision));
    told.teach = teach;
    let line = Line { when: Timestamp::now().to_string(), decision };
    seen.save(&desk, &opened, vec![line], told).await
}

async fn hand_over(State(desk): Shared, Path(name): Path<String>) -> Result<Html<String>, Response> {
    let opened = opened(&desk, name).await?;
    Ok(Html(page::hand_over(&desk, &opened)))
}

/// The list, once nothing is open.
pub async fn ready(desk: &Arc<Desk>, name: String) -> Result<Opened, Response> {
    let opened = opened(desk, name).await?;
    match opened.list.open() {
        0 => Ok(opened),
        n => {
            let what = format!("{n} still to be looked at: decide on each, or pass over it knowingly.");
            let back = page::at(&opened.inspection.name);
            Err((StatusCode::CONFLICT, Html(page::told(desk.guard.token(), "Not yet", &what, &back))).into_response())
        }
    }
}

async fn customer_report(State(desk): Shared, Path(name): Path<String>) -> Result<Response, Response> {
    let opened = ready(&desk, name).await?;
    let interpreter = desk.interpreter();
    let page = aside(move || {
        let mut handover = opened.list.handover(interpreter.lexicon());
        handover.when = opened.inspection.day.map(|d| d.to_string());
        handover.photos = media::photos(&opened);
        report::customer_report(&handover)
    });
    Ok(([(CONTENT_SECURITY_POLICY, REPORT_POLICY)], Html(page.await?)).into_response())
}

async fn work_list(State(desk): Shared, Path(name): Path<String>) -> Result<Response, Response> {
    let opened = ready(&desk, name).await?;
    let interpreter = desk.interpreter();
    let mut handover = opened.list.handover(interpreter.lexicon());
    handover.when = opened.inspection.day.map(|d| d.to_string());
    let page = report::work_list_html(&handover);
    Ok(([(CONTENT_SECURITY_POLICY, REPORT_POLICY)], Html(page)).into_response())
}

async fn csv(State(desk): Shared, Path(name): Path<String>) -> Result<Response, Response> {
    let opened = ready(&desk, name).await?;
    let text = report::csv_header().and_then(|h| Ok(h + &report::csv(&opened.list.document)?));
    let text = text.map_err(|e| unreadable(&desk, &e.to_string()))?;
    Ok((
        [(CONTENT_TYPE, "text/csv; charset=utf-8"), (CONTENT_DISPOSITION, "attachment; filename=\"findings.csv\"")],
        text,
    )
        .into_response())
}

async fn json(State(desk): Shared, Path(name): Path<String>) -> Result<Response, Response> {
    let opened = ready(&desk, name).await?;
    Ok(([(CONTENT_DISPOSITION, "attachment; filename=\"findings.json\"")], Json(opened.list)).into_response())
}

#[derive(Deserialize)]
struct Wanted {
    q: String,
}

/// Names of parts for what was typed, the best first.
async fn parts(State(desk): Shared, Query(wanted): Query<Wanted>) -> Json<Vec<String>> {
    let typed = wanted.q.trim().to_lowercase();
    if typed.is_empty() {
        return Json(Vec::new());
    }
    let interpreter = desk.interpreter();
    // how well a name fits: it begins so, it holds it, a nickname begins so
    let rank = |p: &crate::lexicon::Part| {
        let name = p.name.to_lowercase();
        let nickname = || p.also.iter().any(|a| a.to_lowercase().starts_with(&typed));
        match () {
            () if name.starts_with(&typed) => Some(0),
            () if name.contains(&typed) => Some(1),
            () if nickname() => Some(2),
            () => None,
        }
    };
    let parts = interpreter.lexicon().parts.iter();
    let mut fitting: Vec<(u8, usize, &String)> =
        parts.filter_map(|p| Some((rank(p)?, p.name.len(), &p.name))).collect();
    fitting.sort_unstable();
    let mut out: Vec<String> = fitting.into_iter().map(|f| f.2.clone()).collect();
    let mut seen = std::collections::HashSet::new();
    out.retain(|n| seen.insert(n.clone()));
    out.truncate(OFFERED);
    Json(out)
}

#[derive(Deserialize)]
struct Lesson {
    words: String,
    /// Id of the part.
    part: String,
    /// Whether it is to be written, not only shown.
    write: bool,
}

async fn teach(State(desk): Shared, Json(lesson): Json<Lesson>) -> Response {
    let Some(folder) = desk.lexicon.clone() else {
        return (StatusCode::CONFLICT, "The desk was opened without --lexicon DIR; there is nowhere to write to.")
            .into_response();
    };
    let done = aside(move || {
        let interpreter = desk.interpreter();
        let lexicon = interpreter.lexicon();
        let part = lexicon.part_by_id(&lesson.part).and_then(|at| lexicon.parts.get(at));
        let part = part.ok_or_else(|| format!("no part has the id {}", lesson.part))?;
        let addition = Addition::new(&folder, part, &lesson.words)?;
        if lesson.write {
            addition.write(&desk, &folder)?;
            desk.version.fetch_add(1, Ordering::Relaxed);
        }
        addition.preview(&desk, &folder)
    });
    match done.await {
        Ok(Ok(preview)) => Json(preview).into_response(),
        Ok(Err(why)) => (StatusCode::UNPROCESSABLE_ENTITY, why).into_response(),
        Err(response) => response,
    }
}
