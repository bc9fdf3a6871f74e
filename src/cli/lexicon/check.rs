//! Owns `lexicon check`.

use serde::Serialize;

use crate::cli::outcome::{Failure, Outcome};
use crate::cli::sink::Sink;
use crate::diagnostic::{Kind, Record, Severity};
use crate::interpretation::Interpreter;
use crate::lexicon::Lexicon;
use crate::report::{count, shown};
use crate::shop::{Checked, builtin_as_files, check, compile};

use super::args::{Form, RawCheck};
use super::folder;
use super::print_json;

/// What `--format json` prints.
#[derive(Serialize)]
struct Answer {
    files: usize,
    entries: usize,
    examples: usize,
    errors: usize,
    warnings: usize,
    problems: Vec<Record>,
}

/// Runs `lexicon check`.
pub(super) fn run(args: &RawCheck) -> Result<Outcome, Failure> {
    let (given, ours) = match &args.folder {
        Some(folder) => (builtin_as_files(), folder::read(folder)?),
        None => (Vec::new(), builtin_as_files()),
    };
    if let (Some(folder), true) = (&args.folder, ours.is_empty()) {
        let name = shown(&folder.display().to_string());
        let what = "there is nothing to check, no .toml file is in it; name the folder that your lexicon files are in";
        return Err(Failure::Input(format!("{name}: {what}")));
    }
    let lexicon = match &args.folder {
        Some(_) => compile(&ours).map_err(Failure::Lexicon)?.0,
        None => Lexicon::builtin().map_err(Failure::Lexicon)?,
    };
    let checked = check(&given, &ours, &Interpreter::new(lexicon));
    let of = |s: Severity| checked.problems.iter().filter(|p| p.kind.severity() == s).count();
    let (errors, warnings) = (of(Severity::Error), of(Severity::Warning));
    let mut sink = Sink::open(None)?;
    match args.format {
        Form::Text => sink.coloured(&text(&checked, ours.len(), errors, warnings, sink.width()))?,
        Form::Json => {
            let answer = Answer {
                files: ours.len(),
                entries: checked.entries,
                examples: checked.examples,
                errors,
                warnings,
                problems: checked.problems.iter().map(|p| p.record()).collect(),
            };
            print_json(&mut sink, &answer)?;
        }
    }
    Ok(if errors > 0 || (args.strict && warnings > 0) { Outcome::Problems } else { Outcome::Fine })
}

fn text(checked: &Checked, files: usize, errors: usize, warnings: usize, width: usize) -> String {
    let mut out = String::new();
    for p in &checked.problems {
        out.push_str(&p.render(width));
        out.push_str("\n\n");
    }
    out.push_str(&format!(
        "{}, {}, {}: {}, {}\n",
        count(files, "file", "files"),
        count(checked.entries, "entry", "entries"),
        count(checked.examples, "example", "examples"),
        if errors == 0 { "no problems".into() } else { count(errors, "problem", "problems") },
        count(warnings, "warning", "warnings"),
    ));
    out
}
