//! Plain notes: one a line, as they are.

use hoistnote::dictation::Format;

use super::check;

#[test]
fn lines_are_kept_as_they_are() {
    check(
        Format::Notes,
        &[
            ("hose ok", &[("hose ok", None, None)], &[]),
            (
                "  - hose ok \r\n\r\n\t\r\nboot <split> &amp; dry\rtyre 3/32\n\n",
                &[("- hose ok", None, None), ("boot <split> &amp; dry", None, None), ("tyre 3/32", None, None)],
                &[],
            ),
            (
                "pads 3mm --> replace\ntyre 1 -> 2 swapped",
                &[("pads 3mm --> replace", None, None), ("tyre 1 -> 2 swapped", None, None)],
                &[],
            ),
            ("10:30 --> 11:00 road test", &[("10:30 --> 11:00 road test", None, None)], &[]),
            ("{front} [rear] hose ok", &[("{front} [rear] hose ok", None, None)], &[]),
            ("WEBVTTs are not notes", &[("WEBVTTs are not notes", None, None)], &[]),
        ],
    );
}
