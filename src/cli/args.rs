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
    /// Run your speech recogniser on recordings and list what was found; what it wrote is kept beside each.
    Hear(RawHear),
    /// Show the list while somebody talks: reads a recogniser's running words, and keeps them.
    Live(RawLive),
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
    /// Price the work that findings ask for from the shop's rate book, shared labour counted once.
    Price(RawPrice),
    /// List what customers declined or put off, with the day to ask again, for a whole folder of inspections.
    Due(RawDue),
    /// Compare visits of one vehicle: what became of each part, and how measured parts wear.
    Compare(RawCompare),
    /// Print the JSON Schema of what `find --format json` prints, or of another command's output.
    Schema {
        /// Whose output.
        #[arg(value_enum, default_value_t = Of::Find)]
        of: Of,
    },
    /// Print a script that completes commands and options in a shell.
    Completions {
        /// Shell to complete in.
        shell: Shell,
    },
}

#[derive(Debug, Args)]
pub(super) struct RawFind {
    /// Files to read; folders are walked, `-` is standard input.
    #[arg(required_unless_present = "records", value_name = "PATH")]
    pub paths: Vec<String>,
    /// Read standard input as records, each a line of JSON with an `id` and `text` (what a file would hold) or `utterances`; the
    /// findings of each come out as one line of JSON.
    #[arg(long, conflicts_with_all = ["paths", "format", "checklist"])]
    pub records: bool,
    #[command(flatten)]
    pub reading: RawReading,
    #[command(flatten)]
    pub output: RawOutput,
}

#[derive(Debug, Args)]
pub(super) struct RawHear {
    /// Recordings to hear; of folders, all that are in them.
    #[arg(required = true, value_name = "RECORDING")]
    pub recordings: Vec<PathBuf>,
    /// File that says which recogniser to run; `voice.toml` in this folder where none is named.
    #[arg(long, value_name = "FILE")]
    pub config: Option<PathBuf>,
    /// Hear recordings anew that have a transcript; the old one is set aside.
    #[arg(long)]
    pub again: bool,
    #[command(flatten)]
    pub reading: RawReading,
    #[command(flatten)]
    pub output: RawOutput,
}

#[derive(Debug, Args)]
pub(super) struct RawLive {
    /// Folder of the inspection; made where it is missing.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Start the recogniser under [live] of the configuration, instead of reading standard input.
    #[arg(long)]
    pub start: bool,
    /// File that says which recogniser to start; `voice.toml` in this folder where none is named.
    #[arg(long, value_name = "FILE", requires = "start")]
    pub config: Option<PathBuf>,
    #[command(flatten)]
    pub reading: RawReading,
    #[command(flatten)]
    pub output: RawOutput,
}

