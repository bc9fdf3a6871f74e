//! Owns the reading of SubRip captions, and of captions without a header that say their times alike.

use super::captions::{self, Style, is_full, timing};
use super::reading::Reading;

/// Whether some line gives the times of a cue, with hours or a fraction as only captions have them.
pub(super) fn fits(lines: &[&str]) -> bool {
    let mut timings = lines.iter().filter_map(|line| timing(line));
    timings.any(|timing| is_full(&timing.start) || is_full(&timing.end))
}

pub(super) fn read(lines: &[&str], reading: &mut Reading) {
    captions::read(Style::SubRip, lines, 0, reading);
}
