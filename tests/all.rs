//! All integration tests, in one binary to keep builds quick.
mod cli;
mod invariants;
mod matching;
mod phenomena;
mod published;
mod readers;
mod reports;
mod review;
mod structure;
