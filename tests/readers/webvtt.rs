//! WebVTT: headers, blocks, cues, markup, and what is done about cues that are not as they should be.

use hoistnote::dictation::Format;

use super::{check, read, said, texts, timed_words};

const HOSE: &str = "brake hose is good";

#[test]
fn cues_are_read() {
    check(
        Format::WebVtt,
        &[
            ("WEBVTT\n\n00:01.000 --> 00:02.500\nbrake hose is good\n", &[(HOSE, Some(1000), Some(2500))], &[]),
            (
                "\u{feff}WEBVTT walk round\nKind: captions\n\n1\n00:00:01.000 --> 00:00:02.500 align:start position:0%\nbrake hose\nis good",
                &[(HOSE, Some(1000), Some(2500))],
                &[],
            ),
            (
                "WEBVTT\r\n\r\nfirst\r\n1:00:01.000\t-->\t1:00:02.500\r\n brake hose is good \r\n",
                &[(HOSE, Some(3_601_000), Some(3_602_500))],
                &[],
            ),
            ("WEBVTT\r\r00:01.000 --> 00:02.500\rbrake hose is good\r", &[(HOSE, Some(1000), Some(2500))], &[]),
            // No blank lines between cues: the words before a time are not its identifier.
            (
                "WEBVTT\n00:01.000 --> 00:02.000\nunit 14\n00:02.000 --> 00:03.000\n14\n00:03.000 --> 00:04.000\nbrake hose is good",
                &[("unit 14", Some(1000), Some(2000)), ("14", Some(2000), Some(3000)), (HOSE, Some(3000), Some(4000))],
                &[],
            ),
            (
                "WEBVTT\n\nNOTE not said\nnor this\n\nSTYLE\n::cue { color: red;\n\n}\n\nREGION\nid:a\n\n00:01.000 --> 00:02.000\nNOTE the split boot\n",
                &[("NOTE the split boot", Some(1000), Some(2000))],
                &[],
            ),
            // A cue without words is skipped, one with a line of white space only is not ended by it.
            (
                "WEBVTT\n\n00:01.000 --> 00:02.000\n\n00:02.000 --> 00:03.000\n \nbrake hose is good\n",
                &[(HOSE, Some(2000), Some(3000))],
                &[],
            ),
            ("WEBVTT\n", &[], &[0]),
        ],
    );
}

#[test]
fn markup_is_no_word() {
    let table = [
        ("<b>left</b> <i>rear</i> <c.loud.x>seized</c>", "left rear seized"),
        ("a <font color=\"red\">weep</font> at the <lang en>union</lang>", "a weep at the union"),
        ("{\\an8}wiper torn", "wiper torn"),
        ("nuts &amp; bolts &lt;tight&gt;&nbsp;&frac12; &#176;&#x41; &amp;lt;", "nuts & bolts <tight>\u{a0}½ °A &lt;"),
        ("R&D; 5 & 6 &unknown; &#0;", "R&D; 5 & 6 &unknown; &#0;"),
        ("pads <3 mm, discs >22", "pads <3 mm, discs >22"),
        ("pads < 3 and > 2, <unclear> hose <b", "pads < 3 and > 2, <unclear> hose <b"),
        ("A: is it leaking?\n- no", "A: is it leaking? - no"),
        ("one<br>two<br/>three", "one two three"),
        ("set {left} {\\ right}", "set {left} {\\ right}"),
    ];
    for (caption, expected) in table {
        let dictation = read(&format!("WEBVTT\n\n00:01.000 --> 00:02.000\n{caption}\n"));
        assert_eq!(texts(&dictation), [expected], "{caption}");
    }
}

#[test]
fn voices_become_speakers() {
    let dictation = read(
        "WEBVTT\n\n00:01.000 --> 00:02.000\n<v.loud Jo &amp; Sam>hose is good</v>\n<v Ali>boot is split\n\n\
         00:03.000 --> 00:04.000\nplay in the joint\n",
    );
    let speakers: Vec<_> = dictation.utterances.iter().map(|u| u.speaker.as_deref()).collect();
    assert_eq!(texts(&dictation), ["hose is good", "boot is split", "play in the joint"]);
    assert_eq!(speakers, [Some("Jo & Sam"), Some("Ali"), None]);
    assert!(dictation.utterances.iter().take(2).all(|u| u.start_ms == Some(1000)));
}

