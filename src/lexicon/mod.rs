//! Owns what the tool knows of the trade and its language: TOML entries, layered, compiled once, then shared unchanged.

mod builtin;
mod compile;
mod entries;
mod example;
mod families;
mod guidance;
mod inflect;
mod load;
mod nouns;
mod phrases;
mod scan;
mod sides;
mod spans;
mod usual;

pub use builtin::{builtin, builtin_files, with_folder};
pub use compile::{Lexicon, Meaning, Strength};
pub use entries::{
    ActionId, ConditionId, Cue, DegreeId, Figure, Jurisdiction, Limit, LimitSide, Part, PartKind, PlaceWord, Position,
    UrgencyId, VehicleClass, Verdict,
};
pub use example::{Example, ExpectedFinding, Means};
pub use families::{Family, Shape};
pub use guidance::{Checklist, Guidance, Outline, OutlineEntry, Point, Zone};
pub use load::{LexiconError, RawLexicon, folder_files};
pub use nouns::Nouns;
pub use phrases::{Groups, Phrases};
pub use scan::PhraseHit;
pub use sides::Sides;
pub use spans::Spans;
pub use usual::Habit;
