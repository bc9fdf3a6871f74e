//! Owns `live`: a recogniser's running words in, the list as it grows on the screen. Words are on the disk before they are shown.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::{Duration, Instant};

use console::Term;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, BufReader};
use tokio::process::Child;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

use crate::checklist::{self, Coverage};
use crate::report;
use crate::review::{FinalList, Inspection};
use crate::voice::{self, Captions, Filled, Filling, Heard, Moment, News, Placeholder};

use super::args::Format;
use super::child;
use super::find::{Reader, Writer};
use super::lexicon::hint;
use super::outcome::{Failure, Outcome, say};
use super::recogniser::Recognisers;
use super::request::{Output, Reading};
use super::sink::Sink;

/// The clock on the screen goes on this often.
const TICK: Duration = Duration::from_secs(1);
/// So long the last words of a recogniser that was ended may take to arrive.
const LAST_WORDS: Duration = Duration::from_millis(500);

/// What is listened to, and where it is kept.
pub(super) struct Session {
    /// Folder of the inspection.
    pub folder: PathBuf,
    /// Start the configured recogniser instead of reading standard input.
    pub start: bool,
    pub config: Option<PathBuf>,
    pub reading: Reading,
    pub output: Output,
}

/// What arrives.
enum Event {
    Line(String),
    End,
}

/// Runs `live`.
pub(super) fn run(session: &Session) -> Result<Outcome, Failure> {
    let reader = Reader::open(&session.reading)?;
    let mut writer = Writer::open(&session.output, &reader)?;
    let recogniser = if session.start { Some(recogniser(session)?) } else { None };
    let kept = Kept::create(&session.folder)?;
    say(&format!("what is said is kept in {}", shown(&kept.path)));
    let checklist = session.output.checklist.clone();
    let mut live = Live { session, reader: &reader, checklist, kept, view: View::open(session), shown: None };
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(|e| Failure::unwritten("the recogniser", e))?;
    let outcome = runtime.block_on(live.listen(recogniser))?;
    let list = live.list()?;
    live.view.close();
    live.kept.close();
    writer.write_final(&list)?;
    writer.finish()?;
    // who asked for a checklist has it with the list already
    if session.output.format == Format::Table && session.output.checklist.is_none() && session.output.out.is_none() {
        let mut sink = Sink::open(None)?;
        if let Some(gaps) = live.gaps(&list) {
            sink.coloured(&report::table_of_gaps(&gaps, sink.width()))?;
        }
    }
    Ok(outcome)
}

/// The recogniser that listens, as configured.
fn recogniser(session: &Session) -> Result<(Filled, PathBuf, Option<tempfile::NamedTempFile>), Failure> {
    let recognisers = Recognisers::read(session.config.as_deref())?;
    let live = recognisers.configuration.live.clone().ok_or_else(|| recognisers.lacks("live"))?;
    let uses = |p: Placeholder| live.run.iter().any(|t| t.placeholders().any(|q| q == p));
    let mut filling = Filling::default();
    let mut file = None;
    if uses(Placeholder::Hint) || uses(Placeholder::HintFile) {
        let words = hint(session.reading.lexicon.as_deref(), live.hint)?;
        let made = tempfile::NamedTempFile::new().and_then(|mut f| writeln!(f, "{words}").map(|()| f));
        let made = made.map_err(|e| Failure::unwritten("the file of hints", e))?;
        filling.hint_file = made.path().into();
        filling.hint = words.into();
        file = Some(made);
    }
    let filled = Filled::of(&live.run, &filling).ok_or_else(|| recognisers.lacks("live"))?;
    Ok((filled, recognisers.folder, file))
}

/// A session that goes on.
struct Live<'s> {
    session: &'s Session,
    reader: &'s Reader,
    checklist: Option<String>,
    kept: Kept,
    view: View,
    /// The list as it was shown last.
    shown: Option<FinalList>,
}

