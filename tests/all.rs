//! All integration tests, in one binary to keep builds quick.
