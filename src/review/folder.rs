//! Owns the edge to the folders of inspections: which files of one are dictations, recordings and photos. Dictations are only
//! ever read.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use jiff::Timestamp;
use jiff::civil::Date;
use walkdir::WalkDir;

use crate::dictation::{self, TRANSCRIPTS, may_hold_dictation};
use crate::interpretation::{Interpreter, Settings};

use super::extraction::Extraction;

/// Extensions of recordings that browsers play.
const RECORDINGS: [&str; 7] = ["wav", "mp3", "m4a", "ogg", "opus", "flac", "webm"];
/// Extensions of photos that browsers show.
const PHOTOS: [&str; 4] = ["jpg", "jpeg", "png", "webp"];
/// Extensions of what is written beside dictations, and is none.
const OTHERS: [&str; 6] = ["ndjson", "torn", "csv", "html", "toml", "ics"];
/// A dictation of more bytes than this is not read: a long day's talk has less than a hundredth of it.
const LARGEST: u64 = 16 << 20;
/// Files of an inspection may lie in folders of its own, this deep.
const DEPTH: usize = 2;

/// The folder of one vehicle visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inspection {
    /// The folder.
    pub folder: PathBuf,
    /// Its name.
    pub name: String,
    /// Dictations and notes, by their path within the folder, in the order of names.
    pub dictations: Vec<String>,
    /// Recordings, likewise.
    pub recordings: Vec<String>,
    /// Recordings that no dictation was written from: what was said in them is in no list.
    pub unheard: Vec<String>,
    /// Photos, likewise.
    pub photos: Vec<String>,
    /// When the visit was: as the name begins, else the day the first dictation was written.
    pub day: Option<Date>,
    /// Changes when a file of it changes.
    pub stamp: Stamp,
}

/// Sizes and times of the files of an inspection, summed up.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct Stamp {
    /// Of the dictations.
    pub dictations: u64,
    /// Of everything.
    pub all: u64,
}

/// The inspections of a folder.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Listing {
    /// In the order of names.
    pub inspections: Vec<Inspection>,
    /// What was passed by, and why.
    pub problems: Vec<String>,
}

impl Listing {
    /// Looks through a folder. Links are not followed, so that nothing outside of it is ever shown.
    ///
    /// # Errors
    /// The folder itself can't be read.
    pub fn of(folder: &Path) -> std::io::Result<Listing> {
        let mut out = Listing::default();
        let mut entries = fs::read_dir(folder)?.collect::<Result<Vec<_>, _>>()?;
        entries.sort_by_key(fs::DirEntry::file_name);
        for entry in entries {
            let name = entry.file_name().to_string_lossy().into_owned();
            let kind = entry.file_type()?;
            if name.starts_with('.') {
                continue;
            }
            if kind.is_file() {
                if is_dictation(&entry.path()) {
                    out.problems.push(format!("{name}: lies beside the inspections; put it into a folder of its own"));
                }
                continue;
            }
            if kind.is_symlink() {
                out.problems.push(format!("{name}: a link, not followed; move the folder itself here"));
                continue;
            }
            match Inspection::open(&entry.path()) {
                Ok(inspection) => out.inspections.push(inspection),
                Err(e) => out.problems.push(format!("{name}: can't be read: {e}; check its rights")),
            }
        }
        Ok(out)
    }
}

impl Inspection {
    /// Looks through the folder of one inspection.
    ///
    /// # Errors
    /// It can't be read.
    pub fn open(folder: &Path) -> std::io::Result<Inspection> {
        // "." has no name of its own
        let name = folder.file_name().map_or_else(|| folder.canonicalize(), |_| Ok(folder.to_path_buf()))?;
        let name = name.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        fs::read_dir(folder)?;
        let mut out = Inspection {
            folder: folder.to_path_buf(),
            name,
            dictations: Vec::new(),
            recordings: Vec::new(),
            unheard: Vec::new(),
            photos: Vec::new(),
            day: None,
            stamp: Stamp::default(),
        };
        let mut oldest: Option<SystemTime> = None;
        let walker = WalkDir::new(folder).max_depth(DEPTH).sort_by_file_name();
        let visible = |e: &walkdir::DirEntry| e.depth() == 0 || !e.file_name().as_encoded_bytes().starts_with(b".");
        for entry in walker.into_iter().filter_entry(visible).flatten().filter(|e| e.file_type().is_file()) {
            let Some(path) = entry.path().strip_prefix(folder).ok().and_then(Path::to_str) else { continue };
            let Ok(found) = entry.metadata() else { continue };
            let changed = found.modified().unwrap_or(UNIX_EPOCH);
            let nanos = changed.duration_since(UNIX_EPOCH).map_or(0, |d| d.as_nanos() as u64);
            let sum = stamp(path, found.len(), nanos);
            out.stamp.all = out.stamp.all.wrapping_add(sum);
            let extension = extension(path);
            if RECORDINGS.contains(&extension.as_str()) {
                out.recordings.push(path.to_string());
            } else if PHOTOS.contains(&extension.as_str()) {
                out.photos.push(path.to_string());
            } else if is_dictation(entry.path()) {
                out.stamp.dictations = out.stamp.dictations.wrapping_add(sum);
                oldest = Some(oldest.map_or(changed, |o| o.min(changed)));
                out.dictations.push(path.to_string());
            }
        }
        out.unheard = unheard(&out.recordings, &out.dictations);
        out.day = out.name.get(..10).and_then(|d| d.parse().ok()).or_else(|| day(oldest?));
        Ok(out)
    }

