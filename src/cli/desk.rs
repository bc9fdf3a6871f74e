//! Owns `desk`: the page of the service writer, until it is interrupted.

use std::net::SocketAddr;
use std::path::Path;

use crate::desk::{self, Opening};
use crate::report;

use super::demo::print;
use super::find::Reader;
use super::outcome::{Failure, Outcome, say};
use super::rates;
use super::request::Reading;

/// Runs `desk`.
pub(super) fn run(
    folder: &Path,
    listen: SocketAddr,
    book: Option<&Path>,
    reading: Reading,
) -> Result<Outcome, Failure> {
    let shown = report::shown(&folder.display().to_string());
    if !folder.is_dir() {
        return Err(Failure::Input(format!("{shown}: no such folder; name the one that holds the inspections")));
    }
    if !listen.ip().is_loopback() {
        say("listening beyond this machine: what is sent is not encrypted, and whoever has the address can decide");
    }
    let book = book.map(|path| rates::read(path, reading.lexicon.as_deref())).transpose()?;
    let (interpreter, settings) = Reader::open(&reading)?.into_parts();
    let opening = Opening { folder, listen, interpreter, settings, lexicon: reading.lexicon, book };
    let opened = |address: &str| {
        say("the desk is open until you press Ctrl-C; keep the address to yourself:");
        // who closed standard output has no use for the address
        let _ = print(&format!("{address}\n"));
    };
    desk::serve(opening, opened).map_err(|e| Failure::unwritten(&format!("the desk on {listen} over {shown}"), e))?;
    Ok(Outcome::Fine)
}
