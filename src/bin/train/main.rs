//! Trains the judge's weights from gold dictations: `train OUT.tsv GOLD_DIR...`. The same input gives the same bytes.

mod fit;
mod gold;

use std::path::Path;
use std::process::ExitCode;

use hoistnote::interpretation::{Class, Interpreter, Judge};
use hoistnote::lexicon;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let Some((out, folders)) = args.split_first().filter(|(_, f)| !f.is_empty()) else {
        eprintln!("usage: train OUT.tsv GOLD_DIR...");
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
    let compiled = lexicon::Lexicon::compile(lexicon::builtin().map_err(|e| e.to_string())?).map_err(|e| e.to_string())?;
    let interpreter = Interpreter::new(compiled);
    let mut examples = Vec::new();
    for folder in folders {
        for file in gold::files(Path::new(folder))? {
            examples.extend(gold::examples(&file, &interpreter)?);
        }
    }
    let weights = fit::fit(&examples);
    let right = {
        let judge = Judge::parse(&weights);
        examples.iter().filter(|e| fit::best(&judge.scores(&e.features)) == e.class).count()
    };
    println!("{} examples, {:.3} of them judged right after training", examples.len(), right as f64 / examples.len() as f64);
    for c in Class::ALL {
        println!("  {:9} {}", c.as_str(), examples.iter().filter(|e| e.class == c).count());
    }
    std::fs::write(out, weights).map_err(|e| format!("{out}: {e}; check the folder"))
}
