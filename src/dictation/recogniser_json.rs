//! Owns the reading of recogniser JSON: segments or words with seconds, whole or one object a line.

use super::json_scan::{self, Fault, Node, Scanned, Value};
use super::reading::Reading;
use super::sentences::{one_line, sentences};
use super::words::{self, TimedWord};
use super::{Problem, Utterance, WordTime, stamps};

/// Whether the text opens as JSON does. `[0:05]`, `[x]` and `[ ]` open lines of notes.
pub(super) fn fits(text: &str) -> bool {
    let text = text.trim();
    let after = text.get(1..).map(str::trim_start).unwrap_or_default();
    match text.chars().next() {
        Some('[') => after.starts_with(['{', '"']) || after == "]" || nested(after),
        Some('{') => after.starts_with('"') || after == "}",
        _ => false,
    }
}

fn nested(after: &str) -> bool {
    after.strip_prefix('[').is_some_and(|inner| inner.trim_start().starts_with('{'))
}

pub(super) fn read(text: &str, reading: &mut Reading) -> Result<(), Problem> {
    let mut reader = Reader::new(text, reading);
    let one_value = json_scan::value(text, 0)
        .is_ok_and(|scanned| text.get(scanned.end..).is_none_or(|rest| rest.trim().is_empty()));
    if !one_value && one_a_line(text) {
        reader.lines();
    } else {
        reader.whole()?;
    }
    reader.tell_lost();
    Ok(())
}

/// Reads utterances: texts, or segments with times. `text` is all that the node was scanned from.
pub(super) fn utterances(text: &str, node: &Node<'_>, reading: &mut Reading) {
    Reader::new(text, reading).all(node);
}

/// Whether most lines are objects of their own.
fn one_a_line(text: &str) -> bool {
    let lines: Vec<&str> = text.split('\n').filter(|line| !line.trim().is_empty()).collect();
    let is_object = |line: &&&str| json_scan::value(line, 0).is_ok_and(|scanned| is_whole_object(line, &scanned));
    let objects = lines.iter().filter(is_object).count();
    lines.len() > 1 && objects * 2 > lines.len()
}

fn is_whole_object(text: &str, scanned: &Scanned<'_>) -> bool {
    let rest = text.get(scanned.end..).unwrap_or_default();
    is_object(scanned) && !scanned.cut && rest.trim_matches([' ', '\t', ',']).is_empty()
}

fn is_object(scanned: &Scanned<'_>) -> bool {
    matches!(scanned.node.value, Value::Object(_))
}

fn line_breaks(text: &str) -> Vec<usize> {
    text.match_indices('\n').map(|(at, _)| at).collect()
}

struct Reader<'t, 'r> {
    text: &'t str,
    breaks: Vec<usize>,
    /// How many timed words were not in their text; the first of them.
    lost: Option<(usize, usize, String)>,
    reading: &'r mut Reading,
}

impl<'t, 'r> Reader<'t, 'r> {
    fn new(text: &'t str, reading: &'r mut Reading) -> Self {
        Self { text, breaks: line_breaks(text), lost: None, reading }
    }

    fn all(&mut self, node: &Node<'_>) {
        self.item(node);
        self.tell_lost();
    }

    fn tell_lost(&mut self) {
        if let Some((count, line, word)) = self.lost.take() {
            let what = format!("{count} timed word(s) not found in their text, the first being `{word}`");
            self.reading.warn(line, what, "the text is kept as it is");
        }
    }

    fn line(&self, at: usize) -> usize {
        self.breaks.partition_point(|stop| *stop < at) + 1
    }

    fn fault(&self, fault: &Fault) -> Problem {
        let line = self.line(fault.at);
        let start = line.checked_sub(2).and_then(|i| self.breaks.get(i)).map_or(0, |at| at + 1);
        let column = self.text.get(start..fault.at).map_or(0, |before| before.chars().count()) + 1;
        let what = format!("broken JSON: {}", fault.what);
        self.reading.problem(line, what, "nothing was read; export it again or mend this place").at_column(column)
    }

    fn lines(&mut self) {
        let mut from = 0;
        for line in self.text.split('\n') {
            let at = from;
            from += line.len() + 1;
            if line.trim_matches([' ', '\t', ',', '[', ']', '{', '}']).is_empty() {
                continue;
            }
            // Scanned within the whole text, so that places in it are told rightly.
            let upto = self.text.get(..at + line.len()).unwrap_or_default();
            match json_scan::value(upto, at) {
                Ok(scanned) if is_whole_object(upto, &scanned) => self.item(&scanned.node),
                Ok(scanned) if scanned.cut && is_object(&scanned) => {
                    self.warn_cut(at);
                    self.item(&scanned.node);
                }
                _ => {
                    let number = self.line(at);
                    self.reading.warn(number, "a line that is no whole JSON object", "kept as words as it stands");
                    self.reading.keep_untimed(number, line);
                }
            }
        }
    }

