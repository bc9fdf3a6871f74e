//! Owns having the recordings written down that are made at the desk: which are due, what became of each. The recogniser itself is run
//! by whoever opens the desk.

use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};

use crate::dictation::TRANSCRIPTS;
use crate::review::Inspection;

use super::capture;
use super::state::Desk;

/// How often it is looked for recordings.
const EVERY: Duration = Duration::from_secs(1);
/// A recording that nobody ended, say on a phone that lost its connection, is written down once it has not grown for so long.
const QUIET: Duration = Duration::from_secs(60);

/// Writes the transcript of a recording beside it; an error is told on the pages.
pub type WriteDown = Box<dyn Fn(&Path) -> Result<(), String> + Send>;

/// What is known of a recording.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Stage {
    /// The capture page has said that it is whole.
    Ended,
    /// It is being written down.
    Begun,
    /// It could not be written down, as it was then.
    Failed {
        /// One line.
        why: String,
        /// When it had last grown.
        changed: Option<SystemTime>,
    },
}

/// The recordings that something is known of.
#[derive(Default)]
pub struct Recordings(Mutex<HashMap<PathBuf, Stage>>);

impl Recordings {
    /// What is known of one.
    pub fn stage(&self, recording: &Path) -> Option<Stage> {
        self.lock().get(recording).cloned()
    }

    /// Tells what is known of an inspection's recordings from what was known before.
    pub fn sum(&self, inspection: &Inspection) -> u64 {
        let mut hash = DefaultHasher::new();
        inspection.recordings.iter().for_each(|name| self.stage(&inspection.folder.join(name)).hash(&mut hash));
        hash.finish()
    }

    /// Takes a recording for whole.
    pub fn end(&self, recording: PathBuf) {
        self.lock().insert(recording, Stage::Ended);
    }

    fn lock(&self) -> MutexGuard<'_, HashMap<PathBuf, Stage>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Has recordings written down, one at a time, until the process ends.
pub fn start(desk: Arc<Desk>, write: WriteDown) {
    std::thread::spawn(move || {
        loop {
            while let Some(recording) = next(&desk) {
                let changed = changed(&recording);
                tell(&desk, &recording, Some(Stage::Begun));
                let failed = write(&recording).err().map(|why| Stage::Failed { why, changed });
                tell(&desk, &recording, failed);
            }
            std::thread::sleep(EVERY);
        }
    });
}

fn tell(desk: &Desk, recording: &Path, stage: Option<Stage>) {
    let mut known = desk.recordings.lock();
    match stage {
        Some(stage) => known.insert(recording.to_path_buf(), stage),
        None => known.remove(recording),
    };
    drop(known);
    desk.version.fetch_add(1, Ordering::Relaxed);
}

/// A recording that is due: one that was made here, and has no transcript, or one from before all of it had come.
fn next(desk: &Desk) -> Option<PathBuf> {
    let inspections = desk.listing().ok()?.inspections;
    let all = inspections.iter().flat_map(|i| i.recordings.iter().map(move |name| (i, name)));
    let lacking = all.filter(|(i, name)| capture::is_made_here(name) && lacks_words(i, name));
    lacking.map(|(i, name)| i.folder.join(name)).find(|path| {
        let changed = changed(path);
        match desk.recordings.stage(path) {
            Some(Stage::Ended) => true,
            Some(Stage::Begun) => false,
            Some(Stage::Failed { changed: then, .. }) if then == changed => false,
            Some(Stage::Failed { .. }) | None => {
                changed.and_then(|c| c.elapsed().ok()).is_some_and(|quiet| quiet > QUIET)
            }
        }
    })
}

fn lacks_words(inspection: &Inspection, name: &String) -> bool {
    let recording = inspection.folder.join(name);
    match TRANSCRIPTS.iter().find_map(|e| changed(&recording.with_extension(e))) {
        Some(written) => changed(&recording).is_some_and(|grown| written < grown),
        None => inspection.unheard.contains(name),
    }
}

fn changed(recording: &Path) -> Option<SystemTime> {
    std::fs::metadata(recording).and_then(|m| m.modified()).ok()
}
