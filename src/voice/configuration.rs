//! Owns the configuration of recognisers: TOML as the shop writes it, checked, with the place of everything that is wrong in it.

use std::sync::Arc;
use std::time::Duration;

use serde::Deserialize;
use toml::Spanned;

use crate::diagnostic::{Diagnostic, Kind, Severity, SourceFile, Spot, meant};

use super::argument::{Placeholder, Template};

/// A recogniser that takes longer is ended, where the configuration says nothing else.
const PATIENCE: Duration = Duration::from_secs(4 * 3600);
/// Tokens of the hint, where the configuration says nothing else: recognisers that take one have room for about 220.
const HINT: usize = 180;

/// Which recognisers there are.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Configuration {
    /// What writes down a recording.
    pub hear: Option<Hear>,
    /// What writes down what is being said now.
    pub live: Option<Live>,
}

/// A recogniser for recordings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hear {
    /// Makes the audio that it wants of a recording; empty where it takes recordings as they are.
    pub prepare: Vec<Template>,
    /// Recogniser and arguments.
    pub run: Vec<Template>,
    /// After this it is ended.
    pub patience: Duration,
    /// Most tokens of the hint.
    pub hint: usize,
}

impl Hear {
    /// Whether a placeholder stands in one of its arguments.
    pub fn uses(&self, p: Placeholder) -> bool {
        uses(&self.run, p) || uses(&self.prepare, p)
    }
}

/// A recogniser that listens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Live {
    /// Recogniser and arguments.
    pub run: Vec<Template>,
    /// Most tokens of the hint.
    pub hint: usize,
}

fn uses(templates: &[Template], p: Placeholder) -> bool {
    templates.iter().flat_map(Template::placeholders).any(|q| q == p)
}

/// What can be wrong with a configuration.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VoiceFault {
    /// No TOML, or not of the right shape.
    Unreadable,
    /// No program is named.
    NoProgram,
    /// Between braces stands what is no placeholder.
    NoPlaceholder,
    /// A placeholder that means nothing here, or one that is missing.
    Misplaced,
    /// No length of time.
    NoTime,
}

impl Kind for VoiceFault {
    fn name(self) -> &'static str {
        match self {
            VoiceFault::Unreadable => "unreadable",
            VoiceFault::NoProgram => "no_program",
            VoiceFault::NoPlaceholder => "no_placeholder",
            VoiceFault::Misplaced => "misplaced",
            VoiceFault::NoTime => "no_time",
        }
    }

    fn severity(self) -> Severity {
        Severity::Error
    }
}

/// Something wrong with a configuration.
pub type VoiceProblem = Diagnostic<VoiceFault>;

type Arguments = Spanned<Vec<Spanned<String>>>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    hear: Option<HearEntry>,
    live: Option<LiveEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HearEntry {
    prepare: Option<Arguments>,
    run: Arguments,
    timeout: Option<Spanned<String>>,
    hint: Option<u16>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LiveEntry {
    run: Arguments,
    hint: Option<u16>,
}

impl Configuration {
    /// Reads and checks a configuration.
    ///
    /// # Errors
    /// All that is wrong with it.
    pub fn read(file: &Arc<SourceFile>) -> Result<Configuration, Vec<VoiceProblem>> {
        let read: File = toml::from_str(&file.text).map_err(|e| {
            let help = "a configuration has [hear] and [live] with a list run = [\"program\", \"argument\"]";
            vec![VoiceProblem::noticed(VoiceFault::Unreadable, file, &e, help)]
        })?;
        let mut check = Check { file, problems: Vec::new() };
        let hear = read.hear.map(|h| check.hear(h));
        let live = read.live.map(|l| check.live(l));
        if check.problems.is_empty() { Ok(Configuration { hear, live }) } else { Err(check.problems) }
    }
}

struct Check<'f> {
    file: &'f Arc<SourceFile>,
    problems: Vec<VoiceProblem>,
}

