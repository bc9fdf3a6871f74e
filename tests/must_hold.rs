//! What must hold for any bytes that a reader is given, and for any talk. Each function panics where something does not hold. Used by
//! the coverage-guided targets in `tests/fuzz` and by the property tests of the project.

use std::sync::LazyLock;

use hoistnote::diagnostic::SourceFile;
use hoistnote::dictation::{self, Dictation, Records};
use hoistnote::findings::{self, Document, Evidence};
use hoistnote::history;
use hoistnote::interpretation::{Analysis, Interpreter, Settings};
use hoistnote::lexicon::{Lexicon, RawLexicon};
use hoistnote::pricing::RateBook;
use hoistnote::report;
use hoistnote::review::{Entry, Extraction};
use hoistnote::shop::ShopFile;

/// A target of the fuzzing: its name and what it does with bytes.
pub type Target = (&'static str, fn(&[u8]));

/// All targets.
pub const TARGETS: [Target; 11] = [
    ("webvtt", webvtt),
    ("subrip", subrip),
    ("timed_text", timed_text),
    ("ctm", ctm),
    ("json", json),
    ("bytes", bytes),
    ("record", record),
    ("lexicon", lexicon),
    ("rates", rates),
    ("log", log),
    ("talk", talk),
];

/// Reads with what is built in.
pub static INTERPRETER: LazyLock<Interpreter> =
    LazyLock::new(|| Interpreter::new(Lexicon::builtin().unwrap_or_else(|e| panic!("{e}"))));

static DEMO: LazyLock<Document> = LazyLock::new(|| {
    let text = include_bytes!("../samples/demo-walkaround.vtt");
    let dictation = dictation::read("demo", text).unwrap_or_else(|e| panic!("{e}"));
    INTERPRETER.document(&dictation, Settings::default())
});

/// Captions.
pub fn webvtt(bytes: &[u8]) {
    behind(b"WEBVTT\n\n", bytes);
}

/// Numbered captions.
pub fn subrip(bytes: &[u8]) {
    behind(b"1\n00:00:01,000 --> 00:00:02,000\n", bytes);
}

/// Lines with a time.
pub fn timed_text(bytes: &[u8]) {
    behind(b"[0:05] ", bytes);
}

/// Time-marked words.
pub fn ctm(bytes: &[u8]) {
    behind(b"w 1 0.5 0.2 so\n", bytes);
}

/// Recogniser output, as it stands and as the segments of a whole.
pub fn json(bytes: &[u8]) {
    behind(b"", bytes);
    behind(b"{\"segments\":[{\"text\":\"so\"},", bytes);
}

/// Any file.
pub fn bytes(bytes: &[u8]) {
    behind(b"", bytes);
}

fn behind(head: &[u8], bytes: &[u8]) {
    let all = [head, bytes].concat();
    let found = dictation::read("walk", &all);
    assert_eq!(found, dictation::read("walk", &all), "read twice, read otherwise");
    if let Ok(found) = found {
        fits(&found);
    }
}

/// Every utterance has words, and the times of words lie on words.
pub fn fits(dictation: &Dictation) {
    for u in &dictation.utterances {
        assert!(!u.text.is_empty() && u.text.trim() == u.text, "{u:?}");
        for w in &u.words {
            assert!(w.start_ms <= w.end_ms, "{u:?}");
            assert!(u.text.get(w.start..w.end).is_some_and(|t| !t.is_empty()), "{u:?}");
        }
        assert!(u.start_ms.zip(u.end_ms).is_none_or(|(start, end)| start <= end), "{u:?}");
    }
}

/// A stream of records: every line that is not blank is a dictation or is told with its number.
pub fn record(bytes: &[u8]) {
    let lines = bytes.split(|b| *b == b'\n').filter(|l| !l.trim_ascii().is_empty()).count();
    let mut seen = 0;
    for record in Records::new(bytes) {
        seen += 1;
        match record.and_then(|r| r.read()) {
            Ok(dictation) => fits(&dictation),
            Err(problem) => assert!(problem.line.is_some(), "{problem}"),
        }
    }
    assert_eq!(seen, lines);
}

/// A lexicon file alone: it is refused, or compiled and read with.
pub fn lexicon(bytes: &[u8]) {
    let file = ShopFile::read("words.toml", bytes);
    let mut raw = RawLexicon::default();
    let added = std::str::from_utf8(bytes).map(|text| raw.add("words.toml", text).and_then(|()| Lexicon::compile(raw)));
    if let Ok(Ok(lexicon)) = added {
        assert!(lexicon.parts.is_empty() || !file.entries.is_empty() || !file.usable(), "an entry was overlooked");
        let interpreter = Interpreter::new(lexicon);
        let said = String::from_utf8_lossy(bytes).replace(['"', '[', ']', '='], " ");
        holds(&interpreter, said.as_bytes());
    }
}

/// A rate book.
pub fn rates(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes).into_owned();
    let file = SourceFile::new("book.toml", text);
    if let Err(problems) = RateBook::read(&[file], ["brake-pad", "tire"]) {
        assert!(!problems.is_empty());
        problems.iter().for_each(|p| drop(p.render(80)));
    }
}