    fn whole(&mut self) -> Result<(), Problem> {
        let mut at = 0;
        let mut roots = Vec::new();
        while self.text.get(at..).is_some_and(|rest| !rest.trim_start().is_empty()) {
            let scanned = json_scan::value(self.text, at).map_err(|fault| self.fault(&fault))?;
            if scanned.cut {
                self.warn_cut(self.text.trim_end().len());
            }
            at = scanned.end;
            roots.push(scanned.node);
        }
        match roots.as_slice() {
            [root] => self.root(root),
            roots => roots.iter().for_each(|root| self.item(root)),
        }
        let said_nothing = self.reading.is_empty() && !roots.iter().any(is_speech);
        if said_nothing {
            let what = "JSON without words: no `segments`, `words` or `text` with anything in it";
            return Err(self.reading.problem(1, what, "give the JSON that a speech recogniser writes"));
        }
        Ok(())
    }

    fn warn_cut(&mut self, at: usize) {
        let advice = "what stands before is kept; get the whole file if words are missing";
        self.reading.warn(self.line(at), "the JSON breaks off", advice);
    }

    /// The only value of a file. A text alone is parted into sentences.
    fn root(&mut self, node: &Node<'_>) {
        let text = text_of(node).filter(|_| node.list("segments").is_none_or(<[_]>::is_empty));
        match text {
            Some(text) if node.get("start").is_none() => self.sentences(node, &text),
            _ => self.item(node),
        }
    }

    fn sentences(&mut self, node: &Node<'_>, text: &str) {
        let line = self.line(node.at);
        let all = self.timed_words(node.list("words").unwrap_or_default());
        let speaker = speaker_of(node);
        let parts: Vec<&str> = text.split(['\n', '\r']).flat_map(sentences).map(str::trim).collect();
        let (found, missing) = words::aligned(&parts.join(" "), &all);
        self.count_lost(missing.into_iter());
        let mut from = 0;
        for part in parts {
            let to = from + part.len();
            let first = found.partition_point(|word| word.start < from);
            let inside = found.iter().skip(first).take_while(|word| word.start < to).filter(|word| word.end <= to);
            let words: Vec<WordTime> =
                inside.map(|word| WordTime { start: word.start - from, end: word.end - from, ..*word }).collect();
            from = to + 1;
            let utterance = Utterance {
                text: part.to_owned(),
                start_ms: words.first().map(|word| word.start_ms),
                end_ms: words.iter().map(|word| word.end_ms).max(),
                speaker: speaker.clone(),
                words,
            };
            self.reading.keep(line, utterance);
        }
    }

