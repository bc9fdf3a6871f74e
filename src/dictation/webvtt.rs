//! Owns the reading of WebVTT captions: the header; cues are read as in all captions.

use super::captions::{self, Style, timing};
use super::reading::Reading;

/// Whether the first line with anything on it is the WebVTT signature.
pub(super) fn fits(lines: &[&str]) -> bool {
    signature(lines).is_some()
}

fn signature(lines: &[&str]) -> Option<usize> {
    let at = lines.iter().position(|line| !line.trim().is_empty())?;
    let after = lines.get(at)?.trim_start().strip_prefix("WEBVTT")?;
    (after.is_empty() || after.starts_with([' ', '\t'])).then_some(at)
}

pub(super) fn read(lines: &[&str], reading: &mut Reading) {
    let after = signature(lines).map_or(0, |at| at + 1);
    let rest = lines.get(after..).unwrap_or_default();
    // Header text runs to the first blank line. Without any cue it may be words in want of one.
    let header = if rest.iter().any(|line| timing(line).is_some()) {
        rest.iter().position(|line| line.is_empty()).unwrap_or(rest.len())
    } else {
        0
    };
    captions::read(Style::WebVtt, lines, after + header, reading);
}
