//! The dictation as it is written while somebody talks comes back word for word.

use hoistnote::dictation::{Utterance, read};
use hoistnote::voice::{Captions, Heard, heard};
use proptest::collection::vec;
use proptest::prelude::{Strategy, any};
use proptest::{prop_assert, prop_assert_eq, prop_oneof, proptest};

fn line() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z0-9 .,'<>&:\\[\\]-]{0,40}",
        "\\PC{0,20}",
        any::<String>(),
        "(NOTE|STYLE|REGION|WEBVTT|1|-->|00:01.000 --> 00:02.000|<v x>|&amp;|- )( pads)?",
    ]
}

/// All lines as they come, with the moment each came at.
fn written(lines: &[(String, u32)]) -> (String, Vec<Utterance>) {
    let (mut text, mut said) = (Captions::HEAD.to_string(), Vec::new());
    let (mut captions, mut now) = (Captions::default(), 0);
    for (line, later) in lines {
        now += u64::from(*later);
        let Heard::Said(utterances) = heard(line) else { continue };
        for u in utterances {
            if let Some(caption) = captions.caption(&u, now) {
                text.push_str(&caption);
                said.push(u);
            }
        }
    }
    (text, said)
}

proptest! {
    #[test]
    fn every_line_comes_back(lines in vec((line(), 1_u32..9000), 1..8)) {
        let (text, said) = written(&lines);
        if said.is_empty() {
            return Ok(());
        }
        let back = read("walk.vtt", text.as_bytes()).map_err(|e| proptest::test_runner::TestCaseError::fail(e.to_string()))?;
        let words = |all: &[Utterance]| -> Vec<String> {
            all.iter().map(|u| u.text.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
        };
        prop_assert_eq!(words(&back.utterances), words(&said), "{}", text);
        prop_assert!(back.utterances.iter().all(|u| u.start_ms.is_some() && u.end_ms > u.start_ms));
    }

    /// A line of JSON that is settled says what its `text` says, whatever that is.
    #[test]
    fn words_in_json_come_back(words in "\\PC{0,20}[a-z]", start in 0_u32..10_000) {
        let line = serde_json::json!({"start": start, "end": start + 1, "text": words, "final": true}).to_string();
        let Heard::Said(said) = heard(&line) else { panic!("not taken for words: {line}") };
        let got: Vec<&str> = said.iter().flat_map(|u| u.text.split_whitespace()).collect();
        prop_assert_eq!(got, words.split_whitespace().collect::<Vec<_>>());
    }
}
