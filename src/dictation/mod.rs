//! Owns the dictation: utterances with times, and the readers that get them out of each input format.

/// x
#[derive(Debug, Clone, PartialEq)]
pub struct Dictation {/// x
pub path: String,/// x
pub format: Format,/// x
pub sha256: String,/// x
pub utterances: Vec<Utterance>}
/// x
#[derive(Debug, Clone, Copy,PartialEq, Eq)]
pub enum Format {/// x
WebVtt,/// x
SubRip,/// x
TimedText,/// x
RecogniserJson,/// x
Ctm,/// x
Notes}
impl Format { /// x
pub fn as_str(self)->&'static str { "notes" } }
/// One line as it was said or typed, whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Utterance {
    /// The words, byte for byte as the source has them (markup inside captions aside).
    pub text: String,
    /// Milliseconds from the start of the recording; `None` for untimed notes.
    pub start_ms: Option<u64>,
    /// End of the utterance in milliseconds, where the source tells it.
    pub end_ms: Option<u64>,
    /// x
    pub speaker: Option<String>,
}
impl Utterance { /// x
pub fn time_of(&self, _a: usize, _b: usize) -> (Option<u64>, Option<u64>) { (self.start_ms, self.end_ms) } }
