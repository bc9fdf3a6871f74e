//! All integration tests, in one binary to keep builds quick.
mod cli;
mod matching;
mod readers;
mod reports;
mod phenomena;
mod published;
