//! Owns `find`: dictations in, findings out, in the order they are named.

use std::io::IsTerminal;
use std::path::Path;

use indicatif::{ProgressBar, ProgressStyle};

use jiff::civil::Date;

use crate::checklist::{self, Coverage};
use crate::dictation::{self, Dictation, Problem, Source};
use crate::findings::Document;
use crate::interpretation::{Interpreter, Settings};
use crate::lexicon::{Checklist, Lexicon, with_folder};
use crate::report::{self, Handover};
use crate::review::FinalList;

use super::args::Format;
use super::in_order::in_order;
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
        let lexicon = lexicon(reading.lexicon.as_deref())?;
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

    /// Both, for who keeps them.
    pub(super) fn into_parts(self) -> (Interpreter, Settings) {
        (self.interpreter, self.settings)
    }

    /// Reads one dictation.
    pub(super) fn dictation(source: &Source) -> Result<Dictation, Problem> {
        dictation::read(&source.path, &source.load()?)
    }

    /// What it reads with.
    pub(super) fn lexicon(&self) -> &Lexicon {
        self.interpreter.lexicon()
    }

    /// Its findings.
    pub(super) fn document(&self, dictation: &Dictation) -> Document {
        self.interpreter.document(dictation, self.settings)
    }
}

/// The built-in lexicon, with the shop's own laid over it.
pub(super) fn lexicon(folder: Option<&Path>) -> Result<Lexicon, Failure> {
    let Some(folder) = folder else {
        return Lexicon::builtin().map_err(Failure::Lexicon);
    };
    with_folder(folder).and_then(Lexicon::compile).map_err(|e| {
        let folder = report::shown(&folder.display().to_string());
        Failure::Input(format!("{e}\n`hoistnote lexicon check {folder}` shows all that is wrong in it"))
    })
}

/// A form that documents are laid out in.
pub(super) struct Form<'r> {
    format: Format,
    lexicon: &'r Lexicon,
    checklist: Option<&'r Checklist>,
}

impl<'r> Form<'r> {
    pub(super) fn open(output: &Output, reader: &'r Reader) -> Result<Form<'r>, Failure> {
        let lexicon = reader.lexicon();
        let checklist = output.checklist.as_ref().map(|id| checklist_named(lexicon, id)).transpose()?;
        Ok(Form { format: output.format, lexicon, checklist })
    }

    /// The text of a document; what follows others is set apart from them.
    pub(super) fn text(&self, document: &Document, first: bool, width: usize) -> Result<String, Failure> {
        let path = &document.source.path;
        let coverage = self.checklist.map(|c| checklist::coverage(document, c));
        let gap = if first { "" } else { "\n" };
        Ok(match self.format {
            Format::Table => {
                let text = report::table(document, width);
                let gaps = coverage.map(|c| report::table_of_gaps(&c, width)).unwrap_or_default();
                format!("{gap}{gap}{text}{gaps}")
            }
            Format::Markdown => {
                let gaps = coverage.map(|c| report::markdown_of_gaps(&c)).unwrap_or_default();
                format!("{gap}{}{gaps}", report::markdown(document))
            }
            Format::Html => report::customer_report(&self.handover(document, coverage)),
            Format::Work => {
                let list = report::work_list_text(&self.handover(document, coverage), width);
                format!("{gap}{gap}{list}")
            }
            Format::Json => report::json(document).map_err(|e| Failure::unwritten(path, e))?,
            Format::Csv => {
                let header =
                    if first { report::csv_header().map_err(|e| Failure::unwritten(path, e))? } else { String::new() };
                let rows = report::csv(document).map_err(|e| Failure::unwritten(path, e))?;
                format!("{header}{rows}")
            }
        })
    }

    /// What the form has no room for, told on standard error.
    pub(super) fn say_left_out(&self, document: &Document) {
        let n = document.unplaced.len();
        if n > 0 && self.format == Format::Csv {
            let lines = report::count(n, "line", "lines");
            say(&format!(
                "{}: {lines} could not be placed on a part and can't be shown as rows; read them with --format table",
                document.source.path
            ));
        }
    }

    fn handover<'d>(&self, document: &'d Document, coverage: Option<Coverage>) -> Handover<'d>
    where
        'r: 'd,
    {
        Handover { coverage, ..Handover::not_reviewed(document, self.lexicon) }
    }
}

