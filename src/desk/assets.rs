//! Owns the style and script of the pages, as built into the binary.

use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};

use crate::pricing;
use crate::report::DRAWING_STYLE;

const STYLE: &str = include_str!("assets/desk.css");
/// What the page of an estimate adds to the style of the estimate itself.
const ESTIMATE: &str = include_str!("assets/estimate.css");
/// A vehicle from above, with one spot on it.
const ICON: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect x="8" y="2" width="16" height="28" rx="5" fill="#fdfcf9" stroke="#16161a" stroke-width="2.5"/><path d="M11 10h10" stroke="#16161a" stroke-width="2"/><rect x="18" y="19" width="8" height="8" fill="#8c1010"/></svg>"##;
const SCRIPTS: [(&str, &str); 8] = [
    ("begin.js", include_str!("assets/begin.js")),
    ("capture.js", include_str!("assets/capture.js")),
    ("common.js", include_str!("assets/common.js")),
    ("estimate.js", include_str!("assets/estimate.js")),
    ("list.js", include_str!("assets/list.js")),
    ("review.js", include_str!("assets/review.js")),
    ("dialogs.js", include_str!("assets/dialogs.js")),
    ("words.js", include_str!("assets/words.js")),
];

/// A file of that name.
pub fn serve(name: &str) -> Response {
    if name == "desk.css" {
        return ([(CONTENT_TYPE, "text/css; charset=utf-8")], format!("{STYLE}{DRAWING_STYLE}")).into_response();
    }
    if name == "estimate.css" {
        return ([(CONTENT_TYPE, "text/css; charset=utf-8")], format!("{}{ESTIMATE}", pricing::STYLE)).into_response();
    }
    if name == "icon.svg" {
        return ([(CONTENT_TYPE, "image/svg+xml")], ICON).into_response();
    }
    match SCRIPTS.iter().find(|s| s.0 == name) {
        Some((_, text)) => ([(CONTENT_TYPE, "text/javascript; charset=utf-8")], *text).into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}
