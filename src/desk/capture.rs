//! Owns what the capture page sends: pieces of a recording, notes and photos, each on the disk before it is answered, and none kept
//! twice however often it is sent.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path as Address, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use serde::{Deserialize, Serialize};

use super::page;
use super::routes::{Shared, aside};
use super::state::Desk;

/// Extension of what browsers record.
const RECORDED_AS: &str = "webm";
/// Longer pieces are refused.
pub const LONGEST_PIECE: usize = 24 << 20;
/// A recording does not grow beyond this: a day's talk has less than a tenth of it.
const LONGEST_RECORDING: u64 = 2 << 30;
/// A note has at most so many bytes.
const LONGEST_NOTE: usize = 4 << 10;
/// A name has at most so many bytes.
const LONGEST_NAME: usize = 120;

/// Where a piece of a recording belongs.
#[derive(Deserialize)]
pub struct Piece {
    /// When the recording began, in the local time of whoever records: `20260302_101500`.
    recording: String,
    /// Bytes before it.
    at: u64,
}

/// A recording that is whole.
#[derive(Deserialize)]
pub struct Whole {
    /// As [`Piece::recording`].
    recording: String,
}

/// A note or a photo.
#[derive(Deserialize)]
pub struct Beside {
    /// When it was made, as [`Piece::recording`]; of a note, the recording that runs.
    #[serde(default)]
    stamp: String,
    /// Seconds into that recording.
    #[serde(default)]
    seconds: Option<u32>,
}

/// What is safe now.
#[derive(Serialize)]
struct Kept {
    /// Bytes of the recording that are on the disk.
    kept: u64,
}

/// The page to begin or go on with an inspection.
pub async fn choose(State(desk): Shared) -> Response {
    let here = Arc::clone(&desk);
    let names = aside(move || here.listing().map(|l| l.inspections.into_iter().map(|i| i.name).collect::<Vec<_>>()));
    match names.await {
        Ok(Ok(names)) => Html(page::begin(desk.guard.token(), &names)).into_response(),
        Ok(Err(e)) => (StatusCode::INTERNAL_SERVER_ERROR, format!("The folder can't be read: {e}\n")).into_response(),
        Err(response) => response,
    }
}

/// The page that records.
pub async fn record(State(desk): Shared, Address(name): Address<String>) -> Response {
    match desk.place(&name) {
        Some(_) => Html(page::capture(desk.guard.token(), &name)).into_response(),
        None => (StatusCode::NOT_FOUND, "That can't be the name of an inspection.\n").into_response(),
    }
}

/// A piece of a recording.
pub async fn piece(
    State(desk): Shared,
    Address(name): Address<String>,
    Query(piece): Query<Piece>,
    bytes: Bytes,
) -> Response {
    keep(desk, name, move |folder| {
        let path = folder.join(file(&piece.recording)?);
        append_at(&path, piece.at, &bytes)
    })
    .await
}

/// All of a recording has come.
pub async fn end(State(desk): Shared, Address(name): Address<String>, Query(whole): Query<Whole>) -> Response {
    let here = Arc::clone(&desk);
    keep(desk, name, move |folder| {
        let path = folder.join(file(&whole.recording)?);
        let kept = fs::metadata(&path)?.len();
        here.recordings.end(path);
        Ok(kept)
    })
    .await
}

/// A note: with the time of the recording that runs, if one does.
pub async fn note(
    State(desk): Shared,
    Address(name): Address<String>,
    Query(beside): Query<Beside>,
    text: String,
) -> Response {
    keep(desk, name, move |folder| {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if text.is_empty() || text.len() > LONGEST_NOTE {
            return Err(Refused::Never("A note has words in it, and no more than a page.".into()));
        }
        let (file, line) = match beside.seconds {
            Some(s) => {
                let (h, m, s) = (s / 3600, s / 60 % 60, s % 60);
                (format!("{} notes.txt", stamp(&beside.stamp)?), format!("[{h}:{m:02}:{s:02}] {text}"))
            }
            None => ("notes.txt".to_string(), text),
        };
        add_line(&folder.join(file), &line)
    })
    .await
}

