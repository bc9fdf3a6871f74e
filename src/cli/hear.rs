//! Owns `hear`: recordings in, findings out. What the recogniser wrote is kept beside each recording, so that it is run once.

use std::ffi::OsString;
use std::fs;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};
use lofty::file::AudioFile;
use walkdir::WalkDir;

use crate::desk::WriteDown;
use crate::dictation::{TRANSCRIPTS, gather};
use crate::report;
use crate::voice::{self, Came, Filled, Filling, Half, Hear, Placeholder};

use super::child::{self, Ended, How};
use super::find;
use super::lexicon::hint;
use super::outcome::{Failure, Outcome, say};
use super::recogniser::Recognisers;
use super::request::{Inputs, Output, Reading};

/// What is to be heard, and how.
pub(super) struct Hearing {
    pub recordings: Vec<PathBuf>,
    /// What was named and is none.
    pub problems: Vec<String>,
    pub config: Option<PathBuf>,
    /// Even where there is a transcript.
    pub again: bool,
    pub reading: Reading,
    pub output: Output,
}

/// A recogniser, ready to be run.
struct Ready {
    recognisers: Recognisers,
    hear: Hear,
    hint: String,
}

/// Runs `hear`.
pub(super) fn run(hearing: Hearing) -> Result<Outcome, Failure> {
    let mut ready = None;
    let mut heard = Vec::new();
    let mut is_whole = hearing.problems.is_empty();
    hearing.problems.iter().for_each(|p| say(p));
    for recording in &hearing.recordings {
        if let Some(kept) = kept(recording).filter(|_| !hearing.again) {
            if is_older(&kept, recording) {
                say(&format!("{}: is older than its recording; --again hears it anew", shown(&kept)));
            }
            heard.push(kept.display().to_string());
            continue;
        }
        let ready = match &mut ready {
            Some(ready) => ready,
            none => none.insert(Ready::open(hearing.config.as_deref(), hearing.reading.lexicon.as_deref())?),
        };
        match ready.hear(recording) {
            Ok(path) => heard.push(path.display().to_string()),
            Err(Failed::One(why)) => {
                say(&format!("{}: {why}", shown(recording)));
                is_whole = false;
            }
            Err(Failed::All(failure)) => return Err(failure),
        }
    }
    let (sources, problems) = gather(&heard);
    let outcome = find::run(&Inputs { sources, problems }, &hearing.reading, &hearing.output)?;
    Ok(if is_whole { outcome } else { Outcome::SomeUnread })
}

/// The recordings that paths stand for: files as named, folders with all that are in them, in the order of names. What there is none
/// in is told.
pub(super) fn recordings(paths: &[PathBuf]) -> (Vec<PathBuf>, Vec<String>) {
    let (mut out, mut problems) = (Vec::new(), Vec::new());
    for path in paths {
        if path.is_file() {
            out.push(path.clone());
            continue;
        }
        if !path.is_dir() {
            problems.push(format!("{}: no such file or folder; check the name and where it is", shown(path)));
            continue;
        }
        let before = out.len();
        let files = WalkDir::new(path).sort_by_file_name().into_iter().flatten().filter(|e| e.file_type().is_file());
        out.extend(files.map(walkdir::DirEntry::into_path).filter(|p| voice::is_recording(p)));
        if out.len() == before {
            problems.push(format!("{}: no recording in this folder; name the recordings themselves", shown(path)));
        }
    }
    (out, problems)
}

/// What writes recordings down for the desk, one after the other.
pub(super) fn writer(config: &Path, lexicon: Option<&Path>) -> Result<WriteDown, Failure> {
    let ready = Ready::open(Some(config), lexicon)?;
    Ok(Box::new(move |recording| match ready.hear(recording) {
        Ok(_) => Ok(()),
        Err(Failed::One(why)) => Err(why),
        Err(Failed::All(Failure::Input(why))) => Err(why),
        Err(Failed::All(_)) => Err("the recogniser can't be run".into()),
    }))
}

/// Why a recording could not be heard.
enum Failed {
    /// The others may be.
    One(String),
    /// No other will be either.
    All(Failure),
}

impl Ready {
    fn open(config: Option<&Path>, lexicon: Option<&Path>) -> Result<Ready, Failure> {
        let recognisers = Recognisers::read(config)?;
        let hear = recognisers.configuration.hear.clone().ok_or_else(|| recognisers.lacks("hear"))?;
        let hint = if hear.uses(Placeholder::Hint) || hear.uses(Placeholder::HintFile) {
            hint(lexicon, hear.hint)?
        } else {
            String::new()
        };
        Ok(Ready { recognisers, hear, hint })
    }