    fn count_lost<'w>(&mut self, words: impl Iterator<Item = &'w TimedWord>) {
        for word in words {
            let lost = self.lost.get_or_insert_with(|| (0, word.line, word.text.clone()));
            lost.0 += 1;
        }
    }

    /// A segment, a list of them, or a bare line of text.
    fn item(&mut self, node: &Node<'_>) {
        match &node.value {
            Value::Null => {}
            Value::Text(text) => self.reading.keep_untimed(self.line(node.at), &one_line(text)),
            Value::Array(items) if items.iter().any(is_word) && items.iter().all(|i| is_word(i) || is_vacant(i)) => {
                self.word_list(items);
            }
            Value::Array(items) => items.iter().for_each(|item| self.item(item)),
            Value::Object(_) => match node.list("segments").filter(|list| !list.is_empty()) {
                Some(segments) => segments.iter().for_each(|segment| self.item(segment)),
                None => self.segment(node),
            },
            Value::Bool | Value::Number(_) => self.unfit(node),
        }
    }

    fn unfit(&mut self, node: &Node<'_>) {
        let what = "an entry without `text` or `words`";
        self.reading.warn(self.line(node.at), what, "skipped; look there for words");
    }

    fn segment(&mut self, node: &Node<'_>) {
        let line = self.line(node.at);
        let start = self.time(node, "start");
        let end = self.time(node, "end");
        let list = node.list("words").unwrap_or_default();
        let words = self.timed_words(list);
        let mut utterance = match text_of(node) {
            Some(text) => {
                let text = one_line(&text);
                let (found, missing) = words::aligned(&text, &words);
                self.count_lost(missing.into_iter());
                Utterance { text, words: found, ..Utterance::default() }
            }
            None if start.is_none() && list.len() > 1 => return self.word_list(list),
            None if is_word(node) => words::joined(&self.timed_words(std::slice::from_ref(node))),
            None if !words.is_empty() => words::joined(&words),
            None if is_vacant(node) || node.has("text") => return,
            None => return self.unfit(node),
        };
        utterance.start_ms = start.or_else(|| utterance.words.first().map(|word| word.start_ms));
        utterance.end_ms = end.or_else(|| utterance.words.iter().map(|word| word.end_ms).max());
        utterance.speaker = speaker_of(node);
        self.reading.keep(line, utterance);
    }

    fn word_list(&mut self, items: &[Node<'_>]) {
        for (line, utterance) in words::grouped(self.timed_words(items)) {
            self.reading.keep(line, utterance);
        }
    }

    fn timed_words(&mut self, items: &[Node<'_>]) -> Vec<TimedWord> {
        let mut words = Vec::with_capacity(items.len());
        for item in items {
            let text = match &item.value {
                Value::Text(text) => Some(text.clone()),
                _ => item.get("word").or_else(|| item.get("text")).and_then(scalar),
            };
            let Some(text) = text else { continue };
            let start = self.time(item, "start");
            let end = self.time(item, "end");
            let times = start.map(|start| (start, end.unwrap_or(start).max(start)));
            words.push(TimedWord { text: one_line(&text), times, line: self.line(item.at) });
        }
        words
    }

    /// A time in seconds; whatever can't be one is told and left out.
    fn time(&mut self, node: &Node<'_>, name: &str) -> Option<u64> {
        let Some(found) = node.get(name) else {
            return self.milliseconds(node, &format!("{name}_ms"));
        };
        let written = scalar(found).unwrap_or_else(|| "a list or object".to_owned());
        let number = written.trim().trim_end_matches('s');
        let ms = match number.parse::<f64>() {
            Ok(seconds) => words::to_ms(seconds),
            Err(_) => stamps::clock(number),
        };
        self.told(ms, found, name, &written, "seconds")
    }

    /// A time in milliseconds, as findings documents have them.
    fn milliseconds(&mut self, node: &Node<'_>, name: &str) -> Option<u64> {
        let found = node.get(name)?;
        let written = scalar(found).unwrap_or_else(|| "a list or object".to_owned());
        let ms = written.parse::<f64>().ok().and_then(|ms| words::to_ms(ms / 1000.0));
        self.told(ms, found, name, &written, "milliseconds")
    }

    fn told(&mut self, ms: Option<u64>, found: &Node<'_>, name: &str, written: &str, unit: &str) -> Option<u64> {
        if ms.is_none() {
            let shown: String = written.chars().take(40).collect();
            let what = format!("`{name}` is `{shown}`, which is no time in {unit}");
            self.reading.warn(self.line(found.at), what, "the words are kept without that time");
        }
        ms
    }
}

fn scalar(node: &Node<'_>) -> Option<String> {
    match &node.value {
        Value::Text(text) => Some(text.clone()),
        Value::Number(number) => Some((*number).to_owned()),
        _ => None,
    }
}

fn text_of(node: &Node<'_>) -> Option<String> {
    node.get("text").and_then(scalar).filter(|text| !text.trim().is_empty())
}

fn speaker_of(node: &Node<'_>) -> Option<String> {
    let name = node.get("speaker").and_then(scalar)?;
    Some(name.trim().to_owned()).filter(|name| !name.is_empty())
}

fn is_word(node: &Node<'_>) -> bool {
    node.get("word").is_some() && node.get("text").is_none() && node.get("words").is_none()
}

/// Whether a value has the shape of recognised speech, be it of nobody speaking.
fn is_speech(node: &Node<'_>) -> bool {
    match &node.value {
        Value::Null | Value::Text(_) => true,
        Value::Array(items) => items.is_empty() || items.iter().any(is_speech),
        Value::Object(members) => {
            members.iter().any(|(name, _)| matches!(name.as_str(), "text" | "words" | "word" | "segments"))
        }
        Value::Bool | Value::Number(_) => false,
    }
}

/// Whether a value holds nothing at all that could have been said.
fn is_vacant(node: &Node<'_>) -> bool {
    match &node.value {
        Value::Null => true,
        Value::Text(text) => text.trim().is_empty(),
        Value::Array(items) => items.iter().all(is_vacant),
        Value::Object(members) => members.iter().all(|(name, member)| match name.as_str() {
            "text" | "words" | "segments" => is_vacant(member),
            _ => matches!(member.value, Value::Null),
        }),
        Value::Bool | Value::Number(_) => false,
    }
}
