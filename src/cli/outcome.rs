//! Owns what a run can come to, and the exit code for each.

use std::io::{self, Write};
use std::process::ExitCode;

use crate::dictation::Problem;
use crate::lexicon::LexiconError;
use crate::pricing::BookProblem;
use crate::report;
use crate::review::LogError;
use crate::voice::VoiceProblem;

/// Columns of lines for people where nothing is known of what shows them.
pub(super) const COLUMNS: usize = 80;
/// Wider lines are hard to read however wide the terminal is.
const MOST_COLUMNS: usize = 120;

/// Columns of lines for people at a terminal.
pub(super) fn terminal_columns() -> usize {
    textwrap::termwidth().min(MOST_COLUMNS)
}

/// A run that came to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// All inputs were read.
    Fine,
    /// Some input could not be read; the others are done.
    SomeUnread,
    /// What was looked at has problems, which are told.
    Problems,
}

/// A run that was broken off.
#[derive(Debug)]
pub(super) enum Failure {
    /// The arguments ask for something that can't be.
    Usage(String),
    /// The arguments could not even be told apart; clap says why, or shows the help that was asked for.
    Arguments(clap::Error),
    /// A lexicon file can't be used.
    Lexicon(LexiconError),
    /// A rate book has problems.
    Book(Vec<BookProblem>),
    /// A configuration of recognisers has problems.
    Recognisers(Vec<VoiceProblem>),
    /// What was named can't be used as input.
    Input(String),
    /// The only input can't be read.
    Unread(Problem),
    /// The log of decisions can't be read or written, or was written by somebody else.
    Log(LogError),
    /// The output can't be written there.
    Unwritten { place: String, error: io::Error },
    /// Whoever read the output wants no more of it.
    Closed,
}

impl Failure {
    /// A failure to read a place that was named, with what to do.
    pub(super) fn unreadable(place: &str, error: &io::Error, help: &str) -> Failure {
        let why = match error.kind() {
            io::ErrorKind::NotFound => "there is no such file or folder".to_string(),
            io::ErrorKind::PermissionDenied => "it may not be read by you".to_string(),
            io::ErrorKind::NotADirectory => "it is no folder".to_string(),
            io::ErrorKind::InvalidData => "it is not UTF-8 text".to_string(),
            _ => error.to_string(),
        };
        Failure::Input(format!("{place}: can't be read: {why}; {help}"))
    }

    /// A word that is none of those that may stand there: they are listed below what is wrong.
    pub(super) fn none_of(what: &str, known: &[&str]) -> Failure {
        let options = textwrap::Options::new(COLUMNS).initial_indent("  ").subsequent_indent("  ");
        Failure::Usage(format!("{what}:\n{}", textwrap::fill(&known.join(", "), options)))
    }

    /// A failure to write to a place.
    pub(super) fn unwritten(place: &str, error: impl Into<io::Error>) -> Failure {
        let error = error.into();
        match error.kind() {
            io::ErrorKind::BrokenPipe => Failure::Closed,
            _ => Failure::Unwritten { place: place.to_string(), error },
        }
    }
}

/// Tells the user what went wrong, if anything, and gives the exit code: the one place that does.
pub(super) fn exit(result: Result<Outcome, Failure>) -> ExitCode {
    match result {
        Ok(Outcome::Fine) | Err(Failure::Closed) => ExitCode::SUCCESS,
        Ok(Outcome::SomeUnread | Outcome::Problems) => ExitCode::from(1),
        Err(Failure::Unread(problem)) => {
            say(&problem.to_string());
            ExitCode::from(1)
        }
        Err(Failure::Log(error)) => {
            say(&error.to_string());
            ExitCode::from(1)
        }
        Err(Failure::Unwritten { place, error }) => {
            say(&format!("{place}: can't be written: {error}; check the place and its free space"));
            ExitCode::from(1)
        }
        Err(Failure::Input(what)) => {
            say(&what);
            ExitCode::from(1)
        }
        Err(Failure::Book(problems)) => {
            problems.iter().for_each(|p| diagnose(&p.render(terminal_columns())));
            say(&format!(
                "{} in the rate book; nothing was priced",
                report::count(problems.len(), "problem", "problems")
            ));
            ExitCode::from(1)
        }
        Err(Failure::Recognisers(problems)) => {
            problems.iter().for_each(|p| diagnose(&p.render(terminal_columns())));
            say(&format!(
                "{} in the configuration; no recogniser was run",
                report::count(problems.len(), "problem", "problems")
            ));
            ExitCode::from(1)
        }
        Err(Failure::Usage(what)) => {
            say(&what);
            ExitCode::from(2)
        }
        Err(Failure::Lexicon(error)) => {
            say(&error.to_string());
            ExitCode::from(1)
        }
        Err(Failure::Arguments(error)) => {
            let _ = error.print();
            if error.use_stderr() { ExitCode::from(2) } else { ExitCode::SUCCESS }
        }
    }
}

/// A line to standard error; lines that can't be written there can't be told anyone.
pub(super) fn say(lines: &str) {
    let mut stderr = io::stderr().lock();
    for line in lines.lines() {
        let _ = writeln!(stderr, "{}", report::shown(line));
    }
}

/// A rendered problem to standard error, coloured where that is wanted.
fn diagnose(rendered: &str) {
    let mut stderr = anstream::stderr().lock();
    let _ = writeln!(stderr, "{rendered}\n");
}