/// A log of decisions, replayed on the demo; and the same as findings documents.
pub fn log(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let entries: Vec<Entry> = text.lines().map(Entry::parse).collect();
    let extraction = Extraction::join("demo", vec![DEMO.clone()], Vec::new());
    let list = extraction.final_list(&entries, &INTERPRETER, Settings::default());
    let again = extraction.final_list(&entries, &INTERPRETER, Settings::default());
    assert_eq!(report::json_line(&list).ok(), report::json_line(&again).ok());
    assert_eq!(list.document.utterances.len(), DEMO.utterances.len(), "a line is lost");
    drop(history::answers(&entries));
    drop(findings::read_lines(bytes));
}

/// The whole way from bytes to findings.
pub fn talk(bytes: &[u8]) {
    holds(&INTERPRETER, bytes);
}

/// Both invariants of the findings document.
pub fn holds(interpreter: &Interpreter, bytes: &[u8]) {
    let Ok(dictation) = dictation::read("talk.txt", bytes) else { return };
    let analysis = interpreter.analyse(&dictation, Settings::default());
    let document = interpreter.document(&dictation, Settings::default());
    quotes_are_the_sources_own(&dictation, &document);
    nothing_is_lost(&dictation, &analysis, &document);
}

/// Everything that is quoted anywhere.
fn all_evidence(d: &Document) -> impl Iterator<Item = &Evidence> {
    let findings = d.findings.iter().flat_map(|f| &f.evidence);
    let talk = d.general_talk.iter().flat_map(|g| &g.evidence);
    findings.chain(talk).chain(d.withdrawn.iter().flat_map(|w| &w.evidence))
}

/// Nothing is quoted that was not said.
pub fn quotes_are_the_sources_own(dictation: &Dictation, document: &Document) {
    for e in all_evidence(document) {
        let said = &dictation.utterances[e.utterance - 1].text;
        assert_eq!(said.get(e.start..e.end), Some(e.text.as_str()));
        assert!(!e.text.is_empty());
    }
}

/// Lines with a part, a signal of a fault or a trouble code, by what the reading found in them.
fn telling_lines(dictation: &Dictation, a: &Analysis) -> Vec<bool> {
    let mut telling = vec![false; dictation.utterances.len()];
    let r = &a.reading;
    let parts = r.mentions.parts.iter().map(|p| p.first..p.end);
    let faults = r.signals.iter().filter(|s| s.is_fault()).map(|s| s.first..s.end);
    let codes = r.codes.iter().map(|c| c.0..c.1);
    for range in parts.chain(faults).chain(codes) {
        for t in &r.tokens[range] {
            telling[t.span.utterance] = true;
        }
    }
    telling
}

/// Every line is there, whole and in order, and each that tells of a part or a fault is cited or set out as unplaced.
pub fn nothing_is_lost(dictation: &Dictation, analysis: &Analysis, document: &Document) {
    let said: Vec<&str> = dictation.utterances.iter().map(|u| u.text.as_str()).collect();
    let kept: Vec<&str> = document.utterances.iter().map(|u| u.text.as_str()).collect();
    assert_eq!(said, kept);
    assert!(document.utterances.iter().map(|u| u.n).eq(1..=said.len()));
    let mut found = vec![false; said.len()];
    for e in all_evidence(document) {
        found[e.utterance - 1] = true;
    }
    for u in &document.unplaced {
        assert_eq!(u.text, said[u.utterance - 1]);
        found[u.utterance - 1] = true;
    }
    for (n, telling) in telling_lines(dictation, analysis).into_iter().enumerate() {
        assert!(!telling || found[n], "line {} lost: {:?}", n + 1, said[n]);
    }
}
