//! What is done with gold dictations: `dictations train OUT.tsv GOLD_DIR... [--check GOLD_DIR...]` trains the judge's weights (the
//! same input gives the same bytes), `dictations errors GOLD_DIR...` lists what the program gets wrong, by the stage it is lost at.

mod calibrate;
mod errors;
mod fit;
mod gold;
mod plain;
mod sayings;

use std::path::Path;
use std::process::ExitCode;

use hoistnote::interpretation::{Class, Interpreter, Judge, best};
use hoistnote::lexicon::Lexicon;

const USAGE: &str =
    "usage: dictations train OUT.tsv GOLD_DIR... [--check GOLD_DIR...]\n       dictations errors GOLD_DIR...";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let done = match args.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["train", out, folders @ ..] if !folders.is_empty() => train(out, folders),
        ["errors", folders @ ..] if !folders.is_empty() => list_errors(folders),
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{e}");
            ExitCode::FAILURE
        }
    }
}

fn interpreter() -> Result<Interpreter, String> {
    Lexicon::builtin().map(Interpreter::new).map_err(|e| e.to_string())
}

fn list_errors(folders: &[&str]) -> Result<(), String> {
    let mut files = Vec::new();
    for folder in folders {
        files.extend(gold::files(Path::new(folder))?.into_iter().filter(|f| !is_table(f)));
    }
    errors::list(&files, &interpreter()?)
}

fn is_table(file: &Path) -> bool {
    file.extension().is_some_and(|x| x == "tsv")
}

fn train(out: &str, folders: &[&str]) -> Result<(), String> {
    let interpreter = interpreter()?;
    let mut parts: Vec<Vec<gold::Example>> = Vec::new();
    let mut check = Vec::new();
    let mut checking = false;
    for folder in folders {
        if *folder == "--check" {
            checking = true;
            continue;
        }
        let mut examples = Vec::new();
        for file in gold::files(Path::new(folder))? {
            examples.extend(if is_table(&file) {
                sayings::examples(&file, &interpreter)?
            } else {
                gold::examples(&file, &interpreter)?
            });
        }
        if checking {
            check.extend(examples);
        } else {
            parts.push(examples);
        }
    }
    let plain = plain::examples(&interpreter)?;
    let work: Vec<&gold::Example> = parts.iter().flatten().chain(&plain).collect();
    let check: Vec<&gold::Example> = check.iter().collect();
    let mut weights = fit::fit(&work);
    let judge = Judge::parse(&weights);
    for (name, examples) in [("work", &work), ("check", &check)] {
        let right = examples.iter().filter(|e| best(&judge.scores(&e.features)) == e.class).count();
        println!(
            "{name}: {} mentions, {:.3} judged right, {}",
            examples.len(),
            right as f64 / examples.len().max(1) as f64,
            verdicts(&judge, examples)
        );
    }
    for c in Class::ALL {
        let of = |examples: &[&gold::Example]| {
            let all = examples.iter().filter(|e| e.class == c).count();
            let right = examples.iter().filter(|e| e.class == c && best(&judge.scores(&e.features)) == c).count();
            format!("{right}/{all}")
        };
        println!("  {:9} work {:>10} check {:>10}", c.as_str(), of(&work), of(&check));
    }
    weights.push_str(&calibrate::calibration(&parts));
    std::fs::write(out, weights).map_err(|e| format!("{out}: {e}; check the folder"))
}

/// How well verdicts are found: a mention with a verdict judged so counts as found, any other verdict as invented.
fn verdicts(judge: &Judge, examples: &[&gold::Example]) -> String {
    let (mut right, mut given, mut wanted, mut dropped, mut invented) = (0, 0, 0, 0, 0);
    for e in examples {
        let got = best(&judge.scores(&e.features));
        right += usize::from(got.is_verdict() && got == e.class);
        given += usize::from(got.is_verdict());
        wanted += usize::from(e.class.is_verdict());
        dropped += usize::from(e.class == Class::Defect && got != Class::Defect);
        invented += usize::from(got == Class::Defect && e.class != Class::Defect);
    }
    let share = |n: usize, of: usize| n as f64 / of.max(1) as f64;
    let (p, r) = (share(right, given), share(right, wanted));
    format!(
        "verdicts: precision {p:.3}, recall {r:.3}, both {:.3}; {dropped} defects dropped, {invented} invented",
        2.0 * p * r / (p + r).max(1e-9)
    )
}