impl Check<'_> {
    fn wrong(&mut self, fault: VoiceFault, span: std::ops::Range<usize>, what: impl Into<String>, help: &str) {
        self.problems.push(VoiceProblem::new(fault, Spot::new(self.file, span, ""), what, help));
    }

    fn hear(&mut self, entry: HearEntry) -> Hear {
        let prepares = entry.prepare.is_some();
        let prepare = entry.prepare.map(|p| {
            let span = p.span();
            let templates = self.templates(p, &[Placeholder::Recording, Placeholder::Audio, Placeholder::Folder]);
            let lacks = [Placeholder::Recording, Placeholder::Audio].into_iter().find(|p| !uses(&templates, *p));
            if let Some(lacks) = lacks {
                let help = "`prepare` reads {recording} and writes {audio}; name both";
                self.wrong(VoiceFault::Misplaced, span, format!("{{{}}} is not in it", lacks.name()), help);
            }
            templates
        });
        let span = entry.run.span();
        let run = self.templates(entry.run, &Placeholder::ALL);
        let is_told =
            [Placeholder::Audio, Placeholder::List, Placeholder::Recording].into_iter().any(|p| uses(&run, p));
        if !is_told && !run.is_empty() {
            let help = if prepares {
                "put {audio} where its path belongs"
            } else {
                "put {audio} where the path of the recording belongs"
            };
            self.wrong(VoiceFault::Misplaced, span, "the recogniser is not told which recording to read", help);
        }
        let patience = entry.timeout.map_or(PATIENCE, |t| self.time(&t));
        Hear { prepare: prepare.unwrap_or_default(), run, patience, hint: entry.hint.map_or(HINT, usize::from) }
    }

    fn live(&mut self, entry: LiveEntry) -> Live {
        let run = self.templates(entry.run, &[Placeholder::Hint, Placeholder::HintFile]);
        Live { run, hint: entry.hint.map_or(HINT, usize::from) }
    }

    fn templates(&mut self, arguments: Arguments, allowed: &[Placeholder]) -> Vec<Template> {
        let span = arguments.span();
        let arguments = arguments.into_inner();
        if arguments.first().is_none_or(|a| a.get_ref().trim().is_empty()) {
            self.wrong(VoiceFault::NoProgram, span, "no program is named", "write it first, its arguments after it");
        }
        let mut out = Vec::new();
        for argument in arguments {
            match Template::parse(argument.get_ref()) {
                Ok(template) => {
                    for p in template.placeholders().filter(|p| !allowed.contains(p)) {
                        let what = format!("{{{}}} means nothing here", p.name());
                        let help = format!("these do: {}", listed(allowed));
                        self.wrong(VoiceFault::Misplaced, argument.span(), what, &help);
                    }
                    out.push(template);
                }
                Err(name) => {
                    let near = meant(&name, allowed.iter().map(|p| p.name()));
                    let near = near.map(|n| format!("{{{n}}} may be meant; ")).unwrap_or_default();
                    let help =
                        format!("{near}there are {}; write {{{{ and }}}} for braces themselves", listed(allowed));
                    self.wrong(VoiceFault::NoPlaceholder, argument.span(), format!("no placeholder: {name}"), &help);
                }
            }
        }
        out
    }

    fn time(&mut self, text: &Spanned<String>) -> Duration {
        let read = text.get_ref().trim().parse::<jiff::SignedDuration>().ok();
        match read.and_then(|d| Duration::try_from(d).ok()).filter(|d| !d.is_zero()) {
            Some(time) => time,
            None => {
                let what = format!("\"{}\" is no length of time", text.get_ref());
                self.wrong(VoiceFault::NoTime, text.span(), what, "write it as \"90 min\" or \"2h 30m\"");
                PATIENCE
            }
        }
    }
}

fn listed(all: &[Placeholder]) -> String {
    all.iter().map(|p| format!("{{{}}}", p.name())).collect::<Vec<_>>().join(", ")
}
