//! Owns the raw arguments: what may be typed, as clap reads it. What it amounts to is in [`super::request`].

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;

use super::decide::RawDecide;
use super::lexicon::RawLexiconArgs;

/// Turns a technician's spoken or typed vehicle walkaround into a findings list.
#[derive(Debug, Parser)]
#[command(
    name = "hoistnote",
    version,
    arg_required_else_help = true,
    after_help = "Exit status: 0 all went well; 1 something could not be read or written, the rest was done; 2 wrong usage."
)]
pub(super) struct Raw {
    #[command(subcommand)]
    pub command: RawCommand,
}

#[derive(Debug, Subcommand)]
pub(super) enum RawCommand {
    /// List what was found in dictations: captions, timed text, recogniser output or plain notes.
    Find(RawFind),
    /// Explain one finding: the words behind it, how they were read and what weighed most.
    Why(RawWhy),
    /// Show the findings of an invented walkaround that comes with the program.
    Demo(RawDemo),
    /// Open the desk: a local page to review, correct and hand over the inspections of a folder.
    Desk(RawDesk),
    /// Print the final list of an inspection: what was found, with all that was decided on it.
    Final(RawFinal),
    /// Decide on a finding of an inspection without the page: accept, correct, drop, add and so on.
    Decide(RawDecide),
    /// Check, try and grow the words the program knows: the built-in ones and your shop's own.
    Lexicon(RawLexiconArgs),
    /// Print the JSON Schema of what `find --format json` prints.
    Schema,
    /// Print a script that completes commands and options in a shell.
    Completions {
        /// Shell to complete in.
        shell: Shell,
    },
}

#[derive(Debug, Args)]
pub(super) struct RawFind {
    /// Files to read; folders are walked, `-` is standard input.
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<String>,
    #[command(flatten)]
    pub reading: RawReading,
    #[command(flatten)]
    pub output: RawOutput,
}

#[derive(Debug, Args)]
pub(super) struct RawDesk {
    /// Folder that holds inspections, each a folder of its own.
    pub folder: PathBuf,
    /// Address and port to listen on; port 0 takes any that is free. What leaves this machine is not encrypted.
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:0")]
    pub listen: SocketAddr,
    #[command(flatten)]
    pub reading: RawReading,
}

#[derive(Debug, Args)]
pub(super) struct RawFinal {
    /// Folder of one inspection.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    #[command(flatten)]
    pub reading: RawReading,
    #[command(flatten)]
    pub output: RawOutput,
}

#[derive(Debug, Args)]
pub(super) struct RawWhy {
    /// The dictation; `-` is standard input.
    pub file: String,
    /// Id of the finding, or the start of one, as `find` shows it.
    pub id: String,
    #[command(flatten)]
    pub reading: RawReading,
}

#[derive(Debug, Args)]
pub(super) struct RawDemo {
    /// Print the dictation itself.
    #[arg(long, conflicts_with_all = ["format", "out", "checklist", "drives_on", "jurisdiction", "vehicle", "lexicon"])]
    pub text: bool,
    #[command(flatten)]
    pub reading: RawReading,
    #[command(flatten)]
    pub output: RawOutput,
}

/// How dictations are read. Every setting of the interpreter has its option here.
#[derive(Debug, Args)]
pub(super) struct RawReading {
    /// Side of the road the vehicle is driven on: decides where driver and passenger sit.
    #[arg(long, value_enum, value_name = "SIDE", default_value_t = Side::Right)]
    pub drives_on: Side,
    /// Whose published limits measured figures are held against.
    #[arg(long, value_enum, value_name = "WHOSE", default_value_t = Whose::Us)]
    pub jurisdiction: Whose,
    /// Kind of vehicle, for the limits; `auto` tells it from the parts spoken of.
    #[arg(long, value_enum, value_name = "KIND", default_value_t = Kind::Auto)]
    pub vehicle: Kind,
    /// Folder with lexicon files of your own, laid on top of what is built in.
    #[arg(long, value_name = "DIR")]
    pub lexicon: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(super) struct RawOutput {
    /// Form of the output.
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
    /// Write to this file instead, all at once when everything is read.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Show too which points of a checklist nobody spoke of: light, heavy, trailer, or one of your own lexicon.
    #[arg(long, value_name = "LIST")]
    pub checklist: Option<String>,
}

/// Forms of the output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For people, worst first.
    Table,
    /// One document a line, for programs.
    Json,
    /// One finding a row, for spreadsheets.
    Csv,
    /// The table as Markdown.
    Markdown,
    /// The customer's report: one HTML file, for screen and paper.
    Html,
    /// The shop's work list, in the order of one walk round the vehicle.
    Work,
}

/// Whose limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Whose {
    /// United States, federal.
    Us,
    /// United Kingdom.
    Uk,
    /// European Union.
    Eu,
}

/// Kinds of vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Kind {
    /// By the parts spoken of.
    Auto,
    /// Cars, vans, pickups.
    Light,
    /// Trucks, buses, trailers.
    Heavy,
}

/// Sides of the road.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Side {
    /// Driver on the right.
    Left,
    /// Driver on the left.
    Right,
}
