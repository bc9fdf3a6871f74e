//! Turns what a vehicle technician says or jots while walking round a vehicle into a findings list.
//!
//! Data flows one way: bytes → [`dictation`] → text → matching → interpretation → findings → report,
//! and from there through the decisions of people ([`review`]) to a final list.

pub mod checklist;
pub mod cli;
pub mod desk;
pub mod diagnostic;
pub mod dictation;
pub mod findings;
pub mod history;
pub mod interpretation;
pub mod lexicon;
pub mod limits;
pub mod matching;
pub mod pricing;
pub mod report;
pub mod review;
pub mod shop;
pub mod text;
pub mod voice;