    /// Has a recording written down; gives the transcript that is now beside it.
    fn hear(&self, recording: &Path) -> Result<PathBuf, Failed> {
        let here = |e: io::Error| Failed::One(format!("no place to work in: {e}; check the free space"));
        let work = tempfile::Builder::new().prefix("hoistnote-").tempdir().map_err(here)?;
        let recording = recording.canonicalize().map_err(|e| Failed::One(format!("can't be read: {e}")))?;
        let filling = self.filling(&recording, work.path()).map_err(here)?;
        let bar = progress(&recording);
        if let Some(prepare) = Filled::of(&self.hear.prepare, &filling) {
            let ended = self.run(&prepare, |_| bar.tick())?;
            if let Some(why) = why_not(&ended.how, &self.hear) {
                return Err(failed(&recording, &ended.how, told(&prepare, &why, &ended, "the recording is untouched")));
            }
        }
        let Some(recogniser) = Filled::of(&self.hear.run, &filling) else {
            return Err(Failed::All(self.recognisers.lacks("hear")));
        };
        let output = self.hear.uses(Placeholder::Output).then(|| PathBuf::from(&filling.output));
        let so_far = |stdout: &[u8]| output.as_ref().map_or_else(|| Ok(stdout.to_vec()), fs::read);
        let ended = self.run(&recogniser, |stdout| {
            if let Some(ms) = so_far(stdout).ok().and_then(|bytes| voice::heard_until(&bytes)) {
                bar.set_position(ms / 1000);
                bar.set_message(report::time(ms));
            }
            bar.tick();
        })?;
        bar.finish_and_clear();
        // a file that was never written is as good as an empty one
        let bytes = so_far(&ended.stdout).unwrap_or_default();
        let came = voice::came(&shown(&recording), &bytes);
        let why = why_not(&ended.how, &self.hear).or_else(|| what_lacks(&came));
        match (why, came) {
            (None, Came::Whole(dictation, extension)) => {
                if let Some(doubt) = doubt(&recording, &bytes, &dictation) {
                    say(&format!("{}: {doubt}", shown(&recording)));
                }
                keep(&recording, extension, &bytes).map_err(|e| {
                    Failed::One(format!("its transcript can't be written beside it: {e}; check the folder's rights"))
                })
            }
            (why, _) => {
                let why = why.unwrap_or_default();
                let why = told(&recogniser, &why, &ended, &keep_torn(&recording, &bytes));
                Err(failed(&recording, &ended.how, why))
            }
        }
    }

    fn run(&self, filled: &Filled, tick: impl FnMut(&[u8])) -> Result<Ended, Failed> {
        let folder = &self.recognisers.folder;
        match child::run(filled, folder, self.hear.patience, tick) {
            Ok(ended) => Ok(ended),
            Err(error) => {
                Err(Failed::All(child::not_started(&report::shown(&filled.program.to_string_lossy()), &error)))
            }
        }
    }

    fn filling(&self, recording: &Path, work: &Path) -> io::Result<Filling> {
        let audio = if self.hear.prepare.is_empty() { recording.to_path_buf() } else { work.join("audio.wav") };
        let (list, hint_file) = (work.join("list"), work.join("hint.txt"));
        if self.hear.uses(Placeholder::List) {
            let mut line = audio.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
            line.push('\n');
            fs::write(&list, line)?;
        }
        if self.hear.uses(Placeholder::HintFile) {
            fs::write(&hint_file, format!("{}\n", self.hint))?;
        }
        Ok(Filling {
            recording: recording.into(),
            folder: audio.parent().unwrap_or(work).into(),
            audio: audio.into(),
            list: list.into(),
            hint: OsString::from(&self.hint),
            hint_file: hint_file.into(),
            output: work.join("transcript").into(),
        })
    }
}

/// Who interrupts one recording wants none of the others heard either.
fn failed(recording: &Path, how: &How, why: String) -> Failed {
    match how {
        How::Interrupted => Failed::All(Failure::Input(format!("{}: {why}", shown(recording)))),
        How::Exited(_) | How::TooLong | How::TooMuch => Failed::One(why),
    }
}

/// Why a child that is no longer running did not do what it should.
fn why_not(how: &How, hear: &Hear) -> Option<String> {
    match how {
        How::Exited(status) if status.success() => None,
        How::Exited(status) => Some(match status.code() {
            Some(code) => format!("ended with exit status {code}"),
            None => "was ended from outside".to_string(),
        }),
        How::TooLong => {
            let limit = jiff::SignedDuration::try_from(hear.patience).map(|d| format!("{d:#}")).unwrap_or_default();
            Some(format!("was ended since it took longer than {limit}; set a longer `timeout`"))
        }
        How::TooMuch => Some("was ended since it wrote without end".to_string()),
        How::Interrupted => Some("was interrupted".to_string()),
    }
}

