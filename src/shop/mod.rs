//! Owns what a shop does with its lexicon: checking its files, trying words, proposing additions, comparing before and after.
//! Pure functions; files and terminals are the command line's.

mod attempt;
mod check;
mod edit;
mod listing;
mod problem;
mod reading;
mod replay;
mod suggest;
mod words;

pub use attempt::{Attempt, By, Close, Read, attempt, is_strange};
pub use check::{Checked, builtin_as_files, check, compile, outcome};
pub use edit::{Addition, entry_of, with_additions};
pub use listing::{Row, Shown, Stats, rows, show, stats};
pub use problem::{Problem, ProblemKind};
pub use reading::{Entry, Key, ShopFile, Word};
pub use replay::{Difference, Fate, Replay, Standing, replay};
pub use suggest::{Choice, Suggestion, SuggestionKind, additions, suggest};
pub use words::{hint, phrases, tokens};
