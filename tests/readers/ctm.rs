//! CTM: grouping, channels, several recordings, alternatives and lines that are not as they should be.

use hoistnote::dictation::Format;

use super::{check, read, said, texts, timed_words};

#[test]
fn words_are_grouped_at_pauses() {
    let input = ";; unit 14\nwalk 1 0.50 0.25 hose 0.9\nwalk 1 0.75 0.25 ok 0.8\n\n\
                 walk 1 1.60 0.20 boot 0.9\nwalk 1 2.401 0.20 split 0.7\n";
    let dictation = read(input);
    assert_eq!(dictation.format, Format::Ctm);
    // 0.6 s of silence is not yet over 0.6 s; 0.601 s is.
    assert_eq!(said(&dictation), [("hose ok boot", Some(500), Some(1800)), ("split", Some(2401), Some(2601))]);
    let first: Vec<_> = dictation.utterances.iter().take(1).flat_map(timed_words).collect();
    assert_eq!(first, [("hose", 500, 750), ("ok", 750, 1000), ("boot", 1600, 1800)]);
    assert!(dictation.warnings.is_empty());
}

#[test]
fn twenty_words_are_an_utterance() {
    let line = |i: usize| format!("walk A {}.0 1.0 word{i}\n", i);
    let dictation = read(&(0..45).map(line).collect::<String>());
    let counts: Vec<usize> = dictation.utterances.iter().map(|u| u.words.len()).collect();
    assert_eq!(counts, [20, 20, 5]);
}

#[test]
fn channels_run_by_time_and_recordings_one_after_the_other() {
    let dictation = read(
        "w1 A 0.0 0.5 hose\nw1 A 5.0 0.5 split\nw1 B 1.0 0.5 which\nw1 B 1.5 0.5 side\n\
         w2 A 0.5 0.5 lamp\nw2 A 1.0 0.5 out\n",
    );
    assert_eq!(texts(&dictation), ["hose", "which side", "split", "lamp out"]);
    let speakers: Vec<_> = dictation.utterances.iter().map(|u| u.speaker.as_deref()).collect();
    assert_eq!(speakers, [Some("A"), Some("B"), Some("A"), None]);
    assert_eq!(super::warned_lines(&dictation), [5]);
}

#[test]
fn no_words_are_lost_with_bad_lines() {
    check(
        Format::Ctm,
        &[
            (
                "w 1 0.0 0.5 hose\nw 1 soon 0.5 not\nw 1 1.0 0.2 ok\nw 1 1.2 0.2 there",
                &[("hose not ok there", Some(0), Some(1400))],
                &[2],
            ),
            (
                "w 1 0.0 0.5 hose\nw 1 -1 0.5 not\nw 1 NaN 0.5 really\nw 1 1.0 0.2 ok\nw 1 1.2 0.2 there",
                &[("hose not really ok there", Some(0), Some(1400))],
                &[2, 3],
            ),
            (
                "w 1 0.0 0.5 hose\nw 1 0.6 leaking\nw 1 1.0 0.2 badly\nw 1 1.2\nw 1 1.2 0.2 there",
                &[("hose 0.6 leaking badly there", Some(0), Some(1400))],
                &[2, 4],
            ),
            (
                "w 1 0.0 0.5 hose\nw 1 0.6 0.2 is leaking 0.9\nw 1 1.0 0.2 badly\nw 1 1.2 0.1 there lex",
                &[("hose is leaking badly there lex", Some(0), Some(1300))],
                &[2, 4],
            ),
            ("w 1 0.0 0.5 hose 0.9 lex tech\nw 1 0.6 0.2 ok 0.9 lex tech", &[("hose ok", Some(0), Some(800))], &[]),
            ("w 1 1.0 0.2 ok\nw 1 0.5 0.2 hose", &[("hose ok", Some(500), Some(1200))], &[2]),
        ],
    );
}

#[test]
fn of_two_wordings_the_first_is_taken_and_told() {
    let dictation = read(
        "w 1 0.0 0.5 it's\nw 1 * * <ALT_BEGIN>\nw 1 0.5 0.2 not\nw 1 * * <ALT>\nw 1 0.5 0.2 now\n\
         w 1 * * <ALT_END>\nw 1 0.8 0.4 leaking\n",
    );
    assert_eq!(texts(&dictation), ["it's not leaking"]);
    assert_eq!(super::warned_lines(&dictation), [4]);
}

#[test]
fn shorthand_with_numbers_stays_notes() {
    for notes in [
        "L F 4.0 4.5 mm",
        "L F 4.0 4.5 mm\nR F 4.0 4.5 mm",
        "axle 2 3.5 4.0 mm",
        "front pads 4.5 4.0 mm\nrear pads 3.0 3.0 mm",
    ] {
        let dictation = read(notes);
        assert_eq!(dictation.format, Format::Notes, "{notes}");
        assert_eq!(texts(&dictation).join("\n"), notes);
    }
}
