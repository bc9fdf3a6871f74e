//! Owns the reading of plain notes: one a line, blank lines skipped.

use super::reading::Reading;

pub(super) fn read(lines: &[&str], reading: &mut Reading) {
    for (line, text) in (1..).zip(lines) {
        reading.keep_untimed(line, text);
    }
}
