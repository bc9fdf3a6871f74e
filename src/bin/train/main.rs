//! Trains the judge's weights from gold dictations: `train OUT.tsv GOLD_DIR... [--check GOLD_DIR...] [--errors]`. The same input
//! gives the same bytes. `--errors` lists the mentions of the check dictations that are judged wrong.

mod calibrate;
mod fit;
mod gold;
mod plain;
mod sayings;

use std::path::Path;
use std::process::ExitCode;

use hoistnote::interpretation::{Class, Interpreter, Judge, best};
use hoistnote::lexicon::Lexicon;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let Some((out, folders)) = args.split_first().filter(|(_, f)| !f.is_empty()) else {
        eprintln!("usage: train OUT.tsv GOLD_DIR... [--check GOLD_DIR...] [--errors]");
        return ExitCode::from(2);
    };
    match run(out, folders) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{e}");
            ExitCode::FAILURE
        }
    }
}

fn run(out: &str, folders: &[String]) -> Result<(), String> {
    let interpreter = Interpreter::new(Lexicon::builtin().map_err(|e| e.to_string())?);
    let mut parts: Vec<Vec<gold::Example>> = Vec::new();
    let mut check = Vec::new();
    let mut checking = false;
    let mut errors = false;
    for folder in folders {
        match folder.as_str() {
            "--check" => {
                checking = true;
                continue;
            }
            "--errors" => {
                errors = true;
                continue;
            }
            _ => {}
        }
        let mut examples = Vec::new();
        for file in gold::files(Path::new(folder))? {
            let tabled = file.extension().is_some_and(|x| x == "tsv");
            examples.extend(if tabled {
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
    if let Ok(p) = std::env::var("DUMP") {
        let mut o = String::new();
        for e in parts.iter().flatten().chain(&plain).chain(&check) {
            o.push_str(&format!(
                "{}\t{}\t{}\t{}\n",
                e.class.as_str(),
                e.fits,
                e.what.replace('\t', " "),
                e.features.join("\t")
            ));
        }
        std::fs::write(p, o).ok();
    }
    let work: Vec<&gold::Example> = parts.iter().flatten().chain(&plain).collect();
    let check: Vec<&gold::Example> = check.iter().collect();
    let mut weights = fit::fit(&work);
    let judge = Judge::parse(&weights);
    if errors {
        for e in &check {
            let got = best(&judge.scores(&e.features));
            if got != e.class {
                println!("{} judged {}: {}", e.class.as_str(), got.as_str(), e.what);
            }
        }
    }
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
