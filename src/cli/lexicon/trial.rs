//! Owns `lexicon try`.

use std::io::Read;

use textwrap::Options;

use crate::cli::outcome::{Failure, Outcome};
use crate::cli::sink::Sink;
use crate::dictation;
use crate::interpretation::Settings;
use crate::report;
use crate::shop::{Attempt, By, attempt};

use super::args::{Form, RawTry};
use super::folder::Loaded;
use super::print_json;

/// Runs `lexicon try`.
pub(super) fn run(args: &RawTry) -> Result<Outcome, Failure> {
    let words = match args.words.as_str() {
        "-" => {
            let mut bytes = Vec::new();
            let read = std::io::stdin().lock().read_to_end(&mut bytes);
            read.map_err(|e| Failure::Input(format!("standard input can't be read: {e}")))?;
            bytes
        }
        words => words.as_bytes().to_vec(),
    };
    if words.trim_ascii().is_empty() {
        return Err(Failure::Usage(
            "no words to try; write them in quotes: lexicon try \"left front pads thin\"".into(),
        ));
    }
    let dictation = dictation::read("the words", &words).map_err(Failure::Unread)?;
    let loaded = Loaded::open(args.asked.folder.lexicon.as_deref())?;
    let tried = attempt(&dictation, &loaded.interpreter, Settings::default());
    let mut sink = Sink::open(None)?;
    match args.asked.format {
        Form::Json => print_json(&mut sink, &tried)?,
        Form::Text => {
            sink.plain(&text(&tried, sink.width()))?;
            let table = report::table(&tried.document, sink.width());
            sink.coloured(&format!("\nWHAT COMES OUT\n{table}"))?;
        }
    }
    Ok(Outcome::Fine)
}

fn text(tried: &Attempt, columns: usize) -> String {
    let mut out = String::from("HOW THE WORDS ARE READ\n");
    let width =
        tried.read.iter().map(|r| r.said.chars().count()).chain(tried.tokens.iter().map(|t| t.0.chars().count()));
    let width = width.max().unwrap_or(0).clamp(8, 30);
    let mut line = |said: &str, what: &str| {
        let indent = " ".repeat(width + 4);
        let said = format!("  {:width$}  ", report::shown(said));
        let options = Options::new(columns).initial_indent(&said).subsequent_indent(&indent);
        out.push_str(&textwrap::fill(what, options));
        out.push('\n');
    };
    for (n, (said, norm)) in tried.tokens.iter().enumerate() {
        let here: Vec<_> = tried.read.iter().filter(|r| r.first == n).collect();
        for r in &here {
            let ids = match r.ids.as_slice() {
                [] => String::new(),
                [one] => format!(" {one}"),
                several => format!(" {}", several.join(" or ")),
            };
            let how = match (r.by, &r.phrase) {
                (By::Exact, _) => String::new(),
                (by, Some(phrase)) => format!(", {} as \"{phrase}\" ({:.2})", by.words(), r.score),
                (by, None) => format!(", {}", by.words()),
            };
            line(&r.said, &format!("{}{ids}{how}", r.family.replace('_', " ")));
        }
        let inside = tried.read.iter().any(|r| r.first <= n && n < r.end);
        if !inside {
            let known = if tried.unknown.contains(said) { "not known" } else { "-" };
            let folded =
                if norm != said && !norm.is_empty() { format!(" (read as \"{norm}\")") } else { String::new() };
            line(said, &format!("{known}{folded}"));
        }
    }
    if !tried.close.is_empty() {
        out.push_str("\nWHAT CAME CLOSE\n");
        for c in &tried.close {
            let sound = if c.same_sound { "sounds the same" } else { "does not sound the same" };
            let told = format!(
                "\"{}\" and \"{}\" ({}): {sound}, spelt {:.0} % alike; not taken: {}",
                report::shown(&c.said),
                c.phrase,
                c.part,
                c.spelling * 100.0,
                c.why_not
            );
            let options = Options::new(columns).initial_indent("  ").subsequent_indent("    ");
            out.push_str(&textwrap::fill(&told, options));
            out.push('\n');
        }
    }
    out
}