#[test]
fn stamps_inside_a_cue_time_its_words() {
    let dictation = read("WEBVTT\n\n00:01.000 --> 00:04.000\n  left<00:01.500><c> hose</c><00:02.000> is good\n");
    let words: Vec<_> = dictation.utterances.iter().flat_map(timed_words).collect();
    assert_eq!(texts(&dictation), ["left hose is good"]);
    let times = |from, to| dictation.utterances.first().map(|u| u.time_of(from, to));
    assert_eq!(times(0, 9), Some((Some(1000), Some(2000))));
    assert_eq!(times(5, 8), Some((Some(1500), Some(2000))));
    assert_eq!(times(4, 4), Some((Some(1000), Some(4000))));
    assert_eq!(words, [("left", 1000, 1500), ("hose", 1500, 2000), ("is", 2000, 4000), ("good", 2000, 4000)]);
}

#[test]
fn no_words_are_lost_with_bad_cues() {
    check(
        Format::WebVtt,
        &[
            (
                "WEBVTT\n\n00:0x.000 --> 00:02.000\nboot is split\n\n00:03.000 --> 00:04.000\nhose ok",
                &[("boot is split", None, None), ("hose ok", Some(3000), Some(4000))],
                &[3],
            ),
            ("WEBVTT\n\n00:01.000 --> soon:ish\nboot is split", &[("boot is split", Some(1000), None)], &[3]),
            ("WEBVTT\n\n00:03.000 --> 00:02.000\nboot is split", &[("boot is split", Some(3000), None)], &[3]),
            (
                "WEBVTT\n\n00:01.000 --> 00:02.000 boot is split\nboth sides",
                &[("boot is split both sides", Some(1000), Some(2000))],
                &[3],
            ),
            (
                "WEBVTT\n\n00:01.000 --> 00:02.000\nhose ok\n\nboot is split\n",
                &[("hose ok", Some(1000), Some(2000)), ("boot is split", None, None)],
                &[6],
            ),
            (
                "WEBVTT\n\n00:01.000 --> 00:02.000\n\nboot is split\n",
                &[("boot is split", Some(1000), Some(2000))],
                &[5],
            ),
            (
                "WEBVTT\n\n00:01.000 --> 00:02.000\npads --> replace",
                &[("pads --> replace", Some(1000), Some(2000))],
                &[],
            ),
            ("WEBVTT\nboot is split", &[("boot is split", None, None)], &[2]),
            ("WEBVTT\n\n00:01.000 -> 00:02.000\nboot is split", &[("boot is split", Some(1000), Some(2000))], &[3]),
            (
                "WEBVTT\n\n00:01.000 --> 00:02.000\nnoise 0:05 -> 0:10\n0:15 -> 0:20 too",
                &[("noise 0:05 -> 0:10 0:15 -> 0:20 too", Some(1000), Some(2000))],
                &[],
            ),
            (
                "WEBVTT\n\n1\n00:01.000 --> 00:02.000\nhose ok\n\nbut chafed\n00:02.000 --> 00:03.000\nboot split",
                &[
                    ("hose ok", Some(1000), Some(2000)),
                    ("but chafed", None, None),
                    ("boot split", Some(2000), Some(3000)),
                ],
                &[7],
            ),
            ("WEBVTT\n\ncue one\n00:01.000 --> 00:02.000\nhose ok\n", &[("hose ok", Some(1000), Some(2000))], &[3]),
            ("WEBVTT\n\n--> 00:02.000\nboot is split", &[("boot is split", None, None)], &[3]),
        ],
    );
}

#[test]
fn order_and_repeats() {
    let cues = |list: &[(u64, u64, &str)]| {
        let cue = |(from, to, text): &(u64, u64, &str)| format!("00:{from:02}.000 --> 00:{to:02}.000\n{text}\n");
        format!("WEBVTT\n\n{}", list.iter().map(cue).collect::<Vec<_>>().join("\n"))
    };
    // Overlap is no fault; going back is told; both stay in the order of the file.
    let back = read(&cues(&[(5, 9, "hose ok"), (7, 9, "boot split"), (2, 3, "tyre worn")]));
    assert_eq!(texts(&back), ["hose ok", "boot split", "tyre worn"]);
    assert_eq!(super::warned_lines(&back), [9]);
    // The same words twice count once only while they overlap.
    let rolling = read(&cues(&[(1, 4, "hose ok"), (3, 6, "hose ok"), (6, 8, "hose ok")]));
    assert_eq!(said(&rolling), [("hose ok", Some(1000), Some(6000)), ("hose ok", Some(6000), Some(8000))]);
    let growing = read(&cues(&[(1, 4, "hose"), (3, 6, "hose ok")]));
    assert_eq!(texts(&growing), ["hose", "hose ok"]);
}
