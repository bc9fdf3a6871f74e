//! Tests of the forms a findings document is shown in, on a document made by hand.

mod csv;
mod drawing;
mod handover;
mod made;
pub mod schema;
mod snapshots;

pub use snapshots::pin;
