//! Owns what the desk has read: the inspections of its folder and the list of each, kept until a file of it changes.

use std::collections::HashMap;
use std::io;
use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError, RwLock};

use crate::interpretation::{Interpreter, Settings};
use crate::pricing::RateBook;
use crate::report::Group;
use crate::review::{Contents, Extraction, FinalList, Inspection, Listing, Log, LogError, Stamp};

use super::capture;
use super::guard::Guard;
use super::writing_down::Recordings;

/// A desk and all that it has read.
pub struct Desk {
    /// Who may ask.
    pub guard: Guard,
    /// How dictations are read.
    pub settings: Settings,
    /// The shop's own lexicon, where additions go.
    pub lexicon: Option<PathBuf>,
    /// The shop's rate book.
    pub book: Option<RateBook>,
    /// Grows whenever something in the folder has changed.
    pub version: AtomicU64,
    /// Grows whenever another lexicon is read with.
    lexicons: AtomicU64,
    folder: PathBuf,
    interpreter: RwLock<Arc<Interpreter>>,
    read: Mutex<HashMap<String, Read>>,
    captures: Mutex<()>,
    /// What becomes of recordings made here.
    pub recordings: Recordings,
}

/// What was read of one inspection.
#[derive(Clone)]
struct Read {
    stamp: Stamp,
    extraction: Arc<Extraction>,
    summary: Option<(Stamp, Arc<Summary>)>,
}

/// What the list of inspections tells of one.
#[derive(Debug, Clone)]
pub struct Summary {
    /// What the vehicle was called.
    pub vehicle: Option<String>,
    /// How many findings of each group.
    pub counts: Vec<(Group, usize)>,
    /// All findings.
    pub findings: usize,
    /// Findings that a person decided on.
    pub decided: usize,
    /// What must still be looked at.
    pub open: usize,
    /// Recordings that nobody has written down.
    pub unheard: usize,
    /// Whether it was handed over as it stands.
    pub is_handed_over: bool,
    /// What could not be read.
    pub problems: usize,
}

/// One inspection, its list and its log.
pub struct Opened {
    /// Its folder.
    pub inspection: Inspection,
    /// As the program has it.
    pub extraction: Arc<Extraction>,
    /// As it stands.
    pub list: FinalList,
    /// The log.
    pub contents: Contents,
    /// [`Desk::reading`] and [`Desk::state`] that this is.
    pub reading: String,
    /// See `reading`.
    pub state: String,
}

impl Desk {
    /// A desk over a folder, which must be canonical.
    pub fn new(
        folder: PathBuf,
        interpreter: Interpreter,
        settings: Settings,
        lexicon: Option<PathBuf>,
        book: Option<RateBook>,
        guard: Guard,
    ) -> Desk {
        Desk {
            guard,
            settings,
            lexicon,
            book,
            version: AtomicU64::new(1),
            lexicons: AtomicU64::new(0),
            folder,
            interpreter: RwLock::new(Arc::new(interpreter)),
            read: Mutex::new(HashMap::new()),
            captures: Mutex::new(()),
            recordings: Recordings::default(),
        }
    }

