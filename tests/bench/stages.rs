//! Times start-up and each stage of the reading; the ratios tell whether a stage grows faster than its input.
//!
//! Run with `cargo bench --bench stages`.

mod made;

use std::time::Duration;

use hoistnote::dictation::{self, Dictation};
use hoistnote::interpretation::{Interpreter, Judge, Settings};
use hoistnote::lexicon::{Lexicon, builtin};
use hoistnote::matching::{self, SoundIndex};
use hoistnote::text;

use made::{MANY, best, inspection, many_parts, ms};

/// Rounds a figure is the best of.
const ROUNDS: usize = 7;
/// Words of the inspections; each is twice the one before.
const WORDS: [usize; 4] = [2_500, 5_000, 10_000, 20_000];

fn start_up() -> Result<Interpreter, Box<dyn std::error::Error>> {
    let raw = builtin()?;
    let lexicon = Lexicon::builtin()?;
    let line = |name: &str, d: Duration| println!("  {name:17}{:10.2}", ms(d));
    println!("start-up, ms (best of {ROUNDS})");
    line("load lexicon", best(ROUNDS, Lexicon::builtin));
    line("sound index", best(ROUNDS, || SoundIndex::build(&lexicon)));
    line("weights", best(ROUNDS, || Judge::parse(&lexicon.weights)));
    line("whole", best(ROUNDS, || Lexicon::builtin().map(Interpreter::new)));
    println!("with a shop's own folder, before its files, ms");
    line("read files", best(ROUNDS, builtin));
    line("compile", best(ROUNDS, || Lexicon::compile(raw.clone())));
    Ok(Interpreter::new(lexicon))
}

/// A lexicon of 50,000 parts: how long it takes to load, and how an inspection is read with it.
fn size(small: &Interpreter) -> Result<(), Box<dyn std::error::Error>> {
    const ROUNDS: usize = 3;
    let text = many_parts(MANY - small.lexicon().parts.len());
    let read = || builtin().and_then(|mut raw| raw.add("many.toml", &text).map(|()| raw));
    let raw = read()?;
    let lexicon = Lexicon::compile(raw.clone())?;
    println!("with a shop's own folder of {MANY} parts in all, ms (best of {ROUNDS})");
    let line = |name: &str, d: Duration| println!("  {name:17}{:10.2}", ms(d));
    line("read files", best(ROUNDS, read));
    line("compile", best(ROUNDS, || Lexicon::compile(raw.clone())));
    line("sound index", best(ROUNDS, || SoundIndex::build(&lexicon)));
    line("whole", best(ROUNDS, || read().and_then(Lexicon::compile).map(Interpreter::new)));
    let large = Interpreter::new(lexicon);
    let d = dictation::read("inspection.txt", inspection(small.lexicon(), WORDS[1]).as_bytes())?;
    let time = |i: &Interpreter| ms(best(ROUNDS, || i.document(&d, Settings::default())));
    let (few, many) = (time(small), time(&large));
    println!(
        "  an inspection of {} words: {few:.2} with {} parts, {many:.2} with {MANY}: {:.2} times as long",
        WORDS[1],
        small.lexicon().parts.len(),
        many / few
    );
    Ok(())
}

type Stage<'a> = (&'a str, Box<dyn Fn(&Dictation) + 'a>);

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let interpreter = start_up()?;
    size(&interpreter)?;
    let lexicon = interpreter.lexicon();
    let sounds = SoundIndex::build(lexicon);
    let settings = Settings::default();
    let tokens = |d: &Dictation| text::tokenize(&d.utterances, &lexicon.folding);
    let stages: [Stage; 5] = [
        ("tokens", Box::new(|d| drop(tokens(d)))),
        ("+ exact scan", Box::new(|d| drop(lexicon.scan(&tokens(d))))),
        ("+ mentions", Box::new(|d| drop(matching::find(&tokens(d), lexicon, &sounds, false)))),
        ("+ interpretation", Box::new(|d| drop(interpreter.analyse(d, settings)))),
        ("whole", Box::new(|d| drop(interpreter.document(d, settings)))),
    ];
    let mut dictations = Vec::new();
    for n in WORDS {
        dictations.push(dictation::read("inspection.txt", inspection(lexicon, n).as_bytes())?);
    }
    println!("reading, ms by words of the inspection; ratio to half the words in brackets (2.0 is linear)");
    println!("  {:17}{}", "", WORDS.map(|n| format!("{n:>16}")).join(""));
    for (name, run) in &stages {
        let mut line = format!("  {name:17}");
        let mut before = None;
        for d in &dictations {
            let t = ms(best(ROUNDS, || run(d)));
            let ratio = before.map_or_else(String::new, |b: f64| format!("({:.1})", t / b));
            line.push_str(&format!("{t:10.2}{ratio:>6}"));
            before = Some(t);
        }
        println!("{line}");
    }
    Ok(())
}