fn what_lacks(came: &Came) -> Option<String> {
    match came {
        Came::Whole(..) => None,
        Came::Nothing => Some("heard no words".to_string()),
        Came::Half(Half::BrokenOff(what)) => Some(format!("stopped in the middle of its output ({what})")),
        Came::Half(Half::NoTimes) => Some("wrote no WebVTT, SubRip, CTM or JSON".to_string()),
        Came::Half(Half::Unreadable(what)) => Some(format!("wrote what can't be read ({what})")),
    }
}

/// What went wrong, in one line with the last that the program said itself.
fn told(filled: &Filled, why: &str, ended: &Ended, kept: &str) -> String {
    let program = report::shown(&filled.program.to_string_lossy());
    let last = ended.talk.lines().map(str::trim).rfind(|l| !l.is_empty());
    let last = last.map(|l| format!(": \"{}\"", report::shown(l))).unwrap_or_default();
    format!("{program} {why}{last}; {kept}")
}

/// Why the transcript may lack something that nobody would notice.
fn doubt(recording: &Path, bytes: &[u8], dictation: &crate::dictation::Dictation) -> Option<String> {
    if dictation.format != crate::dictation::Format::RecogniserJson && !bytes.ends_with(b"\n") {
        return Some("the last line of its transcript is not ended; listen whether its last words are whole".into());
    }
    let (length, heard) = (duration(recording)?.as_millis() as u64, voice::heard_until(bytes)?);
    let is_short = length > heard + 120_000 && heard * 4 < length * 3;
    is_short.then(|| {
        let (heard, length) = (report::time(heard), report::time(length));
        format!("its last words are at {heard} of {length}; listen whether there are more")
    })
}

/// The transcript of a recording that is there already.
fn kept(recording: &Path) -> Option<PathBuf> {
    TRANSCRIPTS.iter().map(|e| recording.with_extension(e)).find(|p| p.is_file())
}

fn is_older(transcript: &Path, recording: &Path) -> bool {
    let changed = |p: &Path| fs::metadata(p).and_then(|m| m.modified()).ok();
    changed(transcript).zip(changed(recording)).is_some_and(|(t, r)| t < r)
}

/// Puts a transcript beside its recording, whole or not at all; one that was there is set aside.
fn keep(recording: &Path, extension: &str, bytes: &[u8]) -> io::Result<PathBuf> {
    while let Some(old) = kept(recording) {
        fs::rename(&old, free(&old, "bak"))?;
    }
    let path = recording.with_extension(extension);
    write(&path, bytes)?;
    Ok(path)
}

/// Keeps what came of a run that failed; tells where.
fn keep_torn(recording: &Path, bytes: &[u8]) -> String {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return "the recording is untouched".into();
    }
    let path = free(&recording.with_extension(""), "torn");
    match write(&path, bytes) {
        Ok(()) => format!("the recording is untouched, what came is kept in {}", shown(&path)),
        Err(e) => format!("the recording is untouched, what came can't be kept: {e}"),
    }
}

/// The first name of this kind that nothing has yet.
fn free(path: &Path, extension: &str) -> PathBuf {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let numbered = |n: usize| match n {
        1 => path.with_file_name(format!("{name}.{extension}")),
        n => path.with_file_name(format!("{name}.{n}.{extension}")),
    };
    (1..).map(numbered).find(|p| !p.exists()).unwrap_or_else(|| numbered(1))
}

fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut temp = tempfile::Builder::new()
        .prefix(".hoistnote-")
        .suffix(".part")
        .tempfile_in(path.parent().unwrap_or(Path::new(".")))?;
    temp.write_all(bytes)?;
    temp.as_file().sync_all()?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        temp.as_file().set_permissions(fs::Permissions::from_mode(0o644))?;
    }
    temp.persist_noclobber(path).map(|_| ()).map_err(|e| e.error)
}

/// How long a recording is, where its head tells.
fn duration(recording: &Path) -> Option<Duration> {
    let file = lofty::read_from_path(recording).ok()?;
    Some(file.properties().duration()).filter(|d| !d.is_zero())
}

fn progress(recording: &Path) -> ProgressBar {
    if !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let name = recording.file_name().map(|n| report::shown(&n.to_string_lossy())).unwrap_or_default();
    let (bar, template) = match duration(recording) {
        Some(length) => {
            let bar = ProgressBar::new(length.as_secs().max(1));
            (
                bar,
                format!(
                    "{{prefix}}: heard {{msg}} of {} {{wide_bar}} {{eta}}",
                    report::time(length.as_millis() as u64)
                ),
            )
        }
        None => (ProgressBar::new_spinner(), "{prefix}: heard {msg} {spinner} after {elapsed}".to_string()),
    };
    let bar = bar.with_prefix(name).with_message("0:00");
    match ProgressStyle::with_template(&template) {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

fn shown(path: &Path) -> String {
    report::shown(&path.display().to_string())
}
