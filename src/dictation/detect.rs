//! Owns telling the format of a text from its content.

use super::{Format, ctm, recogniser_json, subrip, timed_text, webvtt};

/// The format of a text; anything that is nothing else is plain notes.
pub(super) fn format(text: &str, lines: &[&str]) -> Format {
    if webvtt::fits(lines) {
        Format::WebVtt
    } else if recogniser_json::fits(text) {
        Format::RecogniserJson
    } else if subrip::fits(lines) {
        Format::SubRip
    } else if ctm::fits(lines) {
        Format::Ctm
    } else if timed_text::fits(lines) {
        Format::TimedText
    } else {
        Format::Notes
    }
}
