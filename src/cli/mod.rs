//! Owns the command line: arguments in, exit code out. Files, terminals and standard streams are touched here and in
//! [`crate::dictation::gather`] alone.

mod args;
mod child;
mod compare;
mod decide;
mod demo;
mod desk;
mod documents;
mod due;
mod find;
mod hear;
mod in_order;
mod lexicon;
mod live;
mod outcome;
mod price;
mod rates;
mod recogniser;
mod records;
mod request;
mod results;
mod review;
mod sink;
mod why;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{CommandFactory, Parser};

use args::Raw;
use outcome::{Failure, Outcome};
use request::Request;

/// Runs the program with these arguments, the first being its name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    outcome::exit(perform(arguments))
}

fn perform(arguments: impl IntoIterator<Item = OsString>) -> Result<Outcome, Failure> {
    let raw = Raw::try_parse_from(arguments).map_err(Failure::Arguments)?;
    match Request::check(raw)? {
        Request::Find { inputs, reading, output } => find::run(&inputs, &reading, &output),
        Request::Hear(hearing) => hear::run(*hearing),
        Request::Live(session) => live::run(&session),
        Request::FindInto { results, reading, output } => results::run(&results, &reading, &output),
        Request::FindRecords { reading, out } => records::run(&reading, out.as_deref()),
        Request::Why { source, id, reading } => why::run(&source, &id, &reading),
        Request::Demo { reading, output } => demo::run(&reading, &output),
        Request::Final { folder, reading, output } => review::run_final(&folder, &reading, &output),
        Request::Decide { folder, edit, reading } => review::run_decide(&folder, &edit, &reading),
        Request::Desk(opened) => desk::run(*opened),
        Request::DemoText => demo::text(),
        Request::Lexicon(raw) => lexicon::run(raw),
        Request::Price(order) => price::run(&order),
        Request::Due(due) => due::run(&due),
        Request::Compare(visits) => compare::run(&visits),
        Request::Schema(of) => demo::schema(of),
        Request::Completions(shell) => completions(shell),
    }
}

fn completions(shell: clap_complete::Shell) -> Result<Outcome, Failure> {
    // Into memory first: the generator would panic on a closed pipe.
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Raw::command(), "hoistnote", &mut script);
    demo::print(&String::from_utf8_lossy(&script))
}
