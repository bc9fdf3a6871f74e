//! Owns the raw arguments of `lexicon`.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

/// What to do with the lexicon.
#[derive(Debug, Args)]
pub(in crate::cli) struct RawLexiconArgs {
    #[command(subcommand)]
    pub command: RawLexiconCommand,
}

#[derive(Debug, Subcommand)]
pub(in crate::cli) enum RawLexiconCommand {
    /// Find every problem in lexicon files and run the examples in them.
    #[command(after_help = "Exit status: 0 no problem, or warnings only; 1 problems; 2 wrong usage.")]
    Check(RawCheck),
    /// Show how words are read: each of them, what came close, and what comes out.
    Try(RawTry),
    /// Propose additions from past dictations, notes and decisions, best first.
    Suggest(RawSuggest),
    /// Read past inspections with the lexicon before and after a change, and tell what differs.
    #[command(
        after_help = "Exit status: 0 no confirmed finding is lost; 1 one is, or an inspection can't be read; 2 wrong usage."
    )]
    Replay(RawReplay),
    /// List all words and phrases, or a hint text that biases a speech recogniser.
    Words(RawWords),
    /// Show the entries with an id or with words in them, as their files have them.
    Show(RawShow),
    /// Count what the lexicon holds.
    Stats(RawAsked),
    /// Write every phrase as a row, for spreadsheets and programs.
    Export(RawExport),
    /// Take nicknames over from a table with two columns: term, nickname.
    Import(RawImport),
}

#[derive(Debug, Args)]
pub(in crate::cli) struct RawCheck {
    /// Your lexicon folder; without one the built-in lexicon is checked.
    #[arg(value_name = "DIR")]
    pub folder: Option<PathBuf>,
    /// Form of the output.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
    /// Let warnings count as problems.
    #[arg(long)]
    pub strict: bool,
}

/// The lexicon that is meant.
#[derive(Debug, Args)]
pub(in crate::cli) struct RawFolder {
    /// Your lexicon folder, laid on top of what is built in.
    #[arg(long, value_name = "DIR")]
    pub lexicon: Option<PathBuf>,
}

/// Which lexicon is asked, and in which form it answers.
#[derive(Debug, Args)]
pub(in crate::cli) struct RawAsked {
    #[command(flatten)]
    pub folder: RawFolder,
    /// Form of the output.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct RawTry {
    /// The words as they are spoken or typed; `-` reads them from standard input.
    pub words: String,
    #[command(flatten)]
    pub asked: RawAsked,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct RawSuggest {
    /// Folders or files with past dictations and notes; inspection folders with their decisions too.
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<String>,
    #[command(flatten)]
    pub folder: RawFolder,
    /// Show at most this many.
    #[arg(long, value_name = "N", default_value_t = 40)]
    pub most: usize,
    /// Form of the output; `csv` makes a list to tick off and give to --accept.
    #[arg(long, value_enum, default_value_t = ListForm::Text)]
    pub format: ListForm,
    /// Write these to the folder of --lexicon: numbers of the list (`1,3-5`, `all`), or a CSV file ticked off.
    #[arg(long, value_name = "WHICH", requires = "lexicon")]
    pub accept: Option<String>,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct RawReplay {
    /// A folder of inspections, or one inspection, with the decisions on them.
    #[arg(value_name = "DIR")]
    pub inspections: PathBuf,
    /// Your lexicon folder after the change.
    #[arg(long, value_name = "DIR")]
    pub lexicon: PathBuf,
    /// Your lexicon folder before the change; without it, what is built in.
    #[arg(long, value_name = "DIR")]
    pub before: Option<PathBuf>,
    /// Form of the output.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct RawWords {
    #[command(flatten)]
    pub folder: RawFolder,
    /// Print a hint text of at most N tokens instead, most useful names first.
    #[arg(long, value_name = "N")]
    pub hint: Option<usize>,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct RawShow {
    /// An id, a name or words of a name.
    pub words: String,
    #[command(flatten)]
    pub asked: RawAsked,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct RawExport {
    #[command(flatten)]
    pub folder: RawFolder,
    /// Form of the output.
    #[arg(long, value_enum, default_value_t = Rows::Csv)]
    pub format: Rows,
    /// Leave the built-in entries out.
    #[arg(long, requires = "lexicon")]
    pub own: bool,
    /// Write to this file instead, all at once.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct RawImport {
    /// The table: a term the lexicon knows, then the nickname; a head line `term,nickname` is passed over.
    pub table: PathBuf,
    /// Your lexicon folder: the nicknames are written there.
    #[arg(long, value_name = "DIR")]
    pub lexicon: PathBuf,
}

/// Forms of the output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum Form {
    /// For people.
    Text,
    /// For programs.
    Json,
}

/// Forms of rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum Rows {
    /// For spreadsheets.
    Csv,
    /// For programs.
    Json,
}

/// Forms of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum ListForm {
    /// For people.
    Text,
    /// To tick off.
    Csv,
    /// For programs.
    Json,
}
