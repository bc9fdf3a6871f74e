//! Owns `find`: dictations in, findings out, one after the other.

use std::io::IsTerminal;

use indicatif::{ProgressBar, ProgressStyle};

use crate::dictation::{self, Dictation, Problem, Source};
use crate::findings::Document;
use crate::interpretation::{Interpreter, Settings};
use crate::lexicon::{Lexicon, with_folder};
use crate::report;
use crate::review::FinalList;

use super::args::Format;
use super::outcome::{Failure, Outcome, say};
use super::request::{Inputs, Output, Reading};
use super::sink::Sink;

/// With more inputs than this, progress is shown.
const QUIET_UP_TO: usize = 3;

/// An interpreter with its settings.
pub(super) struct Reader {
    interpreter: Interpreter,
    settings: Settings,
}

impl Reader {
    /// Loads the lexicon.
    pub(super) fn open(reading: &Reading) -> Result<Reader, Failure> {
        let lexicon = match &reading.lexicon {
            Some(folder) => with_folder(folder).and_then(Lexicon::compile),
            None => Lexicon::builtin(),
        };
        let lexicon = lexicon.map_err(Failure::Lexicon)?;
        Ok(Reader { interpreter: Interpreter::new(lexicon), settings: reading.settings })
    }

    /// The interpreter.
    pub(super) fn interpreter(&self) -> &Interpreter {
        &self.interpreter
    }

    /// How it reads.
    pub(super) fn settings(&self) -> Settings {
        self.settings
    }

    /// Reads one dictation.
    pub(super) fn dictation(source: &Source) -> Result<Dictation, Problem> {
        dictation::read(&source.path, &source.load()?)
    }

    /// Its findings.
    pub(super) fn document(&self, dictation: &Dictation) -> Document {
        self.interpreter.document(dictation, self.settings)
    }
}

/// Writes documents in a form, one after the other.
pub(super) struct Writer {
    sink: Sink,
    format: Format,
    written: usize,
}

impl Writer {
    pub(super) fn open(output: &Output) -> Result<Writer, Failure> {
        Ok(Writer { sink: Sink::open(output.out.as_deref())?, format: output.format, written: 0 })
    }

    pub(super) fn write(&mut self, document: &Document) -> Result<(), Failure> {
        let first = self.written == 0;
        self.written += 1;
        let unwritable =
            |e: &dyn std::fmt::Display| Failure::unwritten(&document.source.path, std::io::Error::other(e.to_string()));
        match self.format {
            Format::Table => {
                let gap = if first { "" } else { "\n\n" };
                let text = report::table(document, self.sink.width());
                self.sink.coloured(&format!("{gap}{text}"))
            }
            Format::Markdown => {
                let gap = if first { "" } else { "\n" };
                self.sink.plain(&format!("{gap}{}", report::markdown(document)))
            }
            Format::Json => self.sink.plain(&report::json(document).map_err(|e| unwritable(&e))?),
            Format::Csv => {
                let header = if first { report::csv_header().map_err(|e| unwritable(&e))? } else { String::new() };
                let rows = report::csv(document).map_err(|e| unwritable(&e))?;
                say_left_out(document);
                self.sink.plain(&format!("{header}{rows}"))
            }
        }
    }

    /// A final list: as a document, with what became of the rest where the form has room for it.
    pub(super) fn write_final(&mut self, list: &FinalList) -> Result<(), Failure> {
        if self.format != Format::Json {
            return self.write(&list.document);
        }
        self.written += 1;
        let line = serde_json::to_string(list)
            .map_err(|e| Failure::unwritten(&list.document.source.path, std::io::Error::other(e.to_string())))?;
        self.sink.plain(&format!("{line}\n"))
    }

    /// A file takes its name only if something was written to it.
    pub(super) fn finish(self) -> Result<(), Failure> {
        match self.written {
            0 => Ok(()),
            _ => self.sink.finish(),
        }
    }
}

/// Rows hold findings alone: what they leave out is told.
fn say_left_out(document: &Document) {
    let n = document.unplaced.len();
    if n > 0 {
        let lines = if n == 1 { "1 line" } else { &format!("{n} lines") };
        say(&format!(
            "{}: {lines} could not be placed on a part and can't be shown as rows; read them with --format table",
            document.source.path
        ));
    }
}

/// Runs `find`.
pub(super) fn run(inputs: &Inputs, reading: &Reading, output: &Output) -> Result<Outcome, Failure> {
    let reader = Reader::open(reading)?;
    let mut writer = Writer::open(output)?;
    let mut outcome = Outcome::Fine;
    for problem in &inputs.problems {
        say(&problem.to_string());
        outcome = Outcome::SomeUnread;
    }
    let bar = progress(inputs.sources.len());
    for source in &inputs.sources {
        match Reader::dictation(source) {
            Ok(dictation) => {
                let document = reader.document(&dictation);
                bar.suspend(|| {
                    dictation.warnings.iter().for_each(|w| say(&w.to_string()));
                    writer.write(&document)
                })?;
            }
            Err(problem) => {
                bar.suspend(|| say(&problem.to_string()));
                outcome = Outcome::SomeUnread;
            }
        }
        bar.inc(1);
    }
    bar.finish_and_clear();
    writer.finish()?;
    Ok(outcome)
}

fn progress(n: usize) -> ProgressBar {
    if n <= QUIET_UP_TO || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(n as u64);
    match ProgressStyle::with_template("{pos} of {len} dictations {wide_bar} {eta}") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
