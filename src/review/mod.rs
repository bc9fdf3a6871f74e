//! Owns the review of an inspection: its folder, the log of decisions, and the final list that both make.
//!
//! Only [`folder`] and [`log`] touch files; the replay is pure.

mod anchor;
mod decision;
mod edit;
mod extraction;
mod final_list;
mod folder;
mod handing;
mod log;
mod mend;
mod replay;
mod taken;
mod together;
mod undo;

pub use anchor::{Anchor, Mark};
pub use decision::{Change, Content, Decision, Entry, Figure, Line, Named, Piece, Subject, symbol};
pub use edit::{Edit, Marked, Refusal, decide};
pub use extraction::Extraction;
pub use final_list::{Dropped, FinalList, Item, Lifted, Loose, Stale};
pub use folder::{Inspection, Listing, Stamp};
pub use handing::coverage;
pub use log::{Contents, LOG_NAME, Log, LogError};
pub use replay::final_list;
pub use taken::{begun_at, moment, taken_at};
pub use undo::Undoing;
