//! Owns what the tool knows of the trade and its language: TOML entries, layered, compiled once, then shared unchanged.

mod compile;
mod entries;
mod inflect;
mod load;
mod nouns;
mod usual;

pub use compile::{Lexicon, Meaning, PhraseHit, Strength};
pub use entries::{
    ActionId, ConditionId, Cue, DegreeId, Figure, Jurisdiction, Limit, LimitSide, Part, PartKind, PlaceWord, Position,
    UrgencyId, VehicleClass, Verdict,
};
pub use load::{LexiconError, Origin, RawLexicon, builtin, with_folder};
pub use nouns::Nouns;
pub use usual::Habit;
