//! Recogniser JSON: its shapes, times that are none, word lists, and broken files.

use hoistnote::dictation::Format;

use super::{check, read, refusal, said, texts, timed_words};

#[test]
fn shapes_are_read() {
    let two = [("hose ok", Some(500), Some(1250)), ("boot split", Some(2000), Some(3000))];
    check(
        Format::RecogniserJson,
        &[
            (r#"[{"start":0.5,"end":1.25,"text":" hose ok"},{"start":2,"end":3,"text":"boot\nsplit"}]"#, &two, &[]),
            (
                r#"{"language":"en","text":"hose ok boot split","segments":[{"id":0,"start":0.5,"end":1.25,"text":"hose ok"},{"start":"2.0","end":"3s","text":"boot split"}]}"#,
                &two,
                &[],
            ),
            (
                "{\"start\":0.5,\"end\":1.25,\"text\":\"hose ok\"}\n\n{\"start\":2,\"end\":3,\"text\":\"boot split\"}\n",
                &two,
                &[],
            ),
            (
                "[{\"segments\":[\n{\"start\":0.5,\"end\":1.25,\"text\":\"hose ok\"},\n{\"start\":\"0:02\",\"end\":3,\"text\":\"boot split\"},\n]}]",
                &two,
                &[],
            ),
            (r#"["hose ok", "boot split"]"#, &[("hose ok", None, None), ("boot split", None, None)], &[]),
            (
                r#"{"text":"Hose ok. Pads approx. 3 mm. Boot split! and worn?\nTyre 1.5 mm"}"#,
                &[
                    ("Hose ok.", None, None),
                    ("Pads approx. 3 mm.", None, None),
                    ("Boot split!", None, None),
                    ("and worn?", None, None),
                    ("Tyre 1.5 mm", None, None),
                ],
                &[],
            ),
            (r#"{"segments":[{"start":0,"end":1,"text":""},{"start":1,"end":2,"text":null}]}"#, &[], &[0]),
            ("[]", &[], &[0]),
            (r#"{"text":"\u00bd inch \ud83d\udd27 \"ok\" \\ \q"}"#, &[("½ inch 🔧 \"ok\" \\ \\q", None, None)], &[]),
        ],
    );
}

#[test]
fn bad_times_leave_the_words() {
    check(
        Format::RecogniserJson,
        &[
            (
                "[\n{\"start\":NaN,\"end\":1,\"text\":\"hose ok\"},\n{\"start\":-1,\"end\":2,\"text\":\"boot split\"},\n{\"start\":1e300,\"end\":\"soon\",\"text\":\"tyre worn\"},\n{\"start\":-Infinity,\"text\":\"lamp out\"}]",
                &[
                    ("hose ok", None, Some(1000)),
                    ("boot split", None, Some(2000)),
                    ("tyre worn", None, None),
                    ("lamp out", None, None),
                ],
                &[2, 3, 4, 4, 5],
            ),
            (
                r#"[{"start":5,"end":2,"text":"hose ok"},{"start":3,"end":4,"text":"boot split"}]"#,
                &[("hose ok", Some(5000), None), ("boot split", Some(3000), Some(4000))],
                &[1, 1],
            ),
            (
                r#"[{"start":1,"end":2,"text":"hose ok"},{"score":3},7]"#,
                &[("hose ok", Some(1000), Some(2000))],
                &[1, 1],
            ),
        ],
    );
}

#[test]
fn words_are_found_in_their_text() {
    let dictation = read(
        r#"{"segments":[{"start":0,"end":4,"text":"Left hose, that's the seat at the back.","words":[
            {"word":" left","start":0.1,"end":0.3},{"text":"hose","start":0.3,"end":0.6},
            {"word":"That's","start":"0.7","end":"0.9"},{"word":"um","start":1,"end":1.1},
            {"word":"at","start":2,"end":2.1},{"word":"back","start":NaN,"end":2.5}]}]}"#,
    );
    let words: Vec<_> = dictation.utterances.iter().flat_map(timed_words).collect();
    assert_eq!(words, [("Left", 100, 300), ("hose", 300, 600), ("that's", 700, 900), ("at", 2000, 2100)]);
    assert_eq!(dictation.utterances.first().and_then(|u| u.words.last()).map(|w| w.start), Some(27));
    // One for the time that is none, one for the word that the text lacks.
    assert_eq!(super::warned_lines(&dictation), [3, 4]);
}

#[test]
fn words_alone_become_utterances() {
    let list = r#"[{"word":"hose","start":0.5,"end":0.7},{"word":"ok","start":0.8,"end":1.0},{"word":"boot","start":1.7,"end":2.0}]"#;
    let expected = [("hose ok", Some(500), Some(1000)), ("boot", Some(1700), Some(2000))];
    for input in [list.to_owned(), format!(r#"{{"words":{list}}}"#), format!("[{list}]")] {
        assert_eq!(said(&read(&input)), expected, "{input}");
    }
    let one = read(&format!(r#"[{{"start":0.2,"end":2.5,"speaker":2,"words":{list}}}]"#));
    assert_eq!(said(&one), [("hose ok boot", Some(200), Some(2500))]);
    assert_eq!(one.utterances.first().and_then(|u| u.speaker.as_deref()), Some("2"));
    let with_text = read(&format!(r#"{{"text":"Hose ok. Boot.","words":{list}}}"#));
    assert_eq!(said(&with_text), [("Hose ok.", Some(500), Some(1000)), ("Boot.", Some(1700), Some(2000))]);
}

#[test]
fn a_file_cut_off_gives_what_stands_before() {
    let dictation = read(
        "{\"segments\":[{\"start\":0,\"end\":1,\"text\":\"hose ok\"},\n{\"start\":1,\"end\":2,\"text\":\"boot is spl",
    );
    assert_eq!(texts(&dictation), ["hose ok", "boot is spl"]);
    assert_eq!(super::warned_lines(&dictation), [2]);
    let lines = read("{\"text\":\"hose ok\"}\n{\"text\":\"boot split\"}\n{\"text\":\"tyre wo");
    assert_eq!(texts(&lines), ["hose ok", "boot split", "tyre wo"]);
    assert_eq!(super::warned_lines(&lines), [3]);
}

#[test]
fn one_bad_line_spoils_no_other() {
    let dictation = read("{\"text\":\"hose ok\"}\n{\"text\":\"boot split\",!}\n{\"text\":\"tyre worn\"}\n");
    assert_eq!(texts(&dictation), ["hose ok", "{\"text\":\"boot split\",!}", "tyre worn"]);
    assert_eq!(super::warned_lines(&dictation), [2]);
}

#[test]
fn what_can_not_be_read_is_refused_with_its_place() {
    let broken = refusal(b"{\"segments\":[\n {\"text\" \"hose ok\"}]}");
    assert_eq!((broken.line, broken.column), (Some(2), Some(10)));
    assert!(broken.to_string().starts_with("walk:2:10: broken JSON: "), "{broken}");
    for input in ["{}", "{\"score\": 3}", "[{\"score\": 3}]"] {
        let problem = refusal(input.as_bytes());
        assert!(problem.what.contains("without words"), "{input}: {problem}");
    }
    assert!(refusal("[[{\"a\":".repeat(500).as_bytes()).what.contains("too deep"));
}
