//! Owns `lexicon`: what a shop does with its words. Files are read and written here, the rest is [`crate::shop`]'s.

mod args;
mod check;
mod folder;
mod import;
mod lists;
mod replay;
mod suggest;
mod trial;

pub(super) use args::RawLexiconArgs;
pub(super) use lists::hint;

use args::RawLexiconCommand;
use serde::Serialize;

use crate::report::csv_rows;

use super::outcome::{Failure, Outcome};
use super::sink::Sink;

/// Runs `lexicon`.
pub(super) fn run(raw: RawLexiconArgs) -> Result<Outcome, Failure> {
    match raw.command {
        RawLexiconCommand::Check(c) => check::run(&c),
        RawLexiconCommand::Try(t) => trial::run(&t),
        RawLexiconCommand::Suggest(s) => suggest::run(&s),
        RawLexiconCommand::Replay(r) => replay::run(&r),
        RawLexiconCommand::Words(w) => lists::words(&w),
        RawLexiconCommand::Show(s) => lists::show(&s),
        RawLexiconCommand::Stats(s) => lists::stats(&s),
        RawLexiconCommand::Export(e) => lists::export(&e),
        RawLexiconCommand::Import(i) => import::run(&i),
    }
}

/// Prints rows for spreadsheets, under the names of their columns.
fn print_csv<const N: usize>(
    sink: &mut Sink,
    columns: [&str; N],
    rows: impl Iterator<Item = [String; N]>,
) -> Result<(), Failure> {
    let all = std::iter::once(columns.map(str::to_string)).chain(rows);
    sink.plain(&csv_rows(all).map_err(|e| Failure::unwritten("CSV", e))?)
}

/// Prints JSON.
fn print_json<T: Serialize>(sink: &mut Sink, what: &T) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(what).map_err(|e| Failure::unwritten("JSON", e))?;
    sink.plain(&format!("{text}\n"))
}