#[derive(Debug, Args)]
pub(super) struct RawDesk {
    /// Folder that holds inspections, each a folder of its own.
    pub folder: PathBuf,
    /// Address and port to listen on; port 0 takes any that is free. What leaves this machine is encrypted only with --tls.
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:0")]
    pub listen: SocketAddr,
    /// Encrypt: folder with certificate.pem and key.pem; where there is neither, both are made there.
    #[arg(long, value_name = "DIR")]
    pub tls: Option<PathBuf>,
    /// Name that this machine has in your network, if it has one; the desk answers to it.
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// The shop's rate book, for estimates: a TOML file, or a folder of them that make one book.
    #[arg(long, value_name = "BOOK")]
    pub rates: Option<PathBuf>,
    /// File that says which recogniser to run, as for `hear`: what is recorded at the desk is then written down by itself.
    #[arg(long, value_name = "FILE")]
    pub config: Option<PathBuf>,
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
pub(super) struct RawPrice {
    /// Findings as `find --format json` prints them, a dictation, or the folder of an inspection; `-` is standard input. Without it
    /// the rate book is only checked.
    pub path: Option<String>,
    /// The shop's rate book: a TOML file, or a folder of them that make one book.
    #[arg(long, value_name = "BOOK")]
    pub rates: PathBuf,
    /// Price only the findings with these ids, or beginnings of ids.
    #[arg(long, value_name = "ID")]
    pub only: Vec<String>,
    /// Leave out the findings with these ids.
    #[arg(long, value_name = "ID")]
    pub without: Vec<String>,
    /// A job that must be done; `JOB@left,front` only there.
    #[arg(long, value_name = "JOB")]
    pub pin: Vec<String>,
    /// A job that must not be done; `JOB@left,front` only there.
    #[arg(long, value_name = "JOB")]
    pub forbid: Vec<String>,
    /// An optional part, or one to take in the stead of the usual one, by its id.
    #[arg(long, value_name = "PART")]
    pub take: Vec<String>,
    /// The customer wants this finding seen to; kept in the log of the inspection's folder.
    #[arg(long, value_name = "ID")]
    pub approve: Vec<String>,
    /// The customer declines it. `ID=2w` asks again in two weeks (d, w, m, mi, km).
    #[arg(long, value_name = "ID")]
    pub decline: Vec<String>,
    /// The customer puts it off. `ID=2w` asks again in two weeks; without it, when the technician said, or as is usual.
    #[arg(long, value_name = "ID")]
    pub later: Vec<String>,
    /// Show what this sum does best: the more pressing strictly first.
    #[arg(long, value_name = "AMOUNT")]
    pub budget: Option<String>,
    /// Spread the work over so many visits and show what that costs.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(2..=3))]
    pub visits: Option<u8>,
    /// Form of the output.
    #[arg(long, value_enum, default_value_t = PriceFormat::Table)]
    pub format: PriceFormat,
    /// Write to this file instead, all at once.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    pub reading: RawReading,
}

#[derive(Debug, Args)]
pub(super) struct RawDue {
    /// Folder of inspections, each a folder with its log; or one inspection.
    pub folder: PathBuf,
    /// Day that it is asked for (YYYY-MM-DD); today where none is given.
    #[arg(long, value_name = "DAY")]
    pub on: Option<jiff::civil::Date>,
    /// Only what is due by this day; what is due by distance is always shown.
    #[arg(long, value_name = "DAY")]
    pub until: Option<jiff::civil::Date>,
    /// Form of the output.
    #[arg(long, value_enum, default_value_t = DueFormat::Table)]
    pub format: DueFormat,
    /// Write to this file instead, all at once.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(super) struct RawCompare {
    /// Two visits or more, earliest first: findings documents, dictations, or folders of inspections.
    #[arg(required = true, num_args = 2.., value_name = "VISIT")]
    pub visits: Vec<String>,
    /// Days of the visits, in their order (YYYY-MM-DD). Without them, days are taken from the names of folders and files.
    #[arg(long, value_name = "DAY", value_delimiter = ',')]
    pub days: Vec<jiff::civil::Date>,
    /// Limit of a part, such as `battery=12.2V`; goes before a published one.
    #[arg(long, value_name = "PART=FIGURE")]
    pub limit: Vec<String>,
    /// Form of the output.
    #[arg(long, value_enum, default_value_t = CompareFormat::Table)]
    pub format: CompareFormat,
    /// Write to this file instead, all at once.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
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
    /// Write to this file instead, all at once when everything is read. `find` takes a folder too, one that is there or a name that
    /// ends in `/`: each dictation gets a file of its own in it, and what is there already and still holds is not read again.
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

/// Forms of an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum PriceFormat {
    /// For people at a terminal.
    Table,
    /// For programs.
    Json,
    /// One priced line a row, for spreadsheets.
    Csv,
    /// A page to print for the customer: one HTML file.
    Html,
}

/// Forms of the follow-ups.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum DueFormat {
    /// For people at a terminal.
    Table,
    /// One follow-up a line, for programs.
    Json,
    /// For spreadsheets.
    Csv,
    /// For calendars (RFC 5545).
    Ics,
}

/// Forms of a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum CompareFormat {
    /// For people at a terminal.
    Table,
    /// For programs.
    Json,
    /// One part a row, for spreadsheets.
    Csv,
}

/// Commands whose output has a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Of {
    /// The findings document.
    Find,
    /// The estimate.
    Price,
    /// The comparison of visits.
    Compare,
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
