//! Owns `desk`: the page of the service writer, until it is interrupted.

use std::net::SocketAddr;
use std::path::PathBuf;

use crate::desk::{self, Opening};
use crate::report;

use super::demo::print;
use super::find::Reader;
use super::hear;
use super::outcome::{Failure, Outcome, say};
use super::rates;
use super::request::Reading;

/// A desk to open.
pub(super) struct Opened {
    pub folder: PathBuf,
    pub listen: SocketAddr,
    pub tls: Option<PathBuf>,
    pub name: Option<String>,
    pub rates: Option<PathBuf>,
    pub config: Option<PathBuf>,
    pub reading: Reading,
}

/// Runs `desk`.
pub(super) fn run(desk: Opened) -> Result<Outcome, Failure> {
    let (listen, reading) = (desk.listen, desk.reading);
    let shown = report::shown(&desk.folder.display().to_string());
    if !desk.folder.is_dir() {
        return Err(Failure::Input(format!("{shown}: no such folder; name the one that holds the inspections")));
    }
    if !listen.ip().is_loopback() && desk.tls.is_none() {
        say(
            "listening beyond this machine: what is sent is not encrypted, and whoever has the address can decide; --tls DIR encrypts",
        );
    }
    let book = desk.rates.map(|path| rates::read(&path, reading.lexicon.as_deref())).transpose()?;
    let write = desk.config.map(|path| hear::writer(&path, reading.lexicon.as_deref())).transpose()?;
    let (interpreter, settings) = Reader::open(&reading)?.into_parts();
    let folder = &desk.folder;
    let (tls, name, lexicon) = (desk.tls, desk.name, reading.lexicon);
    let opening = Opening { folder, listen, tls, name, interpreter, settings, lexicon, book, write };
    let opened = |address: &str| {
        say("the desk is open until you press Ctrl-C; keep the address to yourself:");
        // who closed standard output has no use for the address
        let _ = print(&format!("{address}\n"));
    };
    desk::serve(opening, opened).map_err(|e| Failure::unwritten(&format!("the desk on {listen} over {shown}"), e))?;
    Ok(Outcome::Fine)
}
