//! All integration tests, in one binary to keep builds quick.
mod readers;
mod matching;
mod cli;
mod reports;