/// A photo.
pub async fn photo(
    State(desk): Shared,
    Address(name): Address<String>,
    Query(beside): Query<Beside>,
    bytes: Bytes,
) -> Response {
    keep(desk, name, move |folder| {
        let extension = match bytes.get(..12) {
            Some([0xff, 0xd8, 0xff, ..]) => "jpg",
            Some([0x89, b'P', b'N', b'G', ..]) => "png",
            Some([b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P']) => "webp",
            _ => return Err(Refused::Never("A photo is a JPEG, PNG or WebP file.".into())),
        };
        let photos = folder.join("photos");
        fs::create_dir_all(&photos)?;
        let stamp = stamp(&beside.stamp)?;
        let numbered = |n: usize| match n {
            0 => photos.join(format!("{stamp}.{extension}")),
            n => photos.join(format!("{stamp}_{n}.{extension}")),
        };
        for path in (0..100).map(numbered) {
            match fs::read(&path) {
                // it came before, and the answer was lost
                Ok(there) if there == bytes => return Ok(there.len() as u64),
                Ok(_) => {}
                Err(_) => return write_whole(&path, &bytes),
            }
        }
        Err(Refused::Never("Too many photos in one second.".into()))
    })
    .await
}

/// Why something was not kept.
enum Refused {
    /// It will not be however often it is sent.
    Never(String),
    /// So much of the recording is here: what comes next begins there.
    Gap(u64),
    /// It may be, when it is sent again.
    Now(io::Error),
}

impl From<io::Error> for Refused {
    fn from(e: io::Error) -> Refused {
        Refused::Now(e)
    }
}

async fn keep(
    desk: Arc<Desk>,
    name: String,
    write: impl FnOnce(&Path) -> Result<u64, Refused> + Send + 'static,
) -> Response {
    let done = aside(move || {
        let folder =
            desk.place(&name).ok_or_else(|| Refused::Never("That can't be the name of an inspection.".into()))?;
        let guard = desk.capturing();
        match fs::create_dir(&folder) {
            Err(e) if e.kind() != io::ErrorKind::AlreadyExists => return Err(e.into()),
            Ok(()) | Err(_) => {}
        }
        // a link would lead out of the folder
        if !fs::symlink_metadata(&folder)?.is_dir() {
            return Err(Refused::Never("That is no folder of an inspection.".into()));
        }
        let kept = write(&folder);
        drop(guard);
        kept
    });
    match done.await {
        Ok(Ok(kept)) => Json(Kept { kept }).into_response(),
        Ok(Err(Refused::Never(why))) => (StatusCode::UNPROCESSABLE_ENTITY, format!("{why}\n")).into_response(),
        Ok(Err(Refused::Gap(kept))) => (StatusCode::CONFLICT, Json(Kept { kept })).into_response(),
        Ok(Err(Refused::Now(e))) => {
            (StatusCode::INTERNAL_SERVER_ERROR, format!("Can't be written: {e}; check the space left.\n"))
                .into_response()
        }
        Err(response) => response,
    }
}

/// What a recording is kept as.
fn file(recording: &str) -> Result<String, Refused> {
    Ok(format!("{}.{RECORDED_AS}", stamp(recording)?))
}

/// Whether a recording was made at the desk, by its name.
pub fn is_made_here(name: &str) -> bool {
    name.rsplit_once('.').is_some_and(|(name, extension)| extension == RECORDED_AS && stamp(name).is_ok())
}

/// `20260302_101500`, and nothing that could be a path.
fn stamp(text: &str) -> Result<&str, Refused> {
    let fits =
        text.len() == 15 && text.bytes().enumerate().all(|(i, b)| if i == 8 { b == b'_' } else { b.is_ascii_digit() });
    fits.then_some(text).ok_or_else(|| Refused::Never("Times are written as 20260302_101500.".into()))
}

/// Appends a piece where it belongs. One that is there already is fine; what would leave a gap, or would change what is there, is not.
fn append_at(path: &Path, at: u64, bytes: &[u8]) -> Result<u64, Refused> {
    let mut file = OpenOptions::new().read(true).append(true).create(true).open(path)?;
    let there = file.metadata()?.len();
    let end = at.saturating_add(bytes.len() as u64);
    if end > LONGEST_RECORDING {
        return Err(Refused::Never("A recording can't be that long; begin another one.".into()));
    }
    if at > there {
        return Err(Refused::Gap(there));
    }
    let known = usize::try_from((there - at).min(bytes.len() as u64)).unwrap_or(bytes.len());
    let mut old = vec![0; known];
    file.seek(SeekFrom::Start(at))?;
    file.read_exact(&mut old)?;
    if old != bytes[..known] {
        return Err(Refused::Never("Another recording that began in the same second is here; begin again.".into()));
    }
    file.write_all(&bytes[known..])?;
    file.sync_all()?;
    if there == 0 {
        sync_folder(path)?;
    }
    Ok(there.max(end))
}

/// Appends a line unless it is there already.
fn add_line(path: &Path, line: &str) -> Result<u64, Refused> {
    let old = match fs::read(path) {
        Ok(old) => old,
        Err(e) if e.kind() == io::ErrorKind::NotFound => Vec::new(),
        Err(e) => return Err(e.into()),
    };
    if old.split(|b| *b == b'\n').any(|l| l == line.as_bytes()) {
        return Ok(old.len() as u64);
    }
    let gap = if old.is_empty() || old.ends_with(b"\n") { "" } else { "\n" };
    let mut file = OpenOptions::new().append(true).create(true).open(path)?;
    file.write_all(format!("{gap}{line}\n").as_bytes())?;
    file.sync_all()?;
    sync_folder(path)?;
    Ok(file.metadata()?.len())
}

/// A file that appears whole or not at all.
fn write_whole(path: &Path, bytes: &[u8]) -> Result<u64, Refused> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let mut temp = tempfile::Builder::new().prefix(".hoistnote-").suffix(".part").tempfile_in(folder)?;
    temp.write_all(bytes)?;
    temp.as_file().sync_all()?;
    temp.persist_noclobber(path).map_err(|e| e.error)?;
    sync_folder(path)?;
    Ok(bytes.len() as u64)
}

/// The name of a new file must be on the disk as well.
fn sync_folder(path: &Path) -> io::Result<()> {
    path.parent().map_or(Ok(()), |folder| File::open(folder)?.sync_all())
}

/// Where an inspection of this name is or would be, within a folder; nothing that could lead elsewhere.
pub fn place(folder: &Path, name: &str) -> Option<PathBuf> {
    let bad = |c: char| c.is_control() || "/\\:*?\"<>|".contains(c);
    let fits = !name.trim().is_empty()
        && name.len() <= LONGEST_NAME
        && !name.starts_with('.')
        && !name.ends_with(['.', ' '])
        && !name.contains(bad);
    fits.then(|| folder.join(name))
}
