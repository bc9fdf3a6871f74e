//! Owns the judgement of what came from a recogniser: whole, half, or nothing; and how far into the recording it is.

use std::path::Path;

use crate::dictation::{self, Dictation, Format};

/// What came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Came {
    /// A transcript, to be kept under this extension.
    Whole(Box<Dictation>, &'static str),
    /// Something that is no whole transcript.
    Half(Half),
    /// No words at all.
    Nothing,
}

/// Why what came does not count as a transcript.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Half {
    /// It breaks off; the words up to there can be read.
    BrokenOff(String),
    /// It is none of the forms that carry times: a recogniser's words and its messages could not be told apart.
    NoTimes,
    /// It can't be read at all.
    Unreadable(String),
}

/// The extension that a transcript of a format is kept under.
fn extension(format: Format) -> Option<&'static str> {
    match format {
        Format::WebVtt => Some("vtt"),
        Format::SubRip => Some("srt"),
        Format::Ctm => Some("ctm"),
        Format::RecogniserJson => Some("json"),
        Format::TimedText | Format::Notes => None,
    }
}

/// Whether a file is a recording, by its name.
pub fn is_recording(path: &Path) -> bool {
    const RECORDINGS: [&str; 13] =
        ["3gp", "aac", "aif", "aiff", "amr", "flac", "m4a", "mp3", "mp4", "ogg", "opus", "wav", "webm"];
    let extension = path.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
    extension.is_some_and(|e| RECORDINGS.contains(&e.as_str()))
}

/// Judges what a recogniser that ended well gave.
pub fn came(path: &str, bytes: &[u8]) -> Came {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Came::Nothing;
    }
    let dictation = match dictation::read(path, bytes) {
        Ok(dictation) => dictation,
        Err(problem) => return Came::Half(Half::Unreadable(problem.what)),
    };
    let Some(extension) = extension(dictation.format) else {
        return Came::Half(Half::NoTimes);
    };
    let text = String::from_utf8_lossy(bytes);
    let last = text.trim_end().split('\n').count();
    // what breaks off does so at its last line
    let broken = dictation.warnings.iter().find(|w| w.line == Some(last));
    match broken {
        Some(warning) => Came::Half(Half::BrokenOff(warning.what.clone())),
        None if dictation.utterances.is_empty() => Came::Nothing,
        None => Came::Whole(Box::new(dictation), extension),
    }
}

/// Milliseconds into the recording up to which words have come so far.
pub fn heard_until(bytes: &[u8]) -> Option<u64> {
    let dictation = dictation::read("", bytes).ok()?;
    dictation.utterances.iter().filter_map(|u| u.end_ms.or(u.start_ms)).max()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_half_and_nothing() {
        let table: [(&str, &str); 14] = [
            ("WEBVTT\n\n00:01.000 --> 00:02.000\nhorn works\n", "whole vtt"),
            ("1\n00:00:01,000 --> 00:00:02,000\nhorn works\n", "whole srt"),
            ("a 1 0.10 0.26 horn 0.9\na 1 0.37 0.35 works 0.8\n", "whole ctm"),
            ("{\"segments\": [{\"start\": 1, \"end\": 2, \"text\": \"horn works\"}]}", "whole json"),
            (
                "{\"start\": 1, \"end\": 2, \"text\": \"horn works\"}\n{\"start\": 2, \"end\": 3, \"text\": \"lights too\"}\n",
                "whole json",
            ),
            ("", "nothing"),
            ("\n \n", "nothing"),
            ("WEBVTT\n", "nothing"),
            ("{\"segments\": []}", "nothing"),
            ("{\"segments\": [{\"start\": 1, \"end\": 2, \"text\": \"horn wo", "half"),
            ("WEBVTT\n\n00:01.000 --> 00:02.000\nhorn works\n\n00:02.000 --> ", "half"),
            ("1\n00:00:01,000 --> 00:00:02,000\nhorn works\n\n2\n", "half"),
            ("a 1 0.10 0.26 horn 0.9\na 1 0.37 0.35 works 0.8\na 1 0.", "half"),
            ("loading the model\nhorn works\n", "half"),
        ];
        for (text, wanted) in table {
            let got = match came("", text.as_bytes()) {
                Came::Whole(_, extension) => format!("whole {extension}"),
                Came::Half(_) => "half".to_string(),
                Came::Nothing => "nothing".to_string(),
            };
            assert_eq!(got, wanted, "{text:?}");
        }
    }

    #[test]
    fn how_far_it_is() {
        assert_eq!(heard_until(b"WEBVTT\n\n00:01.000 --> 00:02.000\nhorn works\n\n00:02.500 --> 00:0"), Some(2000));
        assert_eq!(heard_until(b"{\"segments\": [{\"start\": 1, \"end\": 2.5, \"text\": \"horn wo"), Some(2500));
        assert_eq!(heard_until(b""), None);
    }
}
