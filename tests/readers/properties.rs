//! Properties: nothing panics, and what is written in a format is read back the same.

use std::fmt::Write;

use hoistnote::dictation::{self, Dictation, Format};
use proptest::collection::vec;
use proptest::prelude::{Just, Strategy, any, prop_oneof};
use proptest::test_runner::Config;
use proptest::{prop_assert, prop_assert_eq, proptest};

use super::{read, read_bytes, texts};

/// Pieces that readers look at, in any order: far likelier to reach a corner than bytes alone.
fn scraps() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just("WEBVTT\n\n"),
        Just("00:01.000 --> 00:02.000"),
        Just("1:00:00,5 --> x:y"),
        Just("-->"),
        Just("<v Jo>"),
        Just("</v>"),
        Just("<00:01.500>"),
        Just("<c.x>"),
        Just("&amp;"),
        Just("&#x41;"),
        Just("{\\an8}"),
        Just("{\"text\":"),
        Just("[{\"start\":1,"),
        Just("\"end\":NaN,"),
        Just("\"words\":["),
        Just("}]"),
        Just("\"hose\","),
        Just("\\ud83d"),
        Just("w 1 0.5 0.2 hose\n"),
        Just("<ALT>"),
        Just("[0:05] "),
        Just("0:05\n"),
        Just("NOTE\n"),
        Just("STYLE\n{"),
        Just("\n"),
        Just("\n\n"),
        Just("\r"),
        Just(" "),
        Just("2\n"),
        Just("½"),
        Just("\u{feff}"),
        Just("ẞ"),
        Just("hose ok"),
        Just("99999999999999999999"),
    ];
    vec(piece, 0..24).prop_map(|pieces| pieces.concat())
}

fn word() -> impl Strategy<Value = String> {
    "[a-zA-Z½°é][a-zA-Z0-9'½,.%/-]{0,7}"
}

/// What is said: words parted by single spaces. Nobody says markup.
fn utterances() -> impl Strategy<Value = Vec<String>> {
    vec(vec(word(), 1..8).prop_map(|words| words.join(" ")), 1..12)
}

fn clock(ms: usize, mark: char) -> String {
    let (hours, minutes, seconds) = (ms / 3_600_000, ms / 60_000 % 60, ms / 1000 % 60);
    format!("{hours:02}:{minutes:02}:{seconds:02}{mark}{:03}", ms % 1000)
}

/// Writes a line for each utterance, given its index and text.
fn written(said: &[String], line: impl Fn(usize, &str) -> String) -> String {
    said.iter().enumerate().fold(String::new(), |mut all, (index, text)| {
        let _ = write!(all, "{}", line(index, text));
        all
    })
}

fn starts(dictation: &Dictation) -> Vec<Option<u64>> {
    dictation.utterances.iter().map(|utterance| utterance.start_ms).collect()
}

fn spans_fit(dictation: &Dictation) -> bool {
    dictation.utterances.iter().all(|utterance| {
        let words = utterance.words.iter();
        !utterance.text.is_empty()
            && utterance.text.trim() == utterance.text
            && words.clone().all(|w| utterance.text.get(w.start..w.end).is_some_and(|t| !t.is_empty()))
            && words.clone().all(|w| w.start_ms <= w.end_ms)
    })
}

