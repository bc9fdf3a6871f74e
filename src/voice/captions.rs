//! Owns the dictation as it is written while somebody talks: WebVTT, one caption a settled line, each complete by itself, so that
//! whatever breaks off leaves a dictation that can be read.

use std::fmt::Write;

use crate::dictation::Utterance;

/// How long a word takes to be said, where nothing else is known.
const WORD_MS: u64 = 400;

/// Captions in the making.
#[derive(Debug, Clone, Default)]
pub struct Captions {
    last_end: u64,
    begun: Option<u64>,
}

impl Captions {
    /// What stands at the head of the file.
    pub const HEAD: &'static str = "WEBVTT\n";

    /// Somebody has begun to say a line, which is not settled yet.
    pub fn begin(&mut self, now_ms: u64) {
        self.begun.get_or_insert(now_ms);
    }

    /// The caption of a line that is settled `now_ms` milliseconds after the start, to be appended. Times that the recogniser gave
    /// stand as they are; where it gave none, the line was said just before it came. `None` where there are no words.
    pub fn caption(&mut self, said: &Utterance, now_ms: u64) -> Option<String> {
        let text = plain(&said.text);
        if text.is_empty() {
            return None;
        }
        let takes = WORD_MS * text.split_whitespace().count() as u64;
        let begun = self.begun.take().unwrap_or(u64::MAX).min(now_ms.saturating_sub(takes));
        let start = said.start_ms.unwrap_or_else(|| begun.max(self.last_end));
        let end = match (said.end_ms, said.start_ms) {
            (Some(end), _) => end,
            (None, Some(start)) => start + takes,
            (None, None) => now_ms,
        };
        let end = end.max(start + 1);
        self.last_end = end;
        let speaker = said.speaker.as_deref().map(plain).filter(|s| !s.is_empty());
        let speaker = speaker.map(|s| format!("<v {}>", escaped(&s))).unwrap_or_default();
        let mut out = String::new();
        let _ = write!(out, "\n{} --> {}\n{speaker}{}\n", stamp(start), stamp(end), escaped(&text));
        Some(out)
    }
}

/// One line without control characters.
fn plain(text: &str) -> String {
    let text: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    text.trim().to_string()
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

fn stamp(ms: u64) -> String {
    let (s, ms) = (ms / 1000, ms % 1000);
    format!("{:02}:{:02}:{:02}.{ms:03}", s / 3600, s / 60 % 60, s % 60)
}
