//! Owns `demo`: the findings of a walkaround that was invented for showing, and is marked so wherever it appears.

use crate::dictation;
use crate::{history, pricing, report};

use super::args::Of;
use super::find::{Reader, Writer};
use super::outcome::{Failure, Outcome};
use super::request::{Output, Reading};
use super::sink::Sink;

const TEXT: &str = include_str!("../../samples/demo-walkaround.vtt");
const PATH: &str = "demo-walkaround.vtt (invented example)";
const CAUTION: &str =
    "Invented example: this vehicle and all that is said of it were made up to show what the program does.";

/// Runs `demo`.
pub(super) fn run(reading: &Reading, output: &Output) -> Result<Outcome, Failure> {
    let reader = Reader::open(reading)?;
    let mut writer = Writer::open(output, &reader)?;
    let dictation = dictation::read(PATH, TEXT.as_bytes()).map_err(Failure::Unread)?;
    let mut document = reader.document(&dictation);
    document.cautions.insert(0, CAUTION.into());
    writer.write(&document)?;
    writer.finish()?;
    Ok(Outcome::Fine)
}

/// Runs `demo --text`.
pub(super) fn text() -> Result<Outcome, Failure> {
    print(TEXT)
}

/// Runs `schema`.
pub(super) fn schema(of: Of) -> Result<Outcome, Failure> {
    let text = match of {
        Of::Find => report::schema(),
        Of::Price => pricing::schema(),
        Of::Compare => history::schema(),
    };
    let text = text.map_err(|e| Failure::unmade("schema", &e))?;
    print(&text)
}

/// Prints text that comes with the program.
pub(super) fn print(text: &str) -> Result<Outcome, Failure> {
    Sink::open(None)?.plain(text)?;
    Ok(Outcome::Fine)
}
