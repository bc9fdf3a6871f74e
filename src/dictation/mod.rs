//! Owns the dictation: utterances with times, and the readers that get them out of each input format.

mod captions;
mod ctm;
mod decode;
mod detect;
mod json_scan;
mod markup;
mod notes;
mod problem;
mod reading;
mod recogniser_json;
mod record;
mod sentences;
mod sources;
mod stamps;
mod subrip;
mod timed_text;
mod webvtt;
mod words;

use sha2::{Digest, Sha256};

pub use problem::Problem;
pub use record::{Record, Records};
pub use sources::{Source, TRANSCRIPTS, gather, may_hold_dictation};

/// One whole dictation, in the order of its source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dictation {
    /// Where it came from, as the user named it.
    pub path: String,
    /// The format told from the content.
    pub format: Format,
    /// SHA-256 of the bytes as they were read, in lower-case hexadecimal.
    pub sha256: String,
    /// What was said or typed, line by line.
    pub utterances: Vec<Utterance>,
    /// What was not as it should be and what was done about it, by line.
    pub warnings: Vec<Problem>,
}

/// The formats that can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Captions as the W3C defines them.
    WebVtt,
    /// Numbered captions with a comma before the milliseconds.
    SubRip,
    /// Lines that begin with a time of the recording.
    TimedText,
    /// Segments or words with seconds, as speech recognisers write them.
    RecogniserJson,
    /// NIST time-marked words, one a line.
    Ctm,
    /// Plain lines without times.
    Notes,
}

impl Format {
    /// The name used in reports.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::WebVtt => "webvtt",
            Self::SubRip => "subrip",
            Self::TimedText => "timed_text",
            Self::RecogniserJson => "recogniser_json",
            Self::Ctm => "ctm",
            Self::Notes => "notes",
        }
    }
}

/// One line as it was said or typed, whole.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Utterance {
    /// The words as the source has them, caption markup aside.
    pub text: String,
    /// Milliseconds from the start of the recording; `None` where no time is known.
    pub start_ms: Option<u64>,
    /// End of the utterance in milliseconds, where the source tells it.
    pub end_ms: Option<u64>,
    /// Who speaks, where the source says so outside the words.
    pub speaker: Option<String>,
    /// Times of single words in the order of the text, where the source has them.
    pub words: Vec<WordTime>,
}

impl Utterance {
    /// When a stretch of the text was said: by its words' own times, else by the utterance's.
    pub fn time_of(&self, from: usize, to: usize) -> (Option<u64>, Option<u64>) {
        let first = self.words.partition_point(|word| word.end <= from);
        let inside = || self.words.iter().skip(first).take_while(|word| word.start < to);
        match (inside().map(|word| word.start_ms).min(), inside().map(|word| word.end_ms).max()) {
            (None, _) => (self.start_ms, self.end_ms),
            times => times,
        }
    }
}

/// The time of one word of an utterance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WordTime {
    /// Byte offset of the word in the text.
    pub start: usize,
    /// Byte offset just after the word.
    pub end: usize,
    /// Milliseconds from the start of the recording.
    pub start_ms: u64,
    /// End of the word; equal to its start where the source doesn't tell it.
    pub end_ms: u64,
}

/// Reads one dictation, telling its format from the content.
///
/// ```
/// use hoistnote::dictation::{Format, read};
///
/// let captions = "WEBVTT\n\n00:01.500 --> 00:03.000\nleft front tire is bald\n";
/// let dictation = read("walk.vtt", captions.as_bytes())?;
/// assert_eq!(dictation.format, Format::WebVtt);
/// assert_eq!(dictation.utterances[0].start_ms, Some(1_500));
/// # Ok::<(), hoistnote::dictation::Problem>(())
/// ```
///
/// # Errors
/// A [`Problem`] when nothing can be read at all: an empty or binary file, or JSON that is broken.
/// Anything less becomes a warning and the words are kept.
pub fn read(path: &str, bytes: &[u8]) -> Result<Dictation, Problem> {
    let decoded = decode::decode(path, bytes)?;
    let lines: Vec<&str> = decoded.text.split('\n').collect();
    let format = detect::format(&decoded.text, &lines);
    let mut reading = reading::Reading::new(path);
    reading.warnings.extend(decoded.warning);
    match format {
        Format::WebVtt => webvtt::read(&lines, &mut reading),
        Format::SubRip => subrip::read(&lines, &mut reading),
        Format::TimedText => timed_text::read(&lines, &mut reading),
        Format::RecogniserJson => recogniser_json::read(&decoded.text, &mut reading)?,
        Format::Ctm => ctm::read(&lines, &mut reading),
        Format::Notes => notes::read(&lines, &mut reading),
    }
    let (utterances, warnings) = reading.finish();
    Ok(Dictation { path: path.to_owned(), format, sha256: digest(bytes), utterances, warnings })
}

/// SHA-256 of bytes, in lower-case hexadecimal.
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
