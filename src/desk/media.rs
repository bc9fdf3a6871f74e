//! Owns recordings and photos: serving those of an inspection, which recording a dictation is from, when in it a photo was taken, and
//! photos as the report holds them. Only what the inspection lists is ever opened.

use std::path::{Path, PathBuf};

use axum::body::Body;
use axum::extract::Request;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use jiff::civil::DateTime;
use tower::ServiceExt;
use tower_http::services::ServeFile;

use crate::report::{self, Photo};
use crate::review::{Inspection, begun_at, moment, taken_at};

use super::state::Opened;

/// Photos up to this many bytes go into the report.
const PHOTO: u64 = 6 << 20;
/// So many photos go into the report.
const PHOTOS: usize = 24;

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

/// Whether the dictation that begins at this line carries times.
pub fn is_timed(opened: &Opened, first: usize) -> bool {
    first.checked_sub(1).and_then(|n| opened.list.document.utterances.get(n)).is_some_and(|u| u.start_ms.is_some())
}

/// The recording of each dictation that carries times: the one of its name; the only one there is belongs to the only such
/// dictation, whatever their names. Playing another would mislead.
pub fn recordings(opened: &Opened) -> Vec<Option<&String>> {
    fn stem(file: &str) -> Option<&std::ffi::OsStr> {
        Path::new(file).file_stem()
    }
    let sources = &opened.extraction.sources;
    let timed: Vec<bool> = sources.iter().map(|s| is_timed(opened, s.1)).collect();
    let only = match opened.inspection.recordings.as_slice() {
        [only] if timed.iter().filter(|t| **t).count() == 1 => Some(only),
        _ => None,
    };
    let of = |source: &str| opened.inspection.recordings.iter().find(|r| stem(r) == stem(source)).or(only);
    sources.iter().zip(timed).map(|(s, timed)| timed.then(|| of(&s.0)).flatten()).collect()
}

/// A photo, and when it was taken as far as that is known.
#[derive(Debug, Clone)]
pub struct Shot<'o> {
    /// Its name in the inspection.
    pub name: &'o String,
    /// By the camera's clock.
    pub taken: Option<DateTime>,
    /// The dictation, by number, and the milliseconds from its start: of several, the one that had begun last.
    pub moment: Option<(usize, u64)>,
}

/// All photos, in the order they were taken.
pub fn shots<'o>(opened: &'o Opened) -> Vec<Shot<'o>> {
    let recordings = recordings(opened);
    let sources = opened.extraction.sources.iter();
    let timed = sources.zip(&recordings).map(|(s, r)| is_timed(opened, s.1).then_some((s, r)));
    // a dictation was begun when its recording was; where that does not tell, its own name may
    let begun: Vec<Option<DateTime>> =
        timed.map(|t| t.and_then(|(s, r)| r.and_then(|r| begun_at(r)).or_else(|| begun_at(&s.0)))).collect();
    let shot = |name: &'o String| {
        let taken = opened.inspection.medium(name).and_then(|path| taken_at(&path));
        let at = |(k, b): (usize, &Option<DateTime>)| Some((k, moment(taken?, (*b)?)?));
        Shot { name, taken, moment: begun.iter().enumerate().filter_map(at).min_by_key(|m| m.1) }
    };
    let mut out: Vec<Shot> = opened.inspection.photos.iter().map(shot).collect();
    out.sort_by(|a, b| (a.moment, a.taken, a.name).cmp(&(b.moment, b.taken, b.name)));
    out
}

/// The photos that go into the report, in the order of their names.
fn reported(inspection: &Inspection) -> Vec<(&String, PathBuf)> {
    let found = inspection.photos.iter().filter_map(|name| Some((name, inspection.medium(name)?)));
    let small = found.filter(|(_, path)| std::fs::metadata(path).is_ok_and(|m| m.is_file() && m.len() <= PHOTO));
    small.take(PHOTOS).collect()
}

/// How many photos the report leaves out, and why, where there are any.
pub fn left_out(inspection: &Inspection) -> Option<String> {
    let n = inspection.photos.len() - reported(inspection).len();
    let photos = report::count(n, "photo is", "photos are");
    (n > 0).then(|| format!("{photos} left out of the report: it takes {PHOTOS}, each of at most {} MiB.", PHOTO >> 20))
}

/// Photos as the report holds them, in the order of their names.
pub fn photos(opened: &Opened) -> Vec<Photo> {
    let shots = shots(opened);
    let photo = |(name, path): (&String, PathBuf)| {
        let bytes = std::fs::read(path).ok()?;
        let kind = match name.rsplit('.').next()?.to_ascii_lowercase().as_str() {
            "png" => "png",
            "webp" => "webp",
            _ => "jpeg",
        };
        let mut photo = Photo::new(&format!("data:image/{kind};base64,{}", STANDARD.encode(bytes)), name).ok()?;
        photo.at_ms = shots.iter().find(|s| s.name == name)?.moment.map(|m| m.1);
        Some(photo)
    };
    reported(&opened.inspection).into_iter().filter_map(photo).collect()
}
