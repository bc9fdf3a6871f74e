//! Owns the dictation of a session as it is on the disk.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::Instant;

use crate::cli::outcome::{Failure, say};
use crate::dictation::Utterance;
use crate::voice::Captions;

use super::shown;

/// The dictation on the disk.
pub(super) struct Kept {
    pub(super) path: PathBuf,
    file: File,
    started: Instant,
    captions: Captions,
    /// Captions not yet written, and the words of each.
    waiting: (String, Vec<String>),
    pub(super) lines: usize,
}

impl Kept {
    /// A new dictation in the folder of an inspection, named by the time of day as recorders do.
    pub(super) fn create(folder: &Path) -> Result<Kept, Failure> {
        let fail = |e: io::Error| Failure::unwritten(&shown(folder), e);
        fs::create_dir_all(folder).map_err(fail)?;
        let name = jiff::Timestamp::now()
            .to_zoned_datetime(jiff::tz::TimeZone::system())
            .strftime("%Y%m%d_%H%M%S")
            .to_string();
        let numbered = |n: usize| folder.join(if n == 0 { format!("{name}.vtt") } else { format!("{name}_{n}.vtt") });
        let mut n = 0;
        let (path, mut file) = loop {
            let path = numbered(n);
            match OpenOptions::new().append(true).create_new(true).open(&path) {
                Ok(file) => break (path, file),
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => n += 1,
                Err(e) => return Err(fail(e)),
            }
        };
        file.write_all(Captions::HEAD.as_bytes()).and_then(|()| file.sync_all()).map_err(fail)?;
        // its name must be on the disk too
        File::open(folder).and_then(|f| f.sync_all()).map_err(fail)?;
        Ok(Kept {
            path,
            file,
            started: Instant::now(),
            captions: Captions::default(),
            waiting: (String::new(), Vec::new()),
            lines: 0,
        })
    }

    pub(super) fn now_ms(&self) -> u64 {
        self.started.elapsed().as_millis() as u64
    }

    pub(super) fn begin(&mut self) {
        self.captions.begin(self.now_ms());
    }

    pub(super) fn say(&mut self, said: &Utterance) {
        let now = self.now_ms();
        if let Some(caption) = self.captions.caption(said, now) {
            self.waiting.0.push_str(&caption);
            self.waiting.1.push(said.text.trim().to_string());
        }
    }

    /// Brings everything to the disk, in one write; gives the words.
    pub(super) fn flush(&mut self) -> Result<Vec<String>, Failure> {
        let (captions, words) = std::mem::take(&mut self.waiting);
        if let Err(e) = self.file.write_all(captions.as_bytes()).and_then(|()| self.file.sync_data()) {
            say(&format!("these words are not on the disk: {}", words.join(" / ")));
            return Err(Failure::unwritten(&shown(&self.path), e));
        }
        self.lines += words.len();
        Ok(words)
    }

    /// A dictation without a word is not left behind.
    pub(super) fn close(&self) {
        if self.lines == 0 {
            let _ = fs::remove_file(&self.path);
        }
    }
}
