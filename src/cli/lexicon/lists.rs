//! Owns `lexicon words`, `show`, `stats` and `export`.

use std::path::Path;

use crate::cli::outcome::{Failure, Outcome};
use crate::cli::sink::Sink;
use crate::report::{count, shown};
use crate::shop::{self, Row};

use super::args::{Form, RawAsked, RawExport, RawShow, RawWords, Rows};
use super::folder::Loaded;
use super::{print_csv, print_json};

/// Runs `lexicon words`.
pub(super) fn words(args: &RawWords) -> Result<Outcome, Failure> {
    let loaded = Loaded::open(args.folder.lexicon.as_deref())?;
    let text = match args.hint {
        Some(most) => hint_of(&loaded, most),
        None => shop::phrases(&loaded.given, &loaded.ours).join("\n"),
    };
    Sink::open(None)?.plain(&format!("{text}\n"))?;
    Ok(Outcome::Fine)
}

/// Names that a recogniser should expect, at most so many tokens of them: what `lexicon words --hint` prints.
pub(in crate::cli) fn hint(folder: Option<&Path>, most: usize) -> Result<String, Failure> {
    Ok(hint_of(&Loaded::open(folder)?, most))
}

fn hint_of(loaded: &Loaded, most: usize) -> String {
    shop::hint(&loaded.ours, loaded.interpreter.lexicon(), most)
}

/// Runs `lexicon show`.
pub(super) fn show(args: &RawShow) -> Result<Outcome, Failure> {
    let mut loaded = Loaded::open(args.asked.folder.lexicon.as_deref())?;
    loaded.given.append(&mut loaded.ours);
    let found = shop::show(&loaded.given, loaded.interpreter.lexicon(), &args.words);
    let mut sink = Sink::open(None)?;
    match args.asked.format {
        Form::Json => print_json(&mut sink, &found)?,
        Form::Text => {
            for (n, s) in found.iter().enumerate() {
                let gap = if n > 0 { "\n" } else { "" };
                sink.plain(&format!("{gap}# {}:{}\n{}\n", s.file, s.line, s.text))?;
            }
        }
    }
    if found.is_empty() {
        return Err(Failure::Usage(format!(
            "no entry has the id or the words \"{}\"; `hoistnote lexicon try` shows what comes close",
            shown(&args.words)
        )));
    }
    Ok(Outcome::Fine)
}

/// Runs `lexicon stats`.
pub(super) fn stats(args: &RawAsked) -> Result<Outcome, Failure> {
    let loaded = Loaded::open(args.folder.lexicon.as_deref())?;
    let stats = shop::stats(&loaded.given, &loaded.ours, loaded.interpreter.lexicon());
    let mut sink = Sink::open(None)?;
    match args.format {
        Form::Json => print_json(&mut sink, &stats)?,
        Form::Text => {
            let (phrases, parts) = (|n| count(n, "phrase", "phrases"), |n| count(n, "part", "parts"));
            let mut text = format!(
                "{}, {}, {}, {}\nyour own files: {}, {}\n\nparts by system\n",
                count(stats.files, "file", "files"),
                parts(stats.parts),
                phrases(stats.phrases),
                count(stats.examples, "example", "examples"),
                phrases(stats.own_phrases),
                parts(stats.own_parts)
            );
            for (system, n) in &stats.systems {
                text.push_str(&format!("  {n:6}  {}\n", shown(system)));
            }
            text.push_str("\nphrases as written\n");
            for (family, keys) in &stats.written {
                for (key, n) in keys {
                    text.push_str(&format!("  {n:6}  {family}: {key}\n"));
                }
            }
            sink.plain(&text)?;
        }
    }
    Ok(Outcome::Fine)
}

/// Runs `lexicon export`.
pub(super) fn export(args: &RawExport) -> Result<Outcome, Failure> {
    let mut loaded = Loaded::open(args.folder.lexicon.as_deref())?;
    let mut files = if args.own { Vec::new() } else { std::mem::take(&mut loaded.given) };
    files.append(&mut loaded.ours);
    let rows = shop::rows(&files, loaded.interpreter.lexicon());
    let mut sink = Sink::open(args.out.as_deref())?;
    match args.format {
        Rows::Json => print_json(&mut sink, &rows)?,
        Rows::Csv => print_csv(&mut sink, Row::COLUMNS, rows.iter().map(Row::cells))?,
    }
    sink.finish()?;
    Ok(Outcome::Fine)
}
