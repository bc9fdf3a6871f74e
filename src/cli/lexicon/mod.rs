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

use args::RawLexiconCommand;
use serde::Serialize;

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

/// Prints JSON.
fn print_json<T: Serialize>(sink: &mut Sink, what: &T) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(what).map_err(|e| Failure::unwritten("JSON", e))?;
    sink.plain(&format!("{text}\n"))
}
