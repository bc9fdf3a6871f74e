//! Owns `find --out DIR`: one file of results for each dictation, and the record of what is done, so that a run that was broken off
//! goes on where it was.
//!
//! A result is written beside its place, recorded with its digest, and only then takes its name. So a file under its name is whole,
//! and whatever stands in the record and agrees with the file is done; everything else is done again.

use std::collections::HashMap;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use crate::dictation::{self, Problem, Source, digest};
use crate::findings::Document;
use crate::lexicon::folder_files;
use crate::report;

use super::args::Format;
use super::find::{Form, Reader, progress, say_problems};
use super::in_order::in_order;
use super::outcome::{COLUMNS, Failure, Outcome, say};
use super::request::{Inputs, Output, Reading};
use super::sink::{self, Sink};

/// Hidden, so that nobody takes it for a result.
const RECORD: &str = ".hoistnote-done.ndjson";

/// What is to be read, and where the results go.
pub(super) struct Results {
    inputs: Inputs,
    folder: PathBuf,
    /// For each input, the file below the folder.
    files: Vec<PathBuf>,
}

impl Results {
    /// Whether a target is meant as a folder.
    pub(super) fn is_folder(out: &Path) -> bool {
        out.is_dir()
            || out.as_os_str().as_encoded_bytes().last().is_some_and(|b| std::path::is_separator(char::from(*b)))
    }

    /// A folder apart from what is read, and a file of its own for each input.
    pub(super) fn check(inputs: Inputs, paths: &[String], folder: PathBuf, format: Format) -> Result<Results, Failure> {
        let shown = report::shown(&folder.display().to_string());
        let place = place(&folder);
        for path in paths.iter().filter(|p| Path::new(p).is_dir()) {
            let read = place_of(path);
            if place.starts_with(&read) || read.starts_with(&place) {
                return Err(Failure::Usage(format!(
                    "--out {shown}: results would lie among what is read from {}; name a folder apart from it",
                    report::shown(path)
                )));
            }
        }
        let mut taken: HashMap<PathBuf, &Source> = HashMap::new();
        let mut files = Vec::new();
        for source in &inputs.sources {
            let mut file = source.below.clone().into_os_string();
            file.push(format!(".{}", ending(format)));
            let file = PathBuf::from(file);
            if let Some(other) = taken.insert(file.clone(), source) {
                return Err(Failure::Usage(format!(
                    "--out {shown}: {} and {} would both be written to {}; name the folder above both instead",
                    report::shown(&other.path),
                    report::shown(&source.path),
                    report::shown(&file.display().to_string())
                )));
            }
            files.push(file);
        }
        Ok(Results { inputs, folder, files })
    }
}

fn ending(format: Format) -> &'static str {
    match format {
        Format::Table => "txt",
        Format::Json => "json",
        Format::Csv => "csv",
        Format::Markdown => "md",
        Format::Html => "html",
        Format::Work => "work.txt",
    }
}

fn place_of(path: &str) -> PathBuf {
    place(Path::new(path))
}

/// Where a folder is or would be made, links followed.
fn place(folder: &Path) -> PathBuf {
    let full = std::path::absolute(folder).unwrap_or_else(|_| folder.to_path_buf());
    let there = full.ancestors().find_map(|a| Some((a, a.canonicalize().ok()?)));
    match there {
        Some((above, real)) => real.join(full.strip_prefix(above).unwrap_or(Path::new(""))),
        None => full,
    }
}

/// A line of the record: this input, read like this, gave these bytes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Done {
    file: String,
    /// Digest of the input and its name.
    input: String,
    /// Digest of all else that the result depends on.
    with: String,
    /// Digest of the result.
    result: String,
}

/// The record of a folder, held by one run at a time.
struct Record {
    place: PathBuf,
    file: Mutex<File>,
    done: HashMap<String, Done>,
}

impl Record {
    fn open(folder: &Path) -> Result<Record, Failure> {
        let place = folder.join(RECORD);
        let fail = |e: io::Error| Failure::unwritten(&place.display().to_string(), e);
        let mut file = OpenOptions::new().read(true).append(true).create(true).open(&place).map_err(fail)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(Failure::Input(format!(
                    "{}: another run is writing its results there; wait for it, or name another folder",
                    folder.display()
                )));
            }
            Err(TryLockError::Error(e)) => return Err(fail(e)),
        }
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(fail)?;
        if bytes.last().is_some_and(|b| *b != b'\n') {
            file.write_all(b"\n").map_err(fail)?;
        }
        let text = String::from_utf8_lossy(&bytes);
        // A line that was torn off, or spoilt, stands for nothing: its input is read again.
        let lines = text.lines().filter_map(|l| serde_json::from_str::<Done>(l).ok());
        let done = lines.map(|d| (d.file.clone(), d)).collect();
        Ok(Record { file: Mutex::new(file), done, place })
    }

    /// Whether a result stands as it was written for the same input, read in the same way.
    fn holds(&self, folder: &Path, file: &str, input: &str, with: &str) -> bool {
        let same = self.done.get(file).filter(|d| d.input == input && d.with == with);
        same.is_some_and(|d| fs::read(folder.join(file)).is_ok_and(|bytes| digest(&bytes) == d.result))
    }

    fn add(&self, done: &Done) -> Result<(), Failure> {
        let fail = |e: io::Error| Failure::unwritten(&self.place.display().to_string(), e);
        let line = report::json_line(done).map_err(|e| fail(e.into()))?;
        // One write, so that lines of several threads are never mixed.
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        file.write_all(line.as_bytes()).map_err(fail)
    }
}