impl Live<'_> {
    async fn listen(
        &mut self,
        recogniser: Option<(Filled, PathBuf, Option<tempfile::NamedTempFile>)>,
    ) -> Result<Outcome, Failure> {
        let (sender, mut events) = unbounded_channel();
        let mut running = match &recogniser {
            Some((filled, folder, _)) => Some(Running::start(filled, folder, sender)?),
            None => {
                listen_to_input(sender);
                None
            }
        };
        let mut ticks = tokio::time::interval(TICK);
        loop {
            tokio::select! {
                event = events.recv() => if !self.take(event, &mut events)? { break },
                _ = ticks.tick() => self.view.show(&self.kept, self.shown.as_ref(), None),
                _ = tokio::signal::ctrl_c() => {
                    if let Some(running) = &mut running {
                        child::end_all(&mut running.child).await;
                    }
                    while let Ok(event) = tokio::time::timeout(LAST_WORDS, events.recv()).await {
                        if !self.take(event, &mut events)? { break }
                    }
                    return Ok(Outcome::Fine);
                }
            }
        }
        match running {
            Some(running) => Ok(running.ended().await),
            None => Ok(Outcome::Fine),
        }
    }

    /// Takes what arrived, and all that has arrived since; tells whether more may come.
    fn take(&mut self, first: Option<Event>, events: &mut UnboundedReceiver<Event>) -> Result<bool, Failure> {
        let mut goes_on = true;
        let mut settled = false;
        let mut next = first;
        loop {
            match next {
                Some(Event::Line(line)) => match voice::heard(&line) {
                    Heard::Said(said) => {
                        settled = true;
                        self.view.soon.clear();
                        said.iter().for_each(|u| self.kept.say(u));
                    }
                    Heard::Soon(words) => {
                        self.kept.begin();
                        self.view.soon = words;
                    }
                    Heard::Nothing => {}
                },
                Some(Event::End) | None => goes_on = false,
            }
            match events.try_recv() {
                Ok(event) if goes_on => next = Some(event),
                _ => break,
            }
        }
        if settled {
            let fresh = self.kept.flush()?;
            let list = self.list()?;
            let gaps = self.gaps(&list);
            self.view.heard(&fresh, self.shown.as_ref(), &list);
            self.view.gaps = gaps;
            self.view.show(&self.kept, Some(&list), Some(&fresh));
            self.shown = Some(list);
        } else {
            self.view.show(&self.kept, self.shown.as_ref(), None);
        }
        Ok(goes_on)
    }

    /// The list of the inspection as it is on the disk.
    fn list(&self) -> Result<FinalList, Failure> {
        let folder = &self.session.folder;
        let inspection = Inspection::open(folder)
            .map_err(|e| Failure::unreadable(&shown(folder), &e, "check the folder's rights"))?;
        let extraction = inspection.extract(self.reader.interpreter(), self.reader.settings());
        Ok(extraction.final_list(&[], self.reader.interpreter(), self.reader.settings()))
    }

    /// What nobody spoke of yet, of the checklist that was named, else of the one that fits the vehicle.
    fn gaps(&self, list: &FinalList) -> Option<Coverage> {
        let lexicon = self.reader.lexicon();
        match &self.checklist {
            Some(id) => Some(checklist::coverage(&list.document, lexicon.guidance.checklist(id)?)),
            None => list.handover(lexicon).coverage,
        }
    }
}

/// A child that listens.
struct Running {
    child: Child,
    program: String,
    talk: tokio::task::JoinHandle<String>,
}

impl Running {
    fn start(filled: &Filled, folder: &Path, sender: UnboundedSender<Event>) -> Result<Running, Failure> {
        let program = report::shown(&filled.program.to_string_lossy());
        let child = child::command(filled, folder).stdin(Stdio::null()).spawn();
        let mut child = child.map_err(|e| child::not_started(&program, &e))?;
        if let Some(out) = child.stdout.take() {
            tokio::spawn(async move {
                let mut out = BufReader::new(out);
                let mut line = Vec::new();
                while out.read_until(b'\n', &mut line).await.is_ok_and(|n| n > 0) {
                    let _ = sender.send(Event::Line(String::from_utf8_lossy(&line).into_owned()));
                    line.clear();
                }
                let _ = sender.send(Event::End);
            });
        }
        let err = child.stderr.take();
        let talk = tokio::spawn(async move {
            let mut last = Vec::new();
            if let Some(mut err) = err {
                let mut piece = [0; 1024];
                while let Ok(n @ 1..) = err.read(&mut piece).await {
                    last.extend_from_slice(&piece[..n]);
                    last.drain(..last.len().saturating_sub(4096));
                }
            }
            String::from_utf8_lossy(&last).into_owned()
        });
        Ok(Running { child, program, talk })
    }

    /// Waits for its end and tells what was wrong with it.
    async fn ended(mut self) -> Outcome {
        let status = tokio::time::timeout(Duration::from_secs(2), self.child.wait()).await;
        child::end_all(&mut self.child).await;
        match status {
            Ok(Ok(status)) if status.success() => Outcome::Fine,
            _ => {
                let talk = self.talk.await.unwrap_or_default();
                let last = talk.lines().map(str::trim).rfind(|l| !l.is_empty()).unwrap_or_default();
                say(&format!("{} stopped: \"{}\"; all that came is kept", self.program, report::shown(last)));
                Outcome::SomeUnread
            }
        }
    }
}

/// Reads standard input on a thread of its own: a read that waits can't be called off.
fn listen_to_input(sender: UnboundedSender<Event>) {
    std::thread::spawn(move || {
        let mut input = io::stdin().lock();
        let mut line = Vec::new();
        while input.read_until(b'\n', &mut line).is_ok_and(|n| n > 0) {
            if sender.send(Event::Line(String::from_utf8_lossy(&line).into_owned())).is_err() {
                return;
            }
            line.clear();
        }
        let _ = sender.send(Event::End);
    });
}

