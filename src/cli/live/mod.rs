//! Owns `live`: a recogniser's running words in, the list as it grows on the screen. Words are on the disk before they are shown.

mod kept;
mod view;

use std::io::{self, BufRead, Write};
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::Duration;

use tokio::io::{AsyncBufReadExt, AsyncReadExt, BufReader};
use tokio::process::Child;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

use crate::checklist::{self, Coverage};
use crate::findings::Document;
use crate::report;
use crate::review::{self, Inspection};
use crate::voice::{self, Filled, Filling, Heard, Placeholder};

use super::args::Format;
use super::child;
use super::find::{Reader, Writer};
use super::lexicon::hint;
use super::outcome::{Failure, Outcome, say};
use super::recogniser::Recognisers;
use super::request::{Output, Reading};
use super::sink::Sink;
use kept::Kept;
use view::View;

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
    // what was said before and what was typed is no news
    let before = live.list()?;
    live.view.gaps = live.gaps(&before);
    live.shown = Some(before);
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(|e| Failure::unwritten("the recogniser", e))?;
    let outcome = runtime.block_on(live.listen(recogniser))?;
    let inspection = live.inspection()?;
    let extraction = inspection.extract(reader.interpreter(), reader.settings());
    let list = extraction.final_list(&[], reader.interpreter(), reader.settings());
    live.view.close();
    live.kept.close();
    writer.write_final(&list, inspection.day)?;
    writer.finish()?;
    // who asked for a checklist has it with the list already
    if session.output.format == Format::Table && session.output.checklist.is_none() && session.output.out.is_none() {
        let mut sink = Sink::open(None)?;
        if let Some(gaps) = live.gaps(&list.document) {
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
    shown: Option<Document>,
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
                _ = ticks.tick() => self.view.draw(&self.kept, self.shown.as_ref()),
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
            // the words at once, what they did as soon as it is known
            self.view.heard(&fresh, &self.kept, self.shown.as_ref());
            let list = self.list()?;
            self.view.news = voice::growth(self.shown.as_ref(), &list);
            self.view.gaps = self.gaps(&list);
            self.view.understood(&self.kept, &list);
            self.shown = Some(list);
        } else {
            self.view.draw(&self.kept, self.shown.as_ref());
        }
        Ok(goes_on)
    }

    /// The inspection as it is on the disk.
    fn inspection(&self) -> Result<Inspection, Failure> {
        let folder = &self.session.folder;
        Inspection::open(folder).map_err(|e| Failure::unreadable(&shown(folder), &e, "check the folder's rights"))
    }

    /// The list of it.
    fn list(&self) -> Result<Document, Failure> {
        Ok(self.inspection()?.extract(self.reader.interpreter(), self.reader.settings()).document)
    }

    /// What nobody spoke of yet, of the checklist that was named, else of the one that fits the vehicle.
    fn gaps(&self, list: &Document) -> Option<Coverage> {
        let lexicon = self.reader.lexicon();
        match &self.checklist {
            Some(id) => Some(checklist::coverage(list, lexicon.guidance.checklist(id)?)),
            None => review::coverage(list, lexicon),
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

fn shown(path: &Path) -> String {
    report::shown(&path.display().to_string())
}