    /// What dictations are read with.
    pub fn interpreter(&self) -> Arc<Interpreter> {
        Arc::clone(&self.interpreter.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// Reads with another lexicon from now on.
    pub fn learn(&self, interpreter: Interpreter) {
        *self.interpreter.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(interpreter);
        self.lexicons.fetch_add(1, Ordering::Relaxed);
        self.lock().clear();
    }

    /// Tells one reading of an inspection from another: what was said, and the lexicon it was read with.
    pub fn reading(&self, inspection: &Inspection) -> String {
        format!("{:x}-{}", inspection.stamp.dictations, self.lexicons.load(Ordering::Relaxed))
    }

    /// Tells one state of an inspection from another: its reading, its decisions, its other files, what becomes of its recordings.
    pub fn state(&self, inspection: &Inspection) -> String {
        let stages = self.recordings.sum(inspection);
        format!("{:x}-{}-{stages:x}", inspection.stamp.all, self.lexicons.load(Ordering::Relaxed))
    }

    /// The inspections as they are now.
    pub fn listing(&self) -> io::Result<Listing> {
        Listing::of(&self.folder)
    }

    /// Where an inspection of this name is or would be.
    pub fn place(&self, name: &str) -> Option<PathBuf> {
        capture::place(&self.folder, name)
    }

    /// Held while something that was captured is written: the same may be sent twice at once.
    pub fn capturing(&self) -> std::sync::MutexGuard<'_, ()> {
        self.captures.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The inspection of this name: one that stands in the folder itself, never a path.
    pub fn inspection(&self, name: &str) -> Option<Inspection> {
        let is_name = !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\', '\0']);
        let folder = is_name.then(|| self.folder.join(name))?;
        let found = std::fs::symlink_metadata(&folder).ok()?;
        found.is_dir().then(|| Inspection::open(&folder).ok())?
    }

    /// The list as the program makes it, read anew only when a dictation has changed.
    pub fn extraction(&self, inspection: &Inspection) -> Arc<Extraction> {
        let known =
            self.lock().get(&inspection.name).filter(|r| r.stamp.dictations == inspection.stamp.dictations).cloned();
        if let Some(read) = known {
            return read.extraction;
        }
        // not under the lock: others need not wait for it
        let extraction = Arc::new(inspection.extract(&self.interpreter(), self.settings));
        let read = Read { stamp: inspection.stamp, extraction: Arc::clone(&extraction), summary: None };
        self.lock().insert(inspection.name.clone(), read);
        extraction
    }

    /// An inspection with its list as it stands.
    pub fn open(&self, inspection: Inspection) -> Result<Opened, LogError> {
        let (reading, state) = (self.reading(&inspection), self.state(&inspection));
        // the dictation first: that it is read is known even where the log can't be
        let extraction = self.extraction(&inspection);
        let contents = Log::of(&inspection.folder).read()?;
        let list = extraction.final_list(&contents.entries, &self.interpreter(), self.settings);
        Ok(Opened { inspection, extraction, list, contents, reading, state })
    }

    /// What is known of an inspection without reading anything.
    pub fn known(&self, inspection: &Inspection) -> Option<Arc<Summary>> {
        let read = self.lock().get(&inspection.name)?.summary.clone()?;
        (read.0 == inspection.stamp).then_some(read.1)
    }

    /// What the list of inspections tells of one.
    pub fn summary(&self, inspection: &Inspection) -> Result<Arc<Summary>, LogError> {
        if let Some(known) = self.known(inspection) {
            return Ok(known);
        }
        let opened = self.open(inspection.clone())?;
        let summary = Arc::new(Summary::of(&opened));
        if let Some(read) = self.lock().get_mut(&inspection.name) {
            read.summary = Some((inspection.stamp, Arc::clone(&summary)));
        }
        Ok(summary)
    }

    /// The same, if its dictations were read already.
    pub fn summary_if_read(&self, inspection: &Inspection) -> Option<Result<Arc<Summary>, LogError>> {
        let is_read =
            self.lock().get(&inspection.name).is_some_and(|r| r.stamp.dictations == inspection.stamp.dictations);
        is_read.then(|| self.summary(inspection))
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, HashMap<String, Read>> {
        self.read.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Summary {
    fn of(opened: &Opened) -> Summary {
        let list = &opened.list;
        let findings = &list.document.findings;
        let count = |g: Group| (g, findings.iter().filter(|f| Group::of(f) == g).count());
        Summary {
            vehicle: list.document.vehicle.identification.clone(),
            counts: Group::ALL.into_iter().map(count).filter(|(_, n)| *n > 0).collect(),
            findings: findings.len(),
            decided: list.items.iter().filter(|i| i.state != crate::findings::ReviewState::Open).count(),
            open: list.open(),
            unheard: opened.inspection.unheard.len(),
            is_handed_over: list.handed_over.is_some(),
            problems: opened.extraction.problems.len(),
        }
    }
}
