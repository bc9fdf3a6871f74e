//! All integration tests, in one binary to keep builds quick.
mod checklist;
mod cli;
mod desk;
#[path = "fuzz/lib.rs"]
mod fuzz;
mod fuzzed;
mod growth;
mod history;
mod invariants;
mod matching;
mod phenomena;
mod pricing;
mod published;
mod rate_book;
mod readers;
mod reports;
mod review;
mod shop;
mod structure;