    /// Reads the dictations and makes the list of them. What can't be read is told and the rest is done.
    pub fn extract(&self, interpreter: &Interpreter, settings: Settings) -> Extraction {
        let mut problems = Vec::new();
        let mut documents = Vec::new();
        for name in &self.dictations {
            match self.read(name) {
                Ok(d) => {
                    problems.extend(d.warnings.iter().map(ToString::to_string));
                    documents.push(interpreter.document(&d, settings));
                }
                Err(problem) => problems.push(problem),
            }
        }
        // a recording without its words is told by whoever shows the list
        if self.dictations.is_empty() && self.unheard.is_empty() {
            problems.push(format!("{}: no dictation or notes in this folder yet", self.name));
        }
        Extraction::join(&self.name, documents, problems)
    }

    /// Where a recording or photo of this inspection is; nothing that is not listed, and nothing behind a link.
    pub fn medium(&self, name: &str) -> Option<PathBuf> {
        let is_listed = self.recordings.iter().chain(&self.photos).any(|f| f == name);
        let path = self.folder.canonicalize().ok()?.join(name);
        // between listing and opening, a folder may have been swapped for a link
        let is_here = is_listed && path.canonicalize().is_ok_and(|p| p == path);
        is_here.then_some(path)
    }

    fn read(&self, name: &str) -> Result<dictation::Dictation, String> {
        let path = self.folder.join(name);
        let fail = |e: std::io::Error| format!("{name}: can't be read: {e}; check the file and try again");
        let size = fs::symlink_metadata(&path).map_err(fail)?.len();
        if size > LARGEST {
            return Err(format!("{name}: {size} bytes are too many for a dictation; keep recordings in audio files"));
        }
        let bytes = fs::read(&path).map_err(fail)?;
        dictation::read(name, &bytes).map_err(|p| p.to_string())
    }
}

/// Recordings without the dictation of their name. Captions of other names may have been written from them: as many pass as there are
/// of these.
fn unheard(recordings: &[String], dictations: &[String]) -> Vec<String> {
    let stem = |file: &str| Path::new(file).with_extension("");
    let has = |files: &[String], file: &str| files.iter().any(|f| stem(f) == stem(file));
    let captions = dictations.iter().filter(|d| TRANSCRIPTS.contains(&extension(d).as_str()));
    let others = captions.filter(|d| !has(recordings, d)).count();
    let alone: Vec<String> = recordings.iter().filter(|r| !has(dictations, r)).cloned().collect();
    if alone.len() <= others { Vec::new() } else { alone }
}

fn is_dictation(path: &Path) -> bool {
    path.to_str().is_some_and(|p| !OTHERS.contains(&extension(p).as_str())) && may_hold_dictation(path)
}

fn extension(path: &str) -> String {
    Path::new(path).extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase).unwrap_or_default()
}

/// FNV-1a over name, size and time.
fn stamp(name: &str, size: u64, nanos: u64) -> u64 {
    let bytes = name.bytes().chain(size.to_le_bytes()).chain(nanos.to_le_bytes());
    bytes.fold(0xcbf2_9ce4_8422_2325, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3))
}

fn day(time: SystemTime) -> Option<Date> {
    let stamp = Timestamp::try_from(time).ok()?;
    Some(stamp.to_zoned_datetime(jiff::tz::TimeZone::system()).date())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recordings_without_their_words() {
        // recordings, dictations, and what nobody wrote down
        let table: [(&[&str], &[&str], &[&str]); 7] = [
            (&["walk.wav"], &["walk.vtt"], &[]),
            (&["walk.wav"], &["sub/walk.vtt"], &[]),
            (&["walk.wav"], &["notes.txt"], &["walk.wav"]),
            (&["20260302_101500.webm"], &["20260302_101500 notes.txt"], &["20260302_101500.webm"]),
            (&["walk.wav", "more.wav"], &["walk.txt"], &["more.wav"]),
            (&["walk.wav", "more.wav"], &["walk.vtt", "sheet.json"], &[]),
            (&["walk.wav", "more.wav"], &["sheet.json"], &["walk.wav", "more.wav"]),
        ];
        for (recordings, dictations, wanted) in table {
            let owned = |files: &[&str]| files.iter().map(ToString::to_string).collect::<Vec<_>>();
            assert_eq!(unheard(&owned(recordings), &owned(dictations)), wanted, "{recordings:?} {dictations:?}");
        }
    }
}
