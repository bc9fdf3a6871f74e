//! Owns the files of an inspection that a browser shows or plays. Only what the inspection lists is ever opened.

use axum::body::Body;
use axum::extract::Request;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use tower::ServiceExt;
use tower_http::services::ServeFile;

use crate::review::Inspection;

/// A recording or photo, whole or the range of bytes asked for.
pub async fn serve(inspection: &Inspection, name: &str, request: Request) -> Response {
    let Some(path) = inspection.medium(name) else {
        return (StatusCode::NOT_FOUND, "No such recording or photo in this inspection.\n").into_response();
    };
    match ServeFile::new(path).oneshot(request).await {
        Ok(response) => response.map(Body::new),
        Err(never) => match never {},
    }
}
