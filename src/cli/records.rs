//! Owns `find --records`: a stream of dictations on standard input, one a line, to a stream of findings documents. What it holds in
//! memory does not grow with the length of the stream.

use std::io;
use std::path::Path;
use std::sync::mpsc::{Receiver, sync_channel};

use crate::dictation::{Problem, Record, Records};
use crate::report;

use super::find::Reader;
use super::in_order::{at_once, in_order};
use super::outcome::{Failure, Outcome, say};
use super::request::Reading;
use super::sink::Sink;

/// Runs `find --records`.
pub(super) fn run(reading: &Reading, out: Option<&Path>) -> Result<Outcome, Failure> {
    let reader = Reader::open(reading)?;
    let mut sink = Sink::open(out)?;
    let mut outcome = Outcome::Fine;
    let (sender, records) = sync_channel(at_once());
    // never joined: it may wait for input that nobody wants any more
    std::thread::spawn(move || {
        let mut all = Records::new(io::stdin().lock());
        all.try_for_each(|record| sender.send(record))
    });
    while let Some(some) = next(&records) {
        let read = |record: &Result<Record, Problem>| {
            let dictation = record.as_ref().map_err(Clone::clone)?.read()?;
            Ok((reader.document(&dictation), dictation.warnings))
        };
        in_order(&some, read, |found: Result<_, Problem>| match found {
            Ok((document, warnings)) => {
                warnings.iter().for_each(|w| say(&w.to_string()));
                sink.plain(&report::json(&document).map_err(|e| Failure::unwritten(&document.source.path, e))?)
            }
            Err(problem) => {
                say(&problem.to_string());
                outcome = Outcome::SomeUnread;
                Ok(())
            }
        })?;
    }
    sink.finish()?;
    Ok(outcome)
}

/// The records that are there, at least one: whoever waits for an answer to each gets it.
fn next<T>(records: &Receiver<T>) -> Option<Vec<T>> {
    let mut some = vec![records.recv().ok()?];
    some.extend(records.try_iter().take(at_once()));
    Some(some)
}
