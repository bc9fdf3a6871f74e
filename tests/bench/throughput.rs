//! Prints one table: how much text each stage takes a second, and how that compares with a bare automaton over the same phrases, the
//! nearest thing to a limit. Then what more phrases cost, and memory.
//!
//! Run with `cargo bench --bench throughput`.

#[allow(dead_code, reason = "shared with the other benches")]
mod made;

use std::error::Error;
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Instant;

use aho_corasick::AhoCorasick;
use hoistnote::dictation::{self, Dictation};
use hoistnote::interpretation::{Interpreter, Settings};
use hoistnote::lexicon::{Lexicon, Meaning, builtin};
use hoistnote::matching::{self, SoundIndex};
use hoistnote::{report, text};

use made::many_parts;

const ROUNDS: usize = 5;
/// Phrases that name parts, in a small and in a large lexicon.
const FEW: usize = 3_000;
const PHRASES: usize = 50_000;

/// The words of the gold dictations that are read, one text each.
fn talk() -> Result<Vec<String>, Box<dyn Error>> {
    let mut out = Vec::new();
    for entry in walkdir::WalkDir::new("tests/dictations/work").sort_by_file_name() {
        let entry = entry?;
        if entry.path().extension().is_some_and(|e| e == "json") {
            let value: serde_json::Value = serde_json::from_slice(&fs::read(entry.path())?)?;
            let lines = value["lines"].as_array().map(Vec::as_slice).unwrap_or_default();
            let lines: Vec<&str> = lines.iter().filter_map(|l| l.as_str()).collect();
            if lines.len() > 10 {
                out.push(lines.join("\n"));
            }
        }
    }
    Ok(out)
}

/// How many phrases of a lexicon name parts.
fn names(lexicon: &Lexicon) -> usize {
    (0..lexicon.phrases.len())
        .filter(|p| lexicon.meanings[*p].iter().any(|m| matches!(m, Meaning::Part { .. })))
        .count()
}

/// The built-in lexicon with so many of its parts taken out that about so many phrases are left that name parts.
fn thinned(full: &Lexicon, left: usize) -> Result<Lexicon, Box<dyn Error>> {
    let (all, parts) = (names(full), full.parts.len());
    let keep = parts * left / all.max(1);
    let is_kept = |n: usize| n * keep / parts != (n + 1) * keep / parts;
    let gone = full.parts.iter().enumerate().filter(|(n, _)| !is_kept(*n));
    let text: String = gone.map(|(_, p)| format!("[[part]]\nid = {:?}\nretire = true\n", p.id)).collect();
    let mut raw = builtin()?;
    raw.add("fewer.toml", &text)?;
    Ok(Lexicon::compile(raw)?)
}

fn automaton(lexicon: &Lexicon) -> Result<AhoCorasick, Box<dyn Error>> {
    let phrases: Vec<&str> = (0..lexicon.phrases.len()).map(|p| &lexicon.phrases[p]).collect();
    Ok(AhoCorasick::builder().ascii_case_insensitive(true).build(phrases)?)
}

struct Text {
    raw: Vec<String>,
    read: Vec<Dictation>,
}

/// Seconds that this thread had a processor, where the system tells it: others at work on the machine don't count then.
fn on_processor() -> Option<f64> {
    let text = fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    text.split(' ').next()?.parse::<f64>().ok().map(|ns| ns / 1e9)
}

/// Seconds that a round takes at least: the system counts a thread's time in ticks.
const LEAST: f64 = 0.2;

/// Seconds for all texts, the best of some rounds.
fn all<T>(items: &[T], run: impl Fn(&T)) -> f64 {
    let round = || {
        let (wall, busy) = (Instant::now(), on_processor());
        let mut times = 0.0;
        loop {
            items.iter().for_each(&run);
            times += 1.0;
            let taken = match (busy, on_processor()) {
                (Some(from), Some(to)) => to - from,
                _ => wall.elapsed().as_secs_f64(),
            };
            if taken >= LEAST {
                return taken / times;
            }
        }
    };
    (0..ROUNDS).map(|_| round()).fold(f64::MAX, f64::min)
}

