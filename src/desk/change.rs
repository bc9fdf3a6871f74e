//! Owns how a change is saved: only on what its page showed, and told in words.

use std::sync::atomic::Ordering;

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};

use crate::review::{Contents, Log, LogError};

use super::routes::aside;
use super::state::{Desk, Opened};
use super::words;

/// What the page showed that a change comes from: nobody decides on what they have not seen.
#[derive(Deserialize)]
pub struct Seen {
    /// Lines of the log.
    revision: usize,
    reading: String,
}

impl Seen {
    /// The refusal, where the inspection is no longer as it was shown.
    pub fn is_past(&self, opened: &Opened) -> Option<Response> {
        if opened.list.revision != self.revision {
            return Some(elsewhere(&opened.contents, self.revision));
        }
        let said = "Not saved: the dictation or the lexicon has changed. The list is shown as it is now; look at it, then decide.";
        (opened.reading != self.reading).then(|| self.told(StatusCode::CONFLICT, said))
    }

    /// Why nothing was saved.
    pub fn refused(&self, why: &str) -> Response {
        self.told(StatusCode::UNPROCESSABLE_ENTITY, why)
    }

    fn told(&self, status: StatusCode, said: &str) -> Response {
        let told = Told { revision: self.revision, said: said.into(), ..Told::default() };
        (status, Json(told)).into_response()
    }

    /// Appends lines to the log and tells what became of it.
    pub async fn save<L>(&self, desk: &Desk, opened: &Opened, lines: Vec<L>, told: Told) -> Result<Response, Response>
    where
        L: Serialize + Send + 'static,
    {
        let (log, revision) = (Log::of(&opened.inspection.folder), self.revision);
        Ok(match aside(move || log.append_all(revision, &lines)).await? {
            Ok(contents) => {
                desk.version.fetch_add(1, Ordering::Relaxed);
                Json(Told { revision: contents.revision(), ..told }).into_response()
            }
            Err(LogError::Changed { seen, now }) => elsewhere(&now, seen),
            Err(error) => self.told(StatusCode::INTERNAL_SERVER_ERROR, &error.to_string()),
        })
    }
}

/// What became of it.
#[derive(Serialize, Default)]
pub struct Told {
    revision: usize,
    said: String,
    /// What others decided in the meantime.
    changed: Vec<String>,
    /// Words that the lexicon could be taught, and the part they mean.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub teach: Option<Teachable>,
}

impl Told {
    /// What is said once it is saved.
    pub fn saved(said: String) -> Told {
        Told { said, ..Told::default() }
    }
}

/// Words and the id of the part they mean.
#[derive(Serialize)]
pub struct Teachable {
    pub words: String,
    pub part: String,
}

/// Somebody else decided first: nothing was saved, and here is what they did.
fn elsewhere(contents: &Contents, seen: usize) -> Response {
    let told = Told {
        revision: contents.revision(),
        said: "Not saved: the list was changed elsewhere. It is shown as it is now; look at it, then decide.".into(),
        changed: words::since(contents, seen),
        teach: None,
    };
    (StatusCode::CONFLICT, Json(told)).into_response()
}
