//! Owns the validated arguments: what is to be done, with nothing left that could not be meant.

use std::path::{Path, PathBuf};

use clap_complete::Shell;
use rust_decimal::Decimal;

use crate::dictation::{Problem, Source, TRANSCRIPTS, gather};
use crate::history::Horizon;
use crate::interpretation::{DrivesOn, Settings};
use crate::lexicon::{Jurisdiction, Position, VehicleClass};
use crate::pricing::{self, Answer, JobAt, Plans, Wishes};

use crate::report;
use crate::review::{Edit, Figure};

use super::args::{
    Format, Kind, Of, Raw, RawCommand, RawCompare, RawFind, RawHear, RawOutput, RawPrice, RawReading, Side, Whose,
};
use super::compare::Visits;
use super::desk::Opened;
use super::due::Due;
use super::hear::{self, Hearing};
use super::lexicon::RawLexiconArgs;
use super::live::Session;
use super::outcome::Failure;
use super::price::Order;
use super::results::Results;

/// What is to be done.
pub(super) enum Request {
    Find { inputs: Inputs, reading: Reading, output: Output },
    Hear(Box<Hearing>),
    Live(Box<Session>),
    FindInto { results: Results, reading: Reading, output: Output },
    FindRecords { reading: Reading, out: Option<PathBuf> },
    Why { source: Source, id: String, reading: Reading },
    Demo { reading: Reading, output: Output },
    Desk(Box<Opened>),
    Final { folder: PathBuf, reading: Reading, output: Output },
    Decide { folder: PathBuf, edit: Edit, reading: Reading },
    DemoText,
    Lexicon(RawLexiconArgs),
    Price(Box<Order>),
    Due(Due),
    Compare(Visits),
    Schema(Of),
    Completions(Shell),
}

/// Dictations to read, and what was named and is none.
pub(super) struct Inputs {
    pub sources: Vec<Source>,
    pub problems: Vec<Problem>,
}

/// How dictations are read.
pub(super) struct Reading {
    pub settings: Settings,
    pub lexicon: Option<PathBuf>,
}

/// Where the output goes and in which form.
pub(super) struct Output {
    pub format: Format,
    pub out: Option<PathBuf>,
    /// Id of a checklist.
    pub checklist: Option<String>,
}

impl Request {
    /// Checks raw arguments.
    pub(super) fn check(raw: Raw) -> Result<Request, Failure> {
        Ok(match raw.command {
            RawCommand::Find(f) => find(f)?,
            RawCommand::Hear(h) => Request::Hear(Box::new(Hearing::check(h)?)),
            RawCommand::Live(l) => Request::Live(Box::new(Session {
                output: Output::check(l.output, &[])?,
                folder: l.folder,
                start: l.start,
                config: l.config,
                reading: l.reading.into(),
            })),
            RawCommand::Why(w) => Request::Why { source: one(&w.file)?, id: id(&w.id)?, reading: w.reading.into() },
            RawCommand::Desk(d) => Request::Desk(Box::new(Opened {
                folder: d.folder,
                listen: d.listen,
                tls: d.tls,
                name: d.name,
                rates: d.rates,
                config: d.config,
                reading: d.reading.into(),
            })),
            RawCommand::Final(f) => {
                let (sources, _) = gather(&[f.folder.display().to_string()]);
                let output = Output::check(f.output, &sources)?;
                Request::Final { folder: f.folder, reading: f.reading.into(), output }
            }
            RawCommand::Decide(d) => {
                let (folder, edit, reading) = d.check()?;
                Request::Decide { folder, edit, reading: reading.into() }
            }
            RawCommand::Demo(d) if d.text => Request::DemoText,
            RawCommand::Demo(d) => Request::Demo { reading: d.reading.into(), output: Output::check(d.output, &[])? },
            RawCommand::Lexicon(l) => Request::Lexicon(l),
            RawCommand::Price(p) => Request::Price(Box::new(Order::check(p)?)),
            RawCommand::Due(d) => Request::Due(Due {
                out: target(d.out, &[])?,
                folder: d.folder,
                on: d.on,
                until: d.until,
                format: d.format,
            }),
            RawCommand::Compare(c) => Request::Compare(Visits::check(c)?),
            RawCommand::Schema { of } => Request::Schema(of),
            RawCommand::Completions { shell } => Request::Completions(shell),
        })
    }
}

