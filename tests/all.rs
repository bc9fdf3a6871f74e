//! All integration tests, in one binary to keep builds quick.
mod cli;
mod invariants;
mod matching;
mod readers;
mod reports;
mod phenomena;
mod published;
