//! Owns records: dictations that come one a line as JSON, `{"id": "…", "text": "…"}` or `{"id": "…", "utterances": […]}`.
//!
//! `text` is what a file would hold, in any format, and is read like a file of that name. `utterances` are texts, or objects with
//! `text` and times as in a findings document (`start_ms`, `end_ms`) or as recognisers write them (`start`, `end` in seconds).

use std::io::{self, BufRead, Read};

use super::json_scan::{self, Node, Scanned, Value};
use super::reading::Reading;
use super::{Dictation, Format, Problem, digest, read, recogniser_json};

/// Bytes that a line may have; more is no record.
const LONGEST: u64 = 256 << 20;

/// What records are told of: they come by standard input.
const STREAM: &str = "-";

/// One line that should be a record.
#[derive(Debug, Clone)]
pub struct Record {
    number: usize,
    bytes: Vec<u8>,
}

/// The records of a stream, blank lines left out; what can't be read of it is a problem and the rest goes on.
///
/// ```
/// use hoistnote::dictation::Records;
///
/// let stream = "{\"id\": 7, \"text\": \"horn works\"}\nno record\n".as_bytes();
/// let read: Vec<_> = Records::new(stream).map(|record| record?.read()).collect();
/// assert!(read[0].as_ref().is_ok_and(|d| d.path == "7" && d.utterances[0].text == "horn works"));
/// assert!(read[1].as_ref().is_err_and(|problem| problem.line == Some(2)));
/// ```
#[derive(Debug)]
pub struct Records<R> {
    input: R,
    number: usize,
    is_over: bool,
}

impl<R: BufRead> Records<R> {
    /// The records of this stream.
    pub fn new(input: R) -> Self {
        Self { input, number: 0, is_over: false }
    }

    fn line(&mut self) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        (&mut self.input).take(LONGEST).read_until(b'\n', &mut bytes)?;
        Ok(bytes)
    }
}

impl<R: BufRead> Iterator for Records<R> {
    type Item = Result<Record, Problem>;

    fn next(&mut self) -> Option<Self::Item> {
        while !self.is_over {
            self.number += 1;
            let number = self.number;
            let failed = |e: io::Error| {
                Problem::whole(STREAM, format!("can't be read on: {e}"), "give the records again").at_line(number)
            };
            let bytes = match self.line() {
                Ok(bytes) => bytes,
                Err(e) => {
                    self.is_over = true;
                    return Some(Err(failed(e)));
                }
            };
            self.is_over = bytes.is_empty();
            if bytes.len() as u64 == LONGEST && bytes.last() != Some(&b'\n') {
                self.is_over = self.input.skip_until(b'\n').is_err();
                let what = format!("a line of more than {} MB", LONGEST >> 20);
                let advice = "skipped; end each record with a line feed";
                return Some(Err(Problem::whole(STREAM, what, advice).at_line(number)));
            }
            if !bytes.trim_ascii().is_empty() {
                return Some(Ok(Record { number, bytes }));
            }
        }
        None
    }
}

impl Record {
    /// Reads the dictation; its path is the record's id.
    ///
    /// # Errors
    /// A [`Problem`] with the number of the line when it is no record, or its text is no dictation.
    pub fn read(&self) -> Result<Dictation, Problem> {
        let text = str::from_utf8(&self.bytes).map_err(|e| {
            let valid = self.bytes.get(..e.valid_up_to()).unwrap_or_default();
            let column = String::from_utf8_lossy(valid).chars().count() + 1;
            self.refused("not UTF-8", "write records as UTF-8").at_column(column)
        })?;
        let Scanned { node, end, cut } = json_scan::value(text, 0).map_err(|fault| {
            let what = format!("broken JSON: {}", fault.what);
            self.refused(&what, "skipped; write each record as one line of JSON").at_column(column(text, fault.at))
        })?;
        let rest = text.get(end..).unwrap_or_default();
        if cut {
            return Err(self.refused("the JSON breaks off", "skipped; write each record as one whole line"));
        }
        if !rest.trim().is_empty() {
            let at = column(text, text.len() - rest.trim_start().len());
            return Err(self.refused("more than one value", "skipped; write one record a line").at_column(at));
        }
        if !matches!(node.value, Value::Object(_)) {
            return Err(self.shapeless("no JSON object"));
        }
        let id = match node.get("id").map(|id| &id.value) {
            Some(Value::Text(id)) if !id.trim().is_empty() => id.clone(),
            Some(Value::Number(id)) => (*id).to_owned(),
            _ => return Err(self.shapeless("no `id`")),
        };
        match (node.get("text").map(|t| &t.value), node.get("utterances")) {
            (Some(Value::Text(words)), None) => read(&id, words.as_bytes()).map_err(|p| self.inside(&id, p)),
            (None, Some(list)) if matches!(list.value, Value::Array(_)) => Ok(self.listed(text, id, list, end)),
            (Some(_), Some(_)) => Err(self.shapeless("both `text` and `utterances`")),
            _ => Err(self.shapeless("no `text` and no list of `utterances`")),
        }
    }

    fn listed(&self, text: &str, id: String, list: &Node<'_>, end: usize) -> Dictation {
        let mut reading = Reading::new(STREAM);
        recogniser_json::utterances(text, list, &mut reading);
        let (utterances, warnings) = reading.finish();
        let warnings = warnings.into_iter().map(|p| self.inside(&id, Problem { line: None, ..p })).collect();
        let sha256 = digest(text.get(list.at..end).unwrap_or_default().as_bytes());
        Dictation { path: id, format: Format::RecogniserJson, sha256, utterances, warnings }
    }

    fn refused(&self, what: &str, advice: &str) -> Problem {
        Problem::whole(STREAM, what, advice).at_line(self.number)
    }

    fn shapeless(&self, what: &str) -> Problem {
        let advice = "skipped; a record is {\"id\": \"…\", \"text\": \"…\"} or {\"id\": \"…\", \"utterances\": […]}";
        self.refused(what, advice)
    }

    /// A problem of what a record holds, at the record's line of the stream.
    fn inside(&self, id: &str, problem: Problem) -> Problem {
        let line = problem.line.map(|n| format!(", line {n} of its text")).unwrap_or_default();
        let what = format!("record \"{id}\"{line}: {}", problem.what);
        Problem { path: STREAM.to_owned(), line: Some(self.number), what, ..problem }
    }
}

fn column(text: &str, at: usize) -> usize {
    text.get(..at).map_or(0, |before| before.chars().count()) + 1
}
