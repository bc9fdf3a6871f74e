//! The desk's server as a browser, or an attacker, talks to it.

mod capture;
mod client;
mod dictated;
mod estimate;
mod figures;
mod pages;
mod pairing;
mod photos;
mod running;
mod security;
mod teaching;
mod together;
mod writing_down;

use client::{Answer, Server};

/// What a test comes to.
type Checked = Result<(), Box<dyn std::error::Error>>;

/// An inspection with something not to be driven with, and words without a part.
const NOTES: &str = concat!(
    "unit 14\nLF brake hose cracked, replace\nRR tire has a cut in the sidewall, do not drive it\n",
    "battery ok\nthe doohickey is cracked\n"
);
