//! SubRip: counters or none, comma or point, and text that stands where it should not.

use hoistnote::dictation::Format;

use super::check;

#[test]
fn cues_are_read() {
    let two = [("hose ok", Some(1000), Some(2000)), ("boot split", Some(2500), Some(4000))];
    check(
        Format::SubRip,
        &[
            ("1\n00:00:01,000 --> 00:00:02,000\nhose ok\n\n2\n00:00:02,500 --> 00:00:04,000\nboot\nsplit\n", &two, &[]),
            ("00:00:01,000 --> 00:00:02,000\nhose ok\n\n00:00:02,500 --> 00:00:04,000\nboot split", &two, &[]),
            // No blank line between the cues.
            ("1\n00:00:01,000 --> 00:00:02,000\nhose ok\n2\n00:00:02,500 --> 00:00:04,000\nboot split", &two, &[]),
            // Every line end doubled by a careless conversion.
            (
                "1\r\r\n00:00:01,000 --> 00:00:02,000\r\r\nhose ok\r\r\n\r\r\n2\r\r\n00:00:02,500 --> 00:00:04,000\r\r\nboot split\r\r\n",
                &two,
                &[],
            ),
            (
                "1\n00:00:01,000 --> 00:00:02,000 X1:40 X2:600 Y1:20 Y2:50\n{\\an8}<i>hose ok</i>\n\n2\n00:00:02,500 --> 00:00:04,000\nboot split",
                &two,
                &[],
            ),
            // Points and short hours are read and told once.
            ("1\n0:00:01.000 --> 0:00:02.000\nhose ok\n\n2\n0:00:02.500 --> 0:00:04.000\nboot split", &two, &[2]),
            ("1\n00: 00: 01,000 --> 00: 00: 02,000\nhose ok\n\n2\n00:00:02,500 → 00:00:04,000\nboot split", &two, &[2]),
        ],
    );
}

#[test]
fn a_number_said_is_not_a_counter() {
    check(
        Format::SubRip,
        &[
            (
                "1\n00:00:01,000 --> 00:00:02,000\nunit\n14\n\n2\n00:00:02,000 --> 00:00:03,000\n14",
                &[("unit 14", Some(1000), Some(2000)), ("14", Some(2000), Some(3000))],
                &[],
            ),
            (
                "00:00:01,000 --> 00:00:02,000\n14\n00:00:02,000 --> 00:00:03,000\nhose ok",
                &[("14", Some(1000), Some(2000)), ("hose ok", Some(2000), Some(3000))],
                &[],
            ),
        ],
    );
}

#[test]
fn no_words_are_lost_with_bad_cues() {
    check(
        Format::SubRip,
        &[
            (
                "1\n00:00:01,000 --> 00:00:02,000\nhose ok\n\nbut chafed\n\n2\n00:00:03,000 --> 00:00:04,000\nboot split",
                &[
                    ("hose ok", Some(1000), Some(2000)),
                    ("but chafed", None, None),
                    ("boot split", Some(3000), Some(4000)),
                ],
                &[5],
            ),
            // A cue whose times are missing: its number is no word.
            (
                "1\n00:00:01,000 --> 00:00:02,000\nhose ok\n\n2\nboot split\n\n3\n00:00:03,000 --> 00:00:04,000\ntyre worn\n\n4\n",
                &[
                    ("hose ok", Some(1000), Some(2000)),
                    ("boot split", None, None),
                    ("tyre worn", Some(3000), Some(4000)),
                ],
                &[5, 12],
            ),
            (
                "left front first\n1\n00:00:01,000 --> 00:00:02,000\nhose ok",
                &[("left front first", None, None), ("hose ok", Some(1000), Some(2000))],
                &[1],
            ),
            ("1\n00:00:61,000 --> 00:00:02,000\nhose ok", &[("hose ok", None, None)], &[2]),
            ("1\n00:00:01,000 -->\nhose ok", &[("hose ok", Some(1000), None)], &[2]),
            ("1\n00:00:01,000 --> 00:00:01,000\nhose ok", &[("hose ok", Some(1000), None)], &[2]),
            ("1\n99999999:00:01,000 --> 99999999:00:02,000\nhose ok", &[("hose ok", None, None)], &[2]),
        ],
    );
}