/// The dictation on the disk.
struct Kept {
    path: PathBuf,
    file: File,
    started: Instant,
    captions: Captions,
    /// Captions not yet written, and the words of each.
    waiting: (String, Vec<String>),
    lines: usize,
}

impl Kept {
    /// A new dictation in the folder of an inspection, named by the time of day as recorders do.
    fn create(folder: &Path) -> Result<Kept, Failure> {
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

    fn now_ms(&self) -> u64 {
        self.started.elapsed().as_millis() as u64
    }

    fn begin(&mut self) {
        self.captions.begin(self.now_ms());
    }

    fn say(&mut self, said: &crate::dictation::Utterance) {
        let now = self.now_ms();
        if let Some(caption) = self.captions.caption(said, now) {
            self.waiting.0.push_str(&caption);
            self.waiting.1.push(said.text.trim().to_string());
        }
    }

    /// Brings everything to the disk, in one write; gives the words.
    fn flush(&mut self) -> Result<Vec<String>, Failure> {
        let (captions, words) = std::mem::take(&mut self.waiting);
        if let Err(e) = self.file.write_all(captions.as_bytes()).and_then(|()| self.file.sync_data()) {
            say(&format!("these words are not on the disk: {}", words.join(" / ")));
            return Err(Failure::unwritten(&shown(&self.path), e));
        }
        self.lines += words.len();
        Ok(words)
    }

    /// A dictation without a word is not left behind.
    fn close(&self) {
        if self.lines == 0 {
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// What is shown while somebody talks: on a terminal one picture that changes, else a line for each thing.
struct View {
    term: Option<Term>,
    drawn: usize,
    news: Vec<News>,
    gaps: Option<Coverage>,
    told_gaps: usize,
    soon: String,
    last: String,
}

impl View {
    fn open(session: &Session) -> View {
        // who types lines here would see them drawn over
        let is_screen = io::stderr().is_terminal() && (session.start || !io::stdin().is_terminal());
        let term = is_screen.then(Term::buffered_stderr);
        View { term, drawn: 0, news: Vec::new(), gaps: None, told_gaps: 0, soon: String::new(), last: String::new() }
    }

    fn heard(&mut self, fresh: &[String], before: Option<&FinalList>, now: &FinalList) {
        self.last = fresh.last().cloned().unwrap_or_default();
        self.news = voice::growth(before.map(|b| &b.document), &now.document);
    }

    fn show(&mut self, kept: &Kept, list: Option<&FinalList>, fresh: Option<&[String]>) {
        match &self.term {
            Some(_) => self.draw(kept, list),
            None => {
                if let Some(fresh) = fresh {
                    self.print(kept, fresh);
                }
            }
        }
    }

    fn draw(&mut self, kept: &Kept, list: Option<&FinalList>) {
        let (Some(term), Some(list)) = (&self.term, list) else { return };
        let (rows, columns) = term.size();
        let moment = Moment {
            document: &list.document,
            news: &self.news,
            gaps: self.gaps.as_ref(),
            soon: &self.soon,
            last: &self.last,
            kept: kept.lines,
            now_ms: kept.now_ms(),
        };
        let lines = voice::screen(&moment, columns.into(), usize::from(rows).saturating_sub(1));
        let text = lines.join("\n");
        // a terminal that is gone shows nothing, and nothing is lost by it
        let _ = term.clear_last_lines(self.drawn).and_then(|()| term.write_line(&text)).and_then(|()| term.flush());
        self.drawn = lines.len();
    }

    fn print(&mut self, kept: &Kept, fresh: &[String]) {
        let mut text = String::new();
        for words in fresh {
            text.push_str(&format!("{} \"{}\"\n", report::time(kept.now_ms()), report::shown(words)));
        }
        for n in &self.news {
            text.push_str(&format!("  {} {}\n", n.what.sign(), n.words));
        }
        let gaps = self.gaps.as_ref().map_or(0, |g| g.gaps.len());
        if let Some(coverage) = self.gaps.as_ref().filter(|_| gaps != self.told_gaps) {
            self.told_gaps = gaps;
            text.push_str(&format!("  {gaps} of {} points not spoken of yet\n", coverage.points));
        }
        let mut err = io::stderr().lock();
        let _ = err.write_all(text.as_bytes());
    }

    fn close(&mut self) {
        if let Some(term) = &self.term {
            let _ = term.clear_last_lines(self.drawn).and_then(|()| term.flush());
        }
    }
}

fn shown(path: &Path) -> String {
    report::shown(&path.display().to_string())
}
