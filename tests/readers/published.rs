//! Published check values of the formats; the source of each stands beside it.

use hoistnote::dictation::{Dictation, Format};

use super::{read, read_bytes, said, timed_words};

fn webvtt(start: &str) -> Dictation {
    read(&format!("WEBVTT\n\n{start} --> 200:00:00.000\nhose ok\n"))
}

fn start(dictation: &Dictation) -> Option<u64> {
    assert_eq!(super::texts(dictation), ["hose ok"]);
    dictation.utterances.first().and_then(|utterance| utterance.start_ms)
}

/// W3C WebVTT, "WebVTT timestamp": two digits or more of hours if any, 00-59, 00-59, three digits.
#[test]
fn webvtt_valid_timestamps() {
    let table =
        [("00:00.000", 0), ("59:59.999", 3_599_999), ("01:00:00.000", 3_600_000), ("100:00:00.000", 360_000_000)];
    for (stamp, ms) in table {
        let dictation = webvtt(stamp);
        assert_eq!(start(&dictation), Some(ms), "{stamp}");
        assert!(dictation.warnings.is_empty(), "{stamp}");
    }
}

/// W3C WebVTT, "WebVTT timestamp": none of these is one. Each is told; where it can mean one time
/// only, that time is taken.
#[test]
fn webvtt_invalid_timestamps() {
    let table = [
        ("60:00.000", None),
        ("00:60.000", None),
        ("00:00:00,000", Some(0)),
        ("0:00.000", Some(0)),
        ("00:00.00", Some(0)),
    ];
    for (stamp, ms) in table {
        let dictation = webvtt(stamp);
        assert_eq!(start(&dictation), ms, "{stamp}");
        assert_eq!(dictation.warnings.len(), 1, "{stamp}");
    }
}

/// W3C WebVTT, "collect a WebVTT timestamp": one digit of hours must not be written but is parsed.
#[test]
fn webvtt_parser_leniency() {
    let dictation = webvtt("1:00:00.000");
    assert_eq!(start(&dictation), Some(3_600_000));
    assert!(dictation.warnings.is_empty());
}

/// W3C WebVTT, "WebVTT cue timings": white space around the arrow, the end after the start, starts
/// that never go back; overlap is allowed.
#[test]
fn webvtt_cue_timings() {
    let table = [
        ("00:01.000 \t-->\t 00:02.000\na\n\n00:01.500 --> 00:03.000\nb\n\n00:01.500 --> 00:02.000\nc", 0),
        ("00:01.000 --> 00:01.000\na", 1),
        ("00:02.000 --> 00:01.000\na", 1),
        ("00:02.000 --> 00:03.000\na\n\n00:01.000 --> 00:02.000\nb", 1),
    ];
    for (cues, warnings) in table {
        let dictation = read(&format!("WEBVTT\n\n{cues}\n"));
        assert_eq!(dictation.warnings.len(), warnings, "{cues}\n{:?}", dictation.warnings);
    }
}

/// SubRip has no formal standard; its usual description: `HH:MM:SS,mmm`, a counter from 1, a blank
/// line between cues.
#[test]
fn subrip_times() {
    let dictation = read("1\n00:02:26,407 --> 00:02:31,356\nhose ok\n\n");
    assert_eq!(dictation.format, Format::SubRip);
    assert_eq!(said(&dictation), [("hose ok", Some(146_407), Some(151_356))]);
    assert!(dictation.warnings.is_empty());
    for invalid in ["00:02:26.407", "02:26,407", "0:02:26,407"] {
        let dictation = read(&format!("1\n{invalid} --> 00:02:31,356\nhose ok\n"));
        assert_eq!(dictation.format, Format::SubRip);
        assert_eq!(start(&dictation), Some(146_407), "{invalid}");
        assert_eq!(dictation.warnings.len(), 1, "{invalid}");
    }
}

/// NIST SCTK, doc/infmts.htm, CTM: `<F> <C> <BT> <DUR> word [<CONF>]`, `;;` comments, blanks ignored.
#[test]
fn ctm_example() {
    let dictation = read(";;\n\n7654 A 11.34 0.2  YES -6.763\n");
    assert_eq!(dictation.format, Format::Ctm);
    assert_eq!(said(&dictation), [("YES", Some(11_340), Some(11_540))]);
    let words: Vec<_> = dictation.utterances.iter().flat_map(timed_words).collect();
    assert_eq!(words, [("YES", 11_340, 11_540)]);
    assert!(dictation.warnings.is_empty());
}

/// FIPS 180, the one-block example of SHA-256: "abc".
#[test]
fn sha256_example() {
    assert_eq!(read_bytes(b"abc").sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}