/// Writes documents in a form, one after the other.
pub(super) struct Writer<'r> {
    sink: Sink,
    form: Form<'r>,
    written: usize,
}

impl<'r> Writer<'r> {
    pub(super) fn open(output: &Output, reader: &'r Reader) -> Result<Writer<'r>, Failure> {
        let form = Form::open(output, reader)?;
        Ok(Writer { sink: Sink::open(output.out.as_deref())?, form, written: 0 })
    }

    pub(super) fn write(&mut self, document: &Document) -> Result<(), Failure> {
        let text = self.form.text(document, self.written == 0, self.sink.width())?;
        self.form.say_left_out(document);
        self.written += 1;
        match self.form.format {
            Format::Table => self.sink.coloured(&text),
            _ => self.sink.plain(&text),
        }
    }

    /// A final list: as a document, with what became of the rest where the form has room for it.
    pub(super) fn write_final(&mut self, list: &FinalList, day: Option<Date>) -> Result<(), Failure> {
        let handover = || {
            let mut handover = list.handover(self.form.lexicon);
            handover.when = day.map(|d| d.to_string());
            if let Some(checklist) = self.form.checklist {
                handover.coverage = Some(checklist::coverage(&list.document, checklist));
            }
            handover
        };
        let text = match self.form.format {
            Format::Json => report::json_line(list).map_err(|e| Failure::unwritten(&list.document.source.path, e))?,
            Format::Html => report::customer_report(&handover()),
            Format::Work => report::work_list_text(&handover(), self.sink.width()),
            Format::Table | Format::Markdown | Format::Csv => return self.write(&list.document),
        };
        self.written += 1;
        self.sink.plain(&text)
    }

    /// A file takes its name only if something was written to it.
    pub(super) fn finish(self) -> Result<(), Failure> {
        match self.written {
            0 => Ok(()),
            _ => self.sink.finish(),
        }
    }
}

fn checklist_named<'l>(lexicon: &'l Lexicon, id: &str) -> Result<&'l Checklist, Failure> {
    lexicon.guidance.checklist(id).ok_or_else(|| {
        let known: Vec<&str> = lexicon.guidance.checklists.iter().map(|c| c.id.as_str()).collect();
        Failure::none_of(&format!("--checklist {}: no such checklist; known are", report::shown(id)), &known)
    })
}

/// Runs `find`.
pub(super) fn run(inputs: &Inputs, reading: &Reading, output: &Output) -> Result<Outcome, Failure> {
    let reader = Reader::open(reading)?;
    let mut writer = Writer::open(output, &reader)?;
    let mut outcome = say_problems(inputs);
    let bar = progress(inputs.sources.len());
    let read = |source: &Source| Reader::dictation(source).map(|d| (reader.document(&d), d.warnings));
    in_order(&inputs.sources, read, |found| {
        bar.suspend(|| match found {
            Ok((document, warnings)) => {
                warnings.iter().for_each(|w| say(&w.to_string()));
                writer.write(&document)
            }
            Err(problem) => {
                say(&problem.to_string());
                outcome = Outcome::SomeUnread;
                Ok(())
            }
        })?;
        bar.inc(1);
        Ok(())
    })?;
    bar.finish_and_clear();
    writer.finish()?;
    Ok(outcome)
}

/// Tells what was named and can't be read.
pub(super) fn say_problems(inputs: &Inputs) -> Outcome {
    inputs.problems.iter().for_each(|p| say(&p.to_string()));
    if inputs.problems.is_empty() { Outcome::Fine } else { Outcome::SomeUnread }
}

/// How far it is, shown at a terminal when there is more than a little to do.
pub(super) fn progress(n: usize) -> ProgressBar {
    if n <= QUIET_UP_TO || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(n as u64);
    match ProgressStyle::with_template("{pos} of {len} dictations {wide_bar} {eta}") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
