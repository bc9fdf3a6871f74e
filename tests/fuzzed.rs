//! Every target of the fuzzing, run for a while on spoilt samples: the short form of `tests/fuzz/run.sh`, which is led by coverage.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

use hoistnote::lexicon::builtin_files;

use super::must_hold::TARGETS;

type Checked = Result<(), Box<dyn std::error::Error>>;

/// Seconds for all targets together, unless `HOISTNOTE_FUZZ_SECONDS` says otherwise.
const SECONDS: u64 = 4;

/// Pieces that readers look at.
const PIECES: [&str; 40] = [
    "WEBVTT\n\n",
    "-->",
    "00:01.000 --> 00:02.000\n",
    "99:59:59.999",
    "-1",
    "NaN",
    "1e999",
    "\0",
    "\u{feff}",
    "\r",
    "\n\n",
    "<v Jo>",
    "<00:01.5>",
    "&amp;",
    "&#x",
    "{\"text\":",
    "\"words\":[",
    "}]",
    "\\ud83d",
    "[0:05] ",
    "<ALT_BEGIN>",
    ";;",
    "[[part]]\n",
    "id = \"",
    "name = \"\"",
    "also = [",
    "= 1.5",
    "\"what\":\"undo\"",
    "\"line\":1",
    "½",
    "İ",
    "ﬁ",
    "no, the right one",
    "same on the other side",
    "scratch that",
    "left front ",
    "tire ",
    "4/32",
    "P0420",
    "\u{202e}",
];

/// A stream of numbers that is the same each time.
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n.max(1)
    }

    fn range(&mut self, length: usize) -> std::ops::Range<usize> {
        let from = self.below(length + 1);
        from..(from + self.below(64)).min(length)
    }
}

/// One sample after a few harms.
fn spoilt(seeds: &[Vec<u8>], chance: &mut Chance) -> Vec<u8> {
    let mut out = seeds[chance.below(seeds.len())].clone();
    // a short stretch is quicker to read and as telling
    let from = chance.below(out.len());
    out = out[from..].iter().copied().take(40 + chance.below(1500)).collect();
    for _ in 0..=chance.below(6) {
        let range = chance.range(out.len());
        match chance.below(6) {
            0 => drop(out.drain(range)),
            1 => drop(out.splice(range.start..range.start, out[range.clone()].to_vec())),
            2 => out.iter_mut().skip(range.start).take(1).for_each(|b| *b = chance.below(256) as u8),
            3 => out.truncate(range.start),
            4 => {
                let other = &seeds[chance.below(seeds.len())];
                let piece = other[chance.range(other.len())].to_vec();
                drop(out.splice(range, piece));
            }
            _ => drop(out.splice(range, PIECES[chance.below(PIECES.len())].bytes())),
        }
    }
    out
}

fn files(below: &str, endings: &[&str]) -> Result<Vec<Vec<u8>>, Box<dyn std::error::Error>> {
    let mut out = Vec::new();
    for entry in walkdir::WalkDir::new(Path::new(env!("CARGO_MANIFEST_DIR")).join(below)).sort_by_file_name() {
        let entry = entry?;
        let ending = entry.path().extension().and_then(|e| e.to_str()).unwrap_or_default();
        if entry.file_type().is_file() && endings.contains(&ending) {
            out.push(fs::read(entry.path())?);
        }
    }
    Ok(out)
}

/// Samples for a target.
fn seeds(target: &str) -> Result<Vec<Vec<u8>>, Box<dyn std::error::Error>> {
    let lines = |units: &[&str]| units.iter().map(|u| u.repeat(4).into_bytes()).collect::<Vec<_>>();
    let log = "{\"when\":\"2026-03-02T10:15:00Z\",\"what\":\"hand_over\",\"revision\":1}\n\
               {\"when\":\"2026-03-02T10:15:00Z\",\"what\":\"undo\",\"line\":1}\n\
               {\"when\":\"2026-03-02T10:15:00Z\",\"what\":\"redo\",\"line\":2}\n";
    Ok(match target {
        "lexicon" => builtin_files().into_iter().map(|(_, text)| text.as_bytes().to_vec()).collect(),
        "rates" => files("samples/rates", &["toml"])?,
        "log" => [files("samples", &["ndjson"])?, lines(&[log])].concat(),
        "record" => {
            lines(&["{\"id\":\"a\",\"text\":\"left front tire is bald\"}\n", "{\"id\":2,\"utterances\":[\"so\"]}\n"])
        }
        "json" => lines(&[
            "{\"start\":1,\"end\":2,\"text\":\"so it goes\",\"words\":[{\"word\":\"so\",\"start\":1,\"end\":1.5}]},",
        ]),
        "ctm" => lines(&["w 1 0.5 0.2 tire\nw 1 0.9 0.2 <ALT_BEGIN>\nw 1 0.9 0.2 is\nw 1 0.9 0.2 <ALT>\n"]),
        "talk" => files("tests/dictations/work/a", &["json"])?,
        _ => files("samples", &["vtt", "txt"])?,
    })
}

#[test]
fn spoilt_samples_break_nothing() -> Checked {
    let seconds = std::env::var("HOISTNOTE_FUZZ_SECONDS").ok().and_then(|s| s.parse().ok()).unwrap_or(SECONDS);
    let each = Duration::from_millis(seconds * 1000 / TARGETS.len() as u64);
    let mut chance = Chance(14);
    for (name, run) in TARGETS {
        let seeds = seeds(name)?;
        assert!(!seeds.is_empty(), "{name}");
        // what is only built once does not count
        run(&seeds[0]);
        let start = Instant::now();
        let mut runs = 0;
        while start.elapsed() < each {
            let bytes = spoilt(&seeds, &mut chance);
            if catch_unwind(AssertUnwindSafe(|| run(&bytes))).is_err() {
                panic!("{name}: broken by {:?}", String::from_utf8_lossy(&bytes));
            }
            runs += 1;
        }
        println!("{name}: {runs} spoilt samples");
        assert!(runs > 0, "{name}");
    }
    Ok(())
}