impl Hearing {
    fn check(raw: RawHear) -> Result<Hearing, Failure> {
        let (recordings, problems) = hear::recordings(&raw.recordings);
        // neither a recording nor a transcript is written over
        let transcripts = recordings.iter().flat_map(|r| TRANSCRIPTS.iter().map(|e| r.with_extension(e)));
        let taken: Vec<PathBuf> = recordings.iter().cloned().chain(transcripts).collect();
        if let Some(out) = raw.output.out.as_ref().filter(|out| taken.contains(out)) {
            let out = report::shown(&out.display().to_string());
            return Err(Failure::Usage(format!("--out {out}: a recording or its transcript; name another file")));
        }
        let named: Vec<String> = recordings.iter().map(|r| r.display().to_string()).collect();
        let output = Output::check(raw.output, &gather(&named).0)?;
        Ok(Hearing { recordings, problems, config: raw.config, again: raw.again, reading: raw.reading.into(), output })
    }
}

fn find(raw: RawFind) -> Result<Request, Failure> {
    let reading = raw.reading.into();
    if raw.records {
        return Ok(Request::FindRecords { reading, out: target(raw.output.out, &[])? });
    }
    let (sources, problems) = gather(&raw.paths);
    let inputs = Inputs { sources, problems };
    let folder = raw.output.out.as_ref().filter(|out| Results::is_folder(out)).cloned();
    Ok(match folder {
        Some(folder) => {
            // a file each, so that there is room for any number in any form
            let output = Output::check(RawOutput { out: None, ..raw.output }, &[])?;
            Request::FindInto { results: Results::check(inputs, &raw.paths, folder, output.format)?, reading, output }
        }
        None => {
            if raw.output.format == Format::Html && inputs.sources.len() > 1 {
                return Err(Failure::Usage(format!(
                    "--format html: makes one report, and {} dictations are named; name one, or a folder with --out",
                    inputs.sources.len()
                )));
            }
            let output = Output::check(raw.output, &inputs.sources)?;
            Request::Find { inputs, reading, output }
        }
    })
}

impl Order {
    fn check(raw: RawPrice) -> Result<Order, Failure> {
        let jobs = |option: &str, list: &[String]| -> Result<Vec<JobAt>, Failure> {
            list.iter().map(|text| job_at(option, text)).collect()
        };
        let ids = |list: &[String]| -> Result<Vec<String>, Failure> { list.iter().map(|text| id(text)).collect() };
        let wishes = Wishes {
            pinned: jobs("--pin", &raw.pin)?,
            forbidden: jobs("--forbid", &raw.forbid)?,
            taken: raw.take.clone(),
        };
        let (sources, _) = raw.path.as_ref().map(|p| gather(std::slice::from_ref(p))).unwrap_or_default();
        Ok(Order {
            answers: answers(&raw)?,
            only: ids(&raw.only)?,
            without: ids(&raw.without)?,
            wishes,
            plans: Plans { budget: raw.budget.as_deref().map(sum).transpose()?, visits: raw.visits.map(usize::from) },
            format: raw.format,
            out: target(raw.out, &sources)?,
            reading: raw.reading.into(),
            path: raw.path,
            rates: raw.rates,
        })
    }
}

/// Answers with their horizons behind an `=`, in the order approve, decline, later.
fn answers(raw: &RawPrice) -> Result<Vec<(Answer, String, Option<Horizon>)>, Failure> {
    let lists = [
        (Answer::Approve, "--approve", &raw.approve),
        (Answer::Decline, "--decline", &raw.decline),
        (Answer::Later, "--later", &raw.later),
    ];
    let mut out: Vec<(Answer, String, Option<Horizon>)> = Vec::new();
    for (answer, option, list) in lists {
        for text in list {
            let (finding, horizon) = text.split_once('=').map_or((text.as_str(), None), |(f, h)| (f, Some(h)));
            let read = horizon.map(|h| {
                Horizon::parse(h)
                    .filter(|_| answer != Answer::Approve)
                    .ok_or_else(|| Failure::Usage(format!("{option} {}: {}", report::shown(text), Horizon::SPELLING)))
            });
            out.push((answer, id(finding)?, read.transpose()?));
        }
    }
    Ok(out)
}