fn table(interpreter: &Interpreter, given: &Text) -> Result<(), Box<dyn Error>> {
    let lexicon = interpreter.lexicon();
    let (sounds, settings) = (interpreter.sounds(), Settings::default());
    let tokens = |d: &Dictation| text::tokenize(&d.utterances, &lexicon.folding);
    let bytes: usize = given.raw.iter().map(String::len).sum();
    let lines: usize = given.read.iter().map(|d| d.utterances.len()).sum();
    let bare = automaton(lexicon)?;
    let scanned = all(&given.raw, |t| {
        std::hint::black_box(bare.find_overlapping_iter(t).count());
    });
    let stages: [(&str, f64); 7] = [
        ("bare automaton, nothing else", scanned),
        ("reading the file", all(&given.raw, |t| drop(dictation::read("walk.txt", t.as_bytes())))),
        ("words", all(&given.read, |d| drop(tokens(d)))),
        ("words, exact phrases", all(&given.read, |d| drop(lexicon.scan(&tokens(d))))),
        ("… misheard and misspelt too", all(&given.read, |d| drop(matching::find(&tokens(d), lexicon, sounds, false)))),
        ("… interpreted", all(&given.read, |d| drop(interpreter.analyse(d, settings)))),
        (
            "whole: file to findings as JSON",
            all(&given.raw, |t| {
                if let Ok(d) = dictation::read("walk.txt", t.as_bytes()) {
                    drop(report::json(&interpreter.document(&d, settings)));
                }
            }),
        ),
    ];
    println!(
        "{} dictations, {lines} lines, {:.2} MB, {} phrases, one core",
        given.raw.len(),
        bytes as f64 / 1e6,
        lexicon.phrases.len()
    );
    println!("  {:34}{:>10}{:>12}{:>14}", "", "MB/s", "lines/s", "× bare scan");
    for (name, seconds) in stages {
        let (mb, rate) = (bytes as f64 / 1e6 / seconds, lines as f64 / seconds);
        println!("  {name:34}{mb:10.2}{rate:12.0}{:14.1}", seconds / scanned);
    }
    Ok(())
}

/// What matching by sound and spelling costs beside the exact scan, in seconds.
fn fuzzy(lexicon: &Lexicon, sounds: &SoundIndex, given: &Text) -> f64 {
    let tokens: Vec<_> = given.read.iter().map(|d| text::tokenize(&d.utterances, &lexicon.folding)).collect();
    let exact = all(&tokens, |t| drop(lexicon.scan(t)));
    all(&tokens, |t| drop(matching::find(t, lexicon, sounds, false))) - exact
}

/// The program reading a stream, held open so that its memory can be looked at.
struct Stream {
    child: Child,
    sent: usize,
}

impl Stream {
    fn open(lexicon: Option<&Path>) -> Result<Stream, Box<dyn Error>> {
        let mut command = Command::new(env!("CARGO_BIN_EXE_hoistnote"));
        command.args(["find", "--records"]).env("RAYON_NUM_THREADS", "1");
        if let Some(folder) = lexicon {
            command.arg("--lexicon").arg(folder);
        }
        Ok(Stream { child: command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn()?, sent: 0 })
    }

    /// Sends texts and waits for all answers. Gives the most memory that was ever used, in MB.
    fn send(&mut self, texts: &[String], times: usize) -> Result<f64, Box<dyn Error>> {
        let (input, output) =
            (self.child.stdin.as_mut().ok_or("no input")?, self.child.stdout.as_mut().ok_or("no output")?);
        let mut answers = BufReader::new(output).lines();
        for _ in 0..times {
            for text in texts {
                writeln!(input, "{}", serde_json::json!({"id": self.sent, "text": text}))?;
                answers.next().ok_or("no answer")??;
                self.sent += 1;
            }
        }
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let peak = status.lines().find_map(|l| l.strip_prefix("VmHWM:")).ok_or("memory is not told on this system")?;
        Ok(peak.trim().trim_end_matches(" kB").parse::<f64>()? / 1024.0)
    }

    fn close(mut self) -> Result<(), Box<dyn Error>> {
        drop(self.child.stdin.take());
        self.child.wait()?;
        Ok(())
    }
}

fn memory(raw: &[String], phrases: usize) -> Result<(), Box<dyn Error>> {
    let dir = tempfile::tempdir()?;
    // a part has three names, and some come in two spellings
    fs::write(dir.path().join("many.toml"), many_parts(PHRASES / 4))?;
    println!("memory at its most, MB");
    let built_in = format!("{phrases} phrases, built in");
    for (name, folder) in [(built_in.as_str(), None), ("a folder of 12,500 parts on top", Some(dir.path()))] {
        let mut stream = Stream::open(folder)?;
        let first = stream.send(raw, 1)?;
        let later = stream.send(raw, 9)?;
        println!("  {name:34}{first:10.1} after {} dictations, {later:.1} after {}", raw.len(), stream.sent);
        stream.close()?;
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn Error>> {
    let raw = talk()?;
    let read = raw.iter().map(|t| dictation::read("walk.txt", t.as_bytes())).collect::<Result<Vec<_>, _>>()?;
    let given = Text { raw, read };
    let interpreter = Interpreter::new(Lexicon::builtin()?);
    table(&interpreter, &given)?;
    let full = interpreter.lexicon();
    println!("misheard and misspelt words beside the exact phrases, for all dictations");
    let mut before: Option<f64> = None;
    for count in [FEW, PHRASES, names(full)] {
        let lexicon = thinned(full, count)?;
        let cost = fuzzy(&lexicon, &SoundIndex::build(&lexicon), &given);
        let ratio = before.map_or_else(String::new, |b| format!(", {:.2} times that of the fewest", cost / b));
        println!("  {:34}{:10.1} ms{ratio}", format!("{} phrases that name parts", names(&lexicon)), cost * 1e3);
        before = before.or(Some(cost));
    }
    if cfg!(target_os = "linux") {
        memory(&given.raw, full.phrases.len())?;
    }
    Ok(())
}
