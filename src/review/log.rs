//! Owns the file of decisions: lines are only ever appended, and are on the disk before anybody is told that they are saved.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use serde::Serialize;
use thiserror::Error;

use super::decision::Entry;

/// Name of the file in the folder of an inspection.
pub const LOG_NAME: &str = "decisions.ndjson";
/// Where the start of a line goes that was never written to its end.
const TORN_NAME: &str = "decisions.torn";
/// More than this is no log of a person's decisions.
const LARGEST: u64 = 64 << 20;

/// The decisions on one inspection.
#[derive(Debug, Clone)]
pub struct Log {
    folder: PathBuf,
}

/// A log as it stood when it was read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Contents {
    /// Its lines in order.
    pub entries: Vec<Entry>,
    /// The start of a last line that was never written to its end: it was not reported as saved.
    pub torn: Option<String>,
}

impl Contents {
    /// How many lines there are: the number that a writer must have seen.
    pub fn revision(&self) -> usize {
        self.entries.len()
    }

    fn parse(bytes: &[u8]) -> Contents {
        let whole = bytes.iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
        let text = String::from_utf8_lossy(&bytes[..whole]);
        let torn = (whole < bytes.len()).then(|| String::from_utf8_lossy(&bytes[whole..]).into_owned());
        Contents { entries: text.lines().map(Entry::parse).collect(), torn }
    }
}

/// Why a log could not be read or written.
#[derive(Debug, Error)]
pub enum LogError {
    /// Somebody else has written in the meantime; nothing was written.
    #[error("decisions were made elsewhere since (line {seen} of {}); look at the list again, then decide", .now.revision())]
    Changed {
        /// Lines that the writer had seen.
        seen: usize,
        /// The log as it is.
        now: Contents,
    },
    /// The file system says no; nothing was written.
    #[error("{}: {error}; nothing was saved: check the place, its rights and free space", .file.display())]
    Io {
        /// The file.
        file: PathBuf,
        /// What it says.
        error: io::Error,
    },
}

impl Log {
    /// The log in the folder of an inspection; it need not be there yet.
    pub fn of(folder: &Path) -> Log {
        Log { folder: folder.to_path_buf() }
    }

    /// Where it is.
    pub fn path(&self) -> PathBuf {
        self.folder.join(LOG_NAME)
    }

    /// Reads it; no log is an empty one.
    ///
    /// # Errors
    /// [`LogError::Io`].
    pub fn read(&self) -> Result<Contents, LogError> {
        let path = self.path();
        let fail = |error| LogError::Io { file: path.clone(), error };
        plain(&path).map_err(fail)?;
        let mut file = match File::open(&path) {
            Ok(file) => file,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(Contents::default()),
            Err(e) => return Err(fail(e)),
        };
        file.lock_shared().map_err(fail)?;
        bytes(&mut file).map(|b| Contents::parse(&b)).map_err(fail)
    }

    /// Appends one line, see [`Log::append_all`].
    ///
    /// # Errors
    /// Those of [`Log::append_all`].
    pub fn append(&self, seen: usize, line: &impl Serialize) -> Result<Contents, LogError> {
        self.append_all(seen, std::slice::from_ref(line))
    }

    /// Appends lines, all or none, if the log still has as many lines as the writer has seen, and waits until the disk has them.
    ///
    /// # Errors
    /// [`LogError::Changed`] when it has not, [`LogError::Io`]; either way the lines before are untouched.
    pub fn append_all(&self, seen: usize, lines: &[impl Serialize]) -> Result<Contents, LogError> {
        let path = self.path();
        let fail = |error| LogError::Io { file: path.clone(), error };
        let mut text = String::new();
        for line in lines {
            text += &serde_json::to_string(line).map_err(|e| fail(e.into()))?;
            text.push('\n');
        }
        plain(&path).map_err(fail)?;
        let is_new = !path.exists();
        // released when the file is closed, also when the process is killed
        let mut file = OpenOptions::new().read(true).append(true).create(true).open(&path).map_err(fail)?;
        file.lock().map_err(fail)?;
        let old = bytes(&mut file).map_err(fail)?;
        let mut contents = Contents::parse(&old);
        if contents.revision() != seen {
            return Err(LogError::Changed { seen, now: contents });
        }
        let mut length = old.len() as u64;
        if let Some(torn) = contents.torn.take() {
            length -= self.set_aside(&old, &torn).map_err(fail)?;
            file.set_len(length).map_err(fail)?;
        }
        if let Err(error) = file.write_all(text.as_bytes()).and_then(|()| file.sync_data()) {
            // a line half written is taken back, so that the next one does not run into it
            let _ = file.set_len(length);
            return Err(fail(error));
        }
        if is_new {
            File::open(&self.folder).and_then(|f| f.sync_all()).map_err(fail)?;
        }
        contents.entries.extend(text.lines().map(Entry::parse));
        Ok(contents)
    }

    /// Keeps the start of a torn line in a file of its own. Gives the bytes it takes in the log.
    fn set_aside(&self, log: &[u8], torn: &str) -> io::Result<u64> {
        let path = self.folder.join(TORN_NAME);
        plain(&path)?;
        let mut aside = OpenOptions::new().append(true).create(true).open(path)?;
        writeln!(aside, "{torn}")?;
        aside.sync_all()?;
        let whole = log.iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
        Ok((log.len() - whole) as u64)
    }
}

fn bytes(file: &mut File) -> io::Result<Vec<u8>> {
    if file.metadata()?.len() > LARGEST {
        return Err(io::Error::other("too large for a log of decisions"));
    }
    let mut out = Vec::new();
    file.seek(SeekFrom::Start(0))?;
    file.read_to_end(&mut out)?;
    Ok(out)
}

/// A link could lead the writing anywhere.
fn plain(path: &Path) -> io::Result<()> {
    match fs::symlink_metadata(path) {
        Ok(found) if !found.is_file() => Err(io::Error::other("no plain file")),
        Ok(_) => Ok(()),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(e) => Err(e),
    }
}