impl Visits {
    fn check(raw: RawCompare) -> Result<Visits, Failure> {
        if !raw.days.is_empty() && raw.days.len() != raw.visits.len() {
            let what = format!("--days: {} days for {} visits; give one for each", raw.days.len(), raw.visits.len());
            return Err(Failure::Usage(what));
        }
        let (sources, _) = gather(&raw.visits);
        let limit = |text: &String| {
            let read = text.split_once('=').and_then(|(part, figure)| Some((part.trim(), Figure::parse(figure)?)));
            read.map(|(part, figure)| (part.to_string(), figure)).ok_or_else(|| {
                Failure::Usage(format!(
                    "--limit {}: write the part's id and a figure, as battery=12.2V",
                    report::shown(text)
                ))
            })
        };
        Ok(Visits {
            limits: raw.limit.iter().map(limit).collect::<Result<_, _>>()?,
            out: target(raw.out, &sources)?,
            paths: raw.visits,
            days: raw.days,
            format: raw.format,
            reading: raw.reading.into(),
        })
    }
}

/// A job, with the place behind an `@`.
fn job_at(option: &str, text: &str) -> Result<JobAt, Failure> {
    JobAt::parse(text).map_err(|word| {
        let all: Vec<&str> = Position::ALL.iter().map(|p| p.as_str()).collect();
        Failure::none_of(
            &format!("{option} {}: no place \"{}\"; places are", report::shown(text), report::shown(&word)),
            &all,
        )
    })
}

/// A sum of money, zero or more.
fn sum(text: &str) -> Result<Decimal, Failure> {
    pricing::sum(text).ok_or_else(|| {
        Failure::Usage(format!(
            "--budget {}: no sum of money; write a number such as 800 or 799.50",
            report::shown(text)
        ))
    })
}

impl From<RawReading> for Reading {
    fn from(raw: RawReading) -> Reading {
        let drives_on = match raw.drives_on {
            Side::Left => DrivesOn::Left,
            Side::Right => DrivesOn::Right,
        };
        let jurisdiction = match raw.jurisdiction {
            Whose::Us => Jurisdiction::Us,
            Whose::Uk => Jurisdiction::Uk,
            Whose::Eu => Jurisdiction::Eu,
        };
        let vehicle = match raw.vehicle {
            Kind::Auto => None,
            Kind::Light => Some(VehicleClass::Light),
            Kind::Heavy => Some(VehicleClass::Heavy),
        };
        Reading { settings: Settings { drives_on, jurisdiction, vehicle }, lexicon: raw.lexicon }
    }
}

impl Output {
    fn check(raw: RawOutput, sources: &[Source]) -> Result<Output, Failure> {
        if raw.checklist.is_some() && matches!(raw.format, Format::Json | Format::Csv) {
            return Err(Failure::Usage(
                "--checklist: shown with --format table, markdown, html and work; choose one of them".into(),
            ));
        }
        Ok(Output { format: raw.format, out: target(raw.out, sources)?, checklist: raw.checklist })
    }
}

/// A file to write must not be one that is read, nor anything but a plain file.
fn target(out: Option<PathBuf>, sources: &[Source]) -> Result<Option<PathBuf>, Failure> {
    let Some(path) = &out else {
        return Ok(None);
    };
    let shown = report::shown(&path.display().to_string());
    // Links are followed, so that what they point to is written, not the link.
    let Ok(target) = path.canonicalize() else {
        return Ok(out);
    };
    if !target.is_file() {
        return Err(Failure::Usage(format!("--out {shown}: no plain file; name a file, or leave --out away to print")));
    }
    if sources.iter().any(|s| Path::new(&s.path).canonicalize().is_ok_and(|s| s == target)) {
        return Err(Failure::Usage(format!(
            "--out {shown}: one of the files to be read; name one that is not in a folder you name"
        )));
    }
    Ok(Some(target))
}

/// The one dictation that a path stands for.
fn one(path: &str) -> Result<Source, Failure> {
    let (mut sources, mut problems) = gather(&[path.to_string()]);
    match (sources.pop(), sources.is_empty(), problems.pop()) {
        (Some(source), true, None) => Ok(source),
        (None, _, Some(problem)) => Err(Failure::Unread(problem)),
        _ => Err(Failure::Usage(format!("{}: a folder; name one file of it", report::shown(path)))),
    }
}

fn id(text: &str) -> Result<String, Failure> {
    let id = text.trim().trim_start_matches('#').to_ascii_lowercase();
    if id.is_empty() {
        return Err(Failure::Usage("the id of a finding is empty; `find` shows the ids".into()));
    }
    Ok(id)
}
