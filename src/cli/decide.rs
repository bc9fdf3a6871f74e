//! Owns the arguments of `decide`: words on the command line in, the same [`Edit`] that the page asks for out.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use crate::findings::Condition;
use crate::lexicon::{ActionId, ConditionId, DegreeId, Position, UrgencyId, Verdict};
use crate::report;
use crate::review::{Change, Edit, Figure, Marked, symbol};
use crate::text::Unit;

use super::args::RawReading;
use super::outcome::Failure;

#[derive(Debug, Args)]
pub(super) struct RawDecide {
    /// Folder of one inspection.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    #[command(subcommand)]
    pub edit: RawEdit,
    #[command(flatten)]
    pub reading: RawReading,
}

/// Ids, or their beginnings, are those that `final` shows.
#[derive(Debug, Subcommand)]
pub(super) enum RawEdit {
    /// The finding is right as it stands.
    Accept { id: String },
    /// Something of the finding is otherwise.
    Correct {
        id: String,
        #[command(flatten)]
        change: RawChange,
        /// Why; needed where the vehicle was not to be driven and now may be.
        #[arg(long, default_value = "")]
        reason: String,
    },
    /// Take the finding out.
    Drop {
        id: String,
        #[arg(long)]
        reason: String,
    },
    /// Make one finding for each of its places, or else for each of its conditions.
    Split { id: String },
    /// Make one finding of several; the first stays.
    Merge {
        #[arg(required = true, num_args = 2..)]
        ids: Vec<String>,
    },
    /// Add a finding that was missed.
    Add {
        /// Line of the dictation, counted from 1.
        #[arg(long)]
        line: usize,
        /// The words in that line that say it; left away, the whole line.
        #[arg(long, default_value = "")]
        words: String,
        #[command(flatten)]
        change: RawChange,
    },
    /// Put a note on a finding, for the shop; an empty one takes it away.
    Note { id: String, text: String },
    /// Leave a doubtful finding as it is, knowingly.
    Pass { id: String },
    /// Leave words without a part, knowingly.
    PassWords {
        /// Line of the dictation, counted from 1.
        line: usize,
        #[arg(long, default_value = "")]
        reason: String,
    },
    /// Leave a decision that no longer applies, knowingly.
    PassDecision {
        /// Line of the log, counted from 1.
        line: usize,
    },
    /// Say that the list is handed over as it stands; not before everything was looked at.
    HandOver,
    /// Take the last decision back.
    Undo,
    /// Make the decision that was last taken back again.
    Redo,
}

/// What is changed; what is not named stays.
#[derive(Debug, Args)]
pub(super) struct RawChange {
    /// Part: name, nickname or id.
    #[arg(long)]
    pub part: Option<String>,
    /// Place in words ("front left"); empty for none.
    #[arg(long)]
    pub place: Option<String>,
    /// defect, sound, serviced or unchecked.
    #[arg(long)]
    pub verdict: Option<String>,
    /// Conditions, separated by commas, a degree behind a colon ("play:slight,corrosion"); empty for none.
    #[arg(long)]
    pub conditions: Option<String>,
    /// stop, now, soon, watch, or none.
    #[arg(long)]
    pub urgency: Option<String>,
    /// Actions, separated by commas; empty for none.
    #[arg(long)]
    pub actions: Option<String>,
    /// Figures with their units, separated by commas ("2 mm, 12.4 V"); empty for none.
    #[arg(long)]
    pub measured: Option<String>,
    /// How it is put to the customer; empty for the program's own words.
    #[arg(long)]
    pub wording: Option<String>,
}

impl RawDecide {
    /// Checks the words.
    pub(super) fn check(self) -> Result<(PathBuf, Edit, RawReading), Failure> {
        let edit = match self.edit {
            RawEdit::Accept { id } => Edit::Accept { id },
            RawEdit::Correct { id, change, reason } => Edit::Correct { id, change: change.check()?, reason },
            RawEdit::Drop { id, reason } => Edit::Drop { id, reason },
            RawEdit::Split { id } => Edit::Split { id },
            RawEdit::Merge { ids } => Edit::Merge { ids },
            RawEdit::Add { line, words, change } => {
                Edit::Add { words: vec![Marked { line, words }], change: change.check()? }
            }
            RawEdit::Note { id, text } => Edit::Note { id, text },
            RawEdit::Pass { id } => Edit::Pass { id },
            RawEdit::PassWords { line, reason } => Edit::PassWords { line, reason },
            RawEdit::PassDecision { line } => Edit::PassDecision { line },
            RawEdit::HandOver => Edit::HandOver,
            RawEdit::Undo => Edit::Undo,
            RawEdit::Redo => Edit::Redo,
        };
        Ok((self.folder, edit, self.reading))
    }
}

impl RawChange {
    fn check(self) -> Result<Change<String>, Failure> {
        let urgency = |u: &str| match u.trim() {
            "none" => Ok(None),
            word => id("--urgency", word, UrgencyId::ALL, UrgencyId::as_str).map(Some),
        };
        Ok(Change {
            part: self.part,
            place: self
                .place
                .as_deref()
                .map(|p| p.split_whitespace().map(|w| id("--place", w, Position::ALL, Position::as_str)).collect())
                .transpose()?,
            verdict: self.verdict.as_deref().map(|v| id("--verdict", v, Verdict::ALL, Verdict::as_str)).transpose()?,
            conditions: self.conditions.as_deref().map(|c| list(c, condition)).transpose()?,
            urgency: self.urgency.as_deref().map(urgency).transpose()?,
            actions: self
                .actions
                .as_deref()
                .map(|a| list(a, |w| id("--actions", w, ActionId::ALL, ActionId::as_str)))
                .transpose()?,
            measurements: self.measured.as_deref().map(|m| list(m, figure)).transpose()?,
            wording: self.wording,
        })
    }
}

fn list<T>(words: &str, one: impl Fn(&str) -> Result<T, Failure>) -> Result<Vec<T>, Failure> {
    words.split(',').map(str::trim).filter(|w| !w.is_empty()).map(one).collect()
}

fn id<T: Copy>(option: &str, word: &str, all: &[T], name: impl Fn(T) -> &'static str) -> Result<T, Failure> {
    all.iter().copied().find(|t| name(*t) == word).ok_or_else(|| {
        let names: Vec<&str> = all.iter().map(|t| name(*t)).collect();
        Failure::none_of(&format!("{option} {}: not one of these", report::shown(word)), &names)
    })
}

fn condition(words: &str) -> Result<Condition, Failure> {
    let (kind, degree) = words.split_once(':').map_or((words, None), |(k, d)| (k, Some(d)));
    let degree = degree.map(|d| id("--conditions", d, DegreeId::ALL, DegreeId::as_str)).transpose()?;
    Ok(Condition { id: id("--conditions", kind, ConditionId::ALL, ConditionId::as_str)?, degree })
}

/// "2 mm", "4/32in", "12.4V": a number and the symbol of a unit.
fn figure(words: &str) -> Result<Figure, Failure> {
    Figure::parse(words).ok_or_else(|| {
        let units: Vec<String> = Unit::ALL.iter().map(|u| symbol(*u)).collect();
        let units: Vec<&str> = units.iter().map(String::as_str).collect();
        let what = format!("--measured {}: not a number and a unit; the units are", report::shown(words));
        Failure::none_of(&what, &units)
    })
}