proptest! {
    #![proptest_config(Config { cases: 300, failure_persistence: None, ..Config::default() })]

    #[test]
    fn no_bytes_panic(bytes in vec(any::<u8>(), 0..400)) {
        let first = dictation::read("walk", &bytes);
        prop_assert_eq!(&first, &dictation::read("walk", &bytes));
        prop_assert!(first.is_ok_and(|found| spans_fit(&found)) || dictation::read("walk", &bytes).is_err());
    }

    #[test]
    fn no_scraps_panic(text in scraps(), cut in any::<proptest::sample::Index>()) {
        let upto = cut.index(text.len() + 1);
        for bytes in [text.as_bytes(), text.as_bytes().get(..upto).unwrap_or_default()] {
            if let Ok(found) = dictation::read("walk", bytes) {
                prop_assert!(spans_fit(&found), "{:?}", found);
            }
        }
    }

    #[test]
    fn captions_are_read_back(said in utterances()) {
        let times: Vec<Option<u64>> = (0..said.len() as u64).map(|i| Some(i * 1500)).collect();
        let cue = |mark: char, arrow: &str, index: usize, text: &str| {
            let (start, end) = (clock(index * 1500, mark), clock(index * 1500 + 1500, mark));
            format!("{}\n{start} {arrow} {end}\n{text}\n\n", index + 1)
        };
        let vtt = read(&format!("WEBVTT\n\n{}", written(&said, |i, text| cue('.', "-->", i, text))));
        let srt = read(&written(&said, |i, text| cue(',', "-->", i, text)));
        for (found, format) in [(vtt, Format::WebVtt), (srt, Format::SubRip)] {
            prop_assert_eq!(found.format, format);
            prop_assert_eq!(texts(&found), said.clone());
            prop_assert_eq!(starts(&found), times.clone());
            prop_assert_eq!(found.warnings, vec![]);
        }
    }

    /// Lines lost, blank lines too many and spoilt times: whatever befalls captions, all words stay.
    #[test]
    fn spoilt_captions_keep_all_words(
        harm in vec((0_usize..4, any::<proptest::sample::Index>()), 1..6),
        count in 1_usize..6,
        mark in prop_oneof![Just('.'), Just(',')],
    ) {
        let cue = |i: usize| {
            let (start, end) = (clock(i * 1500, mark), clock(i * 1500 + 1500, mark));
            [(i + 1).to_string(), format!("{start} --> {end}"), format!("hose{i}x is"), format!("chafed{i}x"), String::new()]
        };
        let mut lines: Vec<String> = (0..count).flat_map(cue).collect();
        for (kind, place) in harm {
            let at = place.index(lines.len());
            match (kind, lines.get_mut(at)) {
                (0, Some(line)) if !line.contains('x') => { lines.remove(at); }
                (1, _) => lines.insert(at, String::new()),
                (2, Some(line)) if line.contains("-->") => *line = line.replacen('0', "o", 1),
                (3, Some(line)) if line.contains("-->") => *line = line.replacen(':', "", 1),
                _ => {}
            }
            if lines.is_empty() { lines.push("hose".to_owned()); }
        }
        for header in ["", "WEBVTT\n\n"] {
            let found = read(&format!("{header}{}", lines.join("\n")));
            let all = texts(&found).join(" ");
            for word in (0..count).flat_map(|i| [format!("hose{i}x is"), format!("chafed{i}x")]) {
                prop_assert!(all.contains(&word), "{word} of {lines:#?} lost in {all}");
            }
        }
    }

    #[test]
    fn json_is_read_back(said in vec("[a-z\"\\\\/½🔧<&{]([ a-z\"\\\\/½🔧<&{]{0,10}[a-z\"\\\\/½🔧<&{])?", 1..12)) {
        let segment = |(i, text): (usize, &String)| serde_json::json!({"start": i, "end": i + 1, "text": text});
        let list: Vec<_> = said.iter().enumerate().map(segment).collect();
        let lines: String = list.iter().map(|one| format!("{one}\n")).collect();
        let whole = serde_json::json!({"segments": list});
        let times: Vec<Option<u64>> = (0..said.len() as u64).map(|i| Some(i * 1000)).collect();
        for input in [whole.to_string(), format!("{whole:#}"), lines] {
            let found = read(&input);
            prop_assert_eq!(found.format, Format::RecogniserJson);
            prop_assert_eq!(texts(&found), said.clone());
            prop_assert_eq!(starts(&found), times.clone());
            prop_assert_eq!(found.warnings, vec![]);
        }
    }

    #[test]
    fn timed_text_is_read_back(said in utterances()) {
        let found = read(&written(&said, |i, text| format!("[{}:{:02}] {text}\n", i / 60, i % 60)));
        prop_assert_eq!(found.format, Format::TimedText);
        prop_assert_eq!(texts(&found), said);
    }

    #[test]
    fn notes_are_read_back_in_any_encoding(said in utterances(), crlf in any::<bool>(), wide in any::<bool>()) {
        let text = said.join(if crlf { "\r\n" } else { "\n" });
        let bytes = match wide {
            true => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
            false => text.into_bytes(),
        };
        let found = read_bytes(&bytes);
        prop_assert_eq!(found.format, Format::Notes);
        prop_assert_eq!(texts(&found), said);
        prop_assert_eq!(found.warnings, vec![]);
    }
}
