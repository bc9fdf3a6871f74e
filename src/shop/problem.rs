//! Owns the kinds of problems that a lexicon file can have.

use crate::diagnostic::{Diagnostic, Kind, Severity};

/// A problem in a lexicon file.
pub type Problem = Diagnostic<ProblemKind>;

/// What kind of problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ProblemKind {
    /// Bytes that are no UTF-8.
    Encoding,
    /// No TOML.
    Syntax,
    /// A key nobody reads.
    UnknownKey,
    /// A value of another type, or a word that is none of those that may stand there.
    WrongValue,
    /// A key that must be there and is not.
    MissingKey,
    /// An id or a phrase that does not exist.
    UnknownReference,
    /// Two entries claim the same words.
    Clash,
    /// The same words twice in one entry, or a second entry with the same id.
    Duplicate,
    /// Words that another entry always takes.
    NeverMatches,
    /// Words that stand in every other sentence.
    Everywhere,
    /// A plain English word that is a name here.
    PlainWord,
    /// Names of different parts that sound the same.
    SoundAlike,
    /// A limit or figure that can't be.
    BadLimit,
    /// An example that does not come to what it says.
    FailedExample,
}

impl ProblemKind {
    /// All kinds.
    pub const ALL: [ProblemKind; 14] = [
        ProblemKind::Encoding,
        ProblemKind::Syntax,
        ProblemKind::UnknownKey,
        ProblemKind::WrongValue,
        ProblemKind::MissingKey,
        ProblemKind::UnknownReference,
        ProblemKind::Clash,
        ProblemKind::Duplicate,
        ProblemKind::NeverMatches,
        ProblemKind::Everywhere,
        ProblemKind::PlainWord,
        ProblemKind::SoundAlike,
        ProblemKind::BadLimit,
        ProblemKind::FailedExample,
    ];
}

impl Kind for ProblemKind {
    fn name(self) -> &'static str {
        match self {
            ProblemKind::Encoding => "encoding",
            ProblemKind::Syntax => "syntax",
            ProblemKind::UnknownKey => "unknown_key",
            ProblemKind::WrongValue => "wrong_value",
            ProblemKind::MissingKey => "missing_key",
            ProblemKind::UnknownReference => "unknown_reference",
            ProblemKind::Clash => "clash",
            ProblemKind::Duplicate => "duplicate",
            ProblemKind::NeverMatches => "never_matches",
            ProblemKind::Everywhere => "everywhere",
            ProblemKind::PlainWord => "plain_word",
            ProblemKind::SoundAlike => "sound_alike",
            ProblemKind::BadLimit => "bad_limit",
            ProblemKind::FailedExample => "failed_example",
        }
    }

    fn severity(self) -> Severity {
        match self {
            ProblemKind::Duplicate | ProblemKind::PlainWord | ProblemKind::SoundAlike => Severity::Warning,
            _ => Severity::Error,
        }
    }
}
