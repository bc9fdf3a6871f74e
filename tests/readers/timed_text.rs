//! Timed text: the ways to write a time before a line, and lines without one.

use hoistnote::dictation::Format;

use super::{check, read};

#[test]
fn stamps_are_read() {
    let two = [("hose ok", Some(5000), None), ("boot split", Some(65_000), None)];
    check(
        Format::TimedText,
        &[
            ("[0:05] hose ok\n[1:05] boot split\n", &two, &[]),
            ("0:05 hose ok\n\n1:05 boot split", &two, &[]),
            ("(0:05) hose ok\n(01:05)boot split", &two, &[]),
            ("0:00:05 hose ok\n0:01:05.0 boot split", &two, &[]),
            ("[00:00:05,000]hose ok\n[00:01:05.000]  boot split", &two, &[]),
            // Times on lines of their own.
            ("0:05\nhose ok\n1:05\nboot split\n", &two, &[]),
            ("[75:10.25] hose ok", &[("hose ok", Some(4_510_250), None)], &[]),
            (
                "[0:05 - 0:07] hose ok\n[00:01:05.000 --> 00:01:06.500] A: boot split",
                &[("hose ok", Some(5000), Some(7000)), ("A: boot split", Some(65_000), Some(66_500))],
                &[],
            ),
        ],
    );
}

#[test]
fn lines_without_a_time_stay() {
    check(
        Format::TimedText,
        &[(
            "Unit 14\n[0:05] hose ok\n[1:75] boot split\n[0:09] tyre worn\n[0:08] lamp out",
            &[
                ("Unit 14", None, None),
                ("hose ok", Some(5000), None),
                ("[1:75] boot split", None, None),
                ("tyre worn", Some(9000), None),
                ("lamp out", Some(8000), None),
            ],
            &[1, 5],
        )],
    );
}

#[test]
fn notes_with_a_colon_stay_notes() {
    let table = [
        "10:30 appointment",
        "3:1 ratio",
        "10:30 appointment\nunit 14\nhose ok\nboot split",
        "unit 14\n10:30 appointment\n3:1 ratio",
        "10:30 appointment\n3:45 collection",
        "[x] hose ok\n[ ] boot split",
        "(see 0:05) hose ok",
    ];
    for notes in table {
        let dictation = read(notes);
        assert_eq!(dictation.format, Format::Notes, "{notes}");
        assert_eq!(super::texts(&dictation).join("\n"), notes);
    }
}
