//! Owns the edge to files: which inputs the user's paths stand for, and reading their bytes.

use std::ffi::OsStr;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use walkdir::{DirEntry, WalkDir};

use super::Problem;

/// Files that are no dictation, skipped inside folders. The log of decisions is none either.
const SKIPPED: [&str; 71] = [
    "3gp", "7z", "aac", "aif", "aiff", "amr", "apk", "arw", "avi", "bak", "bin", "bmp", "bz2", "caf", "class", "cr2",
    "db", "dll", "dng", "doc", "docx", "exe", "flac", "gif", "gz", "heic", "heif", "ico", "iso", "jar", "jpeg", "jpg",
    "m4a", "m4v", "mid", "mkv", "mov", "mp3", "mp4", "mpeg", "mpg", "nef", "o", "odp", "ods", "odt", "ogg", "ogv",
    "opus", "pdf", "png", "ppt", "pptx", "rar", "rtf", "so", "sqlite", "svg", "tar", "tif", "tiff", "toml", "torn",
    "wav", "webm", "webp", "wma", "xls", "xlsx", "xz", "zip",
];

/// One input that may hold a dictation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// The path as the user knows it; `-` is standard input.
    pub path: String,
    /// Where it lies below the folder that was named; the name of a file that was named itself.
    pub below: PathBuf,
    origin: Origin,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Origin {
    StandardInput,
    File(PathBuf),
}

impl Source {
    fn file(path: &Path, above: Option<&Path>) -> Self {
        let below = above.and_then(|folder| path.strip_prefix(folder).ok()).map(Path::to_owned);
        let below = below.unwrap_or_else(|| path.file_name().map(PathBuf::from).unwrap_or_default());
        Self { path: path.display().to_string(), below, origin: Origin::File(path.to_owned()) }
    }

    /// Reads all bytes.
    ///
    /// # Errors
    /// A [`Problem`] when the file or standard input can't be read.
    pub fn load(&self) -> Result<Vec<u8>, Problem> {
        let read = match &self.origin {
            Origin::File(path) => fs::read(path),
            Origin::StandardInput => {
                let mut bytes = Vec::new();
                io::stdin().lock().read_to_end(&mut bytes).map(|_| bytes)
            }
        };
        read.map_err(|error| unreadable(&self.path, &error))
    }
}

/// The inputs that paths stand for: `-` for standard input, files as named, folders with all that is
/// in them in the order of names. What can't be found is a problem; the others go on.
pub fn gather(paths: &[String]) -> (Vec<Source>, Vec<Problem>) {
    let (mut sources, mut problems) = (Vec::new(), Vec::new());
    for path in paths {
        if path == "-" {
            let below = PathBuf::from("standard-input");
            let stdin = Source { path: path.clone(), below, origin: Origin::StandardInput };
            if sources.contains(&stdin) {
                let what = "standard input is named twice";
                problems.push(Problem::whole(path, what, "it is read once"));
            } else {
                sources.push(stdin);
            }
            continue;
        }
        match fs::metadata(path) {
            Err(error) => problems.push(unreadable(path, &error)),
            Ok(found) if found.is_dir() => walk(path, &mut sources, &mut problems),
            Ok(_) => sources.push(Source::file(Path::new(path), None)),
        }
    }
    (sources, problems)
}

fn walk(folder: &str, sources: &mut Vec<Source>, problems: &mut Vec<Problem>) {
    let before = (sources.len(), problems.len());
    // Links are followed, since folders of links are common; loops come out as errors.
    let walker = WalkDir::new(folder).follow_links(true).sort_by_file_name();
    for entry in walker.into_iter().filter_entry(|entry| entry.depth() == 0 || !is_hidden(entry)) {
        match entry {
            Ok(entry) if entry.file_type().is_file() && !is_skipped(entry.path()) => {
                sources.push(Source::file(entry.path(), Some(Path::new(folder))));
            }
            Ok(_) => {}
            Err(error) => {
                let place = error.path().map_or_else(|| folder.to_owned(), |p| p.display().to_string());
                problems.push(match error.io_error() {
                    Some(io) => unreadable(&place, io),
                    None => Problem::whole(&place, "a link that leads back to a folder above it", "skipped"),
                });
            }
        }
    }
    if before == (sources.len(), problems.len()) {
        let advice = "name a folder with text, caption or recogniser files, or the files themselves";
        problems.push(Problem::whole(folder, "no file in this folder that may hold a dictation", advice));
    }
}

/// Extensions of transcripts: captions and the output of recognisers, which nobody types.
pub const TRANSCRIPTS: [&str; 4] = ["vtt", "srt", "ctm", "json"];

/// Whether a file may hold a dictation, by its name.
pub fn may_hold_dictation(path: &Path) -> bool {
    !is_skipped(path)
}

fn is_hidden(entry: &DirEntry) -> bool {
    entry.file_name().as_encoded_bytes().starts_with(b".")
}

fn is_skipped(path: &Path) -> bool {
    let extension = path.extension().and_then(OsStr::to_str).map(str::to_ascii_lowercase);
    let is_log = path.file_stem().is_some_and(|stem| stem == "decisions");
    is_log || extension.is_some_and(|extension| SKIPPED.contains(&extension.as_str()))
}

fn unreadable(path: &str, error: &io::Error) -> Problem {
    match error.kind() {
        io::ErrorKind::NotFound => Problem::whole(path, "no such file or folder", "check the name and where it is"),
        io::ErrorKind::PermissionDenied => {
            Problem::whole(path, "it may not be read", "ask for the right to read it, or copy it")
        }
        io::ErrorKind::IsADirectory => Problem::whole(path, "a folder where a file was", "run it again"),
        _ => Problem::whole(path, format!("can't be read: {error}"), "check the file and try again"),
    }
}