/// What came of one input.
enum Came {
    AlreadyThere,
    Written(Box<Document>, Vec<Problem>),
    Unread(Problem),
}

/// All that one input needs to become a result.
struct Work<'r> {
    reader: &'r Reader,
    form: Form<'r>,
    folder: &'r Path,
    record: Record,
    with: String,
}

impl Work<'_> {
    fn one(&self, source: &Source, file: &Path) -> Result<Came, Failure> {
        let bytes = match source.load() {
            Ok(bytes) => bytes,
            Err(problem) => return Ok(Came::Unread(problem)),
        };
        let target = self.folder.join(file);
        let file = file.display().to_string();
        let input = digest(&[source.path.as_bytes(), b"\0", &bytes].concat());
        if self.record.holds(self.folder, &file, &input, &self.with) {
            return Ok(Came::AlreadyThere);
        }
        let dictation = match dictation::read(&source.path, &bytes) {
            Ok(dictation) => dictation,
            Err(problem) => return Ok(Came::Unread(problem)),
        };
        let document = self.reader.document(&dictation);
        let text = self.form.text(&document, true, COLUMNS)?;
        if let Some(parent) = target.parent() {
            fs::create_dir_all(parent).map_err(|e| Failure::unwritten(&parent.display().to_string(), e))?;
        }
        let mut sink = Sink::open(Some(&target))?;
        sink.plain(&text)?;
        self.record.add(&Done { result: digest(text.as_bytes()), file, input, with: self.with.clone() })?;
        sink.finish()?;
        Ok(Came::Written(Box::new(document), dictation.warnings))
    }
}

/// Runs `find --out DIR`.
pub(super) fn run(results: &Results, reading: &Reading, output: &Output) -> Result<Outcome, Failure> {
    let Results { inputs, folder, files } = results;
    let reader = Reader::open(reading)?;
    let form = Form::open(output, &reader)?;
    fs::create_dir_all(folder).map_err(|e| Failure::unwritten(&folder.display().to_string(), e))?;
    let record = Record::open(folder)?;
    sink::sweep(folder);
    let work = Work { with: with(reading, output)?, reader: &reader, form, folder, record };
    let mut outcome = say_problems(inputs);
    let mut there = 0;
    let bar = progress(files.len());
    let pairs: Vec<(&Source, &PathBuf)> = inputs.sources.iter().zip(files).collect();
    in_order(
        &pairs,
        |(source, file)| work.one(source, file),
        |came| {
            bar.suspend(|| -> Result<(), Failure> {
                match came? {
                    Came::AlreadyThere => there += 1,
                    Came::Written(document, warnings) => {
                        warnings.iter().for_each(|w| say(&w.to_string()));
                        work.form.say_left_out(&document);
                    }
                    Came::Unread(problem) => {
                        say(&problem.to_string());
                        outcome = Outcome::SomeUnread;
                    }
                }
                Ok(())
            })?;
            bar.inc(1);
            Ok(())
        },
    )?;
    bar.finish_and_clear();
    if there > 0 {
        let all = report::count(files.len(), "result", "results");
        say(&format!("{}: {there} of {all} were there already and still hold", folder.display()));
    }
    Ok(outcome)
}

/// Digest of all that a result depends on beside its input: this program with what is built in, the lexicon folder, settings and form.
fn with(reading: &Reading, output: &Output) -> Result<String, Failure> {
    // another build may read otherwise though its version is the same
    let program = std::env::current_exe().and_then(fs::metadata).and_then(|m| Ok((m.len(), m.modified()?)));
    let program = program.map_err(|e| Failure::unwritten("this program", e))?;
    let mut how = format!("{program:?} {:?} {:?} {:?}", reading.settings, output.format, output.checklist);
    if let Some(folder) = &reading.lexicon {
        for (path, text) in folder_files(folder).map_err(Failure::Lexicon)? {
            how += &format!("\n{} {}", path.display(), digest(text.as_bytes()));
        }
    }
    Ok(digest(how.as_bytes()))
}
