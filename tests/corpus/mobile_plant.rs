//! The sample of a mobile-plant shop (`samples/mobile-plant`), held against open data that it was not made from: MaintIE
//! (LREC-COLING 2024, MIT; expert-annotated maintenance short texts) and MaintNorm (WNUT 2024, MIT; raw and normalised words).
//! The sample was made from the texts at even places; what stands at odd places is held out.

use std::collections::HashSet;
use std::ops::Range;
use std::path::Path;

use hoistnote::dictation::{self, Dictation};
use hoistnote::interpretation::{Analysis, Interpreter, Settings};
use hoistnote::lexicon::{Cue, Lexicon, Meaning, Verdict};
use hoistnote::shop::{Choice, ShopFile, additions, compile, suggest, with_additions};
use serde_json::Value;

use super::{Checked, data};

/// Hits, what was said too much, what was missed.
#[derive(Debug, Default, Clone, Copy)]
struct Score {
    hit: usize,
    said: usize,
    found: usize,
    gold: usize,
}

impl Score {
    fn add(&mut self, said: &[Range<usize>], gold: &[Range<usize>]) {
        let covers = |s: &Range<usize>, g: &Range<usize>| s.start <= g.start && g.end <= s.end;
        self.said += said.len();
        self.hit += said.iter().filter(|s| gold.iter().any(|g| covers(s, g))).count();
        self.gold += gold.len();
        self.found += gold.iter().filter(|g| said.iter().any(|s| covers(s, g))).count();
    }

    /// A pair is right where its part covers the marked one and its words touch the marked state.
    fn add_pairs(&mut self, said: &[(Range<usize>, Range<usize>)], gold: &[(Range<usize>, Range<usize>)]) {
        let same = |s: &(Range<usize>, Range<usize>), g: &(Range<usize>, Range<usize>)| {
            s.0.start <= g.0.start && g.0.end <= s.0.end && touches(&s.1, &g.1)
        };
        self.said += said.len();
        self.hit += said.iter().filter(|s| gold.iter().any(|g| same(s, g))).count();
        self.gold += gold.len();
        self.found += gold.iter().filter(|g| said.iter().any(|s| same(s, g))).count();
    }

    fn precision(&self) -> f64 {
        self.hit as f64 / self.said.max(1) as f64
    }

    fn recall(&self) -> f64 {
        self.found as f64 / self.gold.max(1) as f64
    }

    fn f1(&self) -> f64 {
        let (p, r) = (self.precision(), self.recall());
        if p + r > 0.0 { 2.0 * p * r / (p + r) } else { 0.0 }
    }

    fn row(&self) -> String {
        format!(
            "P {:.2} R {:.2} F1 {:.3} ({} said, {} marked)",
            self.precision(),
            self.recall(),
            self.f1(),
            self.said,
            self.gold
        )
    }
}

fn touches(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start < b.end && b.start < a.end
}

fn shop() -> Result<Interpreter, Box<dyn std::error::Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/mobile-plant");
    let mut files = Vec::new();
    for entry in std::fs::read_dir(&folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|e| e == "toml") {
            files.push(ShopFile::read(&path.display().to_string(), &std::fs::read(&path)?));
        }
    }
    assert!(files.iter().all(ShopFile::usable));
    let (lexicon, left_out) = compile(&files)?;
    assert_eq!(left_out, []);
    Ok(Interpreter::new(lexicon))
}

/// Bytes of each token in the text.
fn token_spans(text: &str, tokens: &[&str]) -> Vec<Range<usize>> {
    let mut at = 0;
    let mut out = Vec::new();
    for t in tokens {
        let start = text[at..].find(t).map_or(at, |i| at + i);
        at = start + t.len();
        out.push(start..at);
    }
    out
}

fn bytes(a: &Analysis, first: usize, end: usize) -> Range<usize> {
    a.reading.tokens[first].span.start..a.reading.tokens[end - 1].span.end
}

/// Where parts are named.
fn parts(a: &Analysis) -> Vec<Range<usize>> {
    let m = &a.reading.mentions;
    let named = m.parts.iter().map(|p| (p.first, p.end)).chain(m.loose_heads.iter().copied());
    named.map(|(first, end)| bytes(a, first, end)).collect()
}

/// Where something is said to be wrong; a denial in front belongs to it.
fn states(a: &Analysis) -> Vec<Range<usize>> {
    let negations: Vec<(usize, usize)> = a
        .reading
        .mentions
        .signals
        .iter()
        .filter(|s| s.meaning == Meaning::Cue(Cue::Negation))
        .map(|s| (s.first, s.end))
        .collect();
    let faults = a.reading.signals.iter().filter(|s| s.is_fault());
    let spans: HashSet<(usize, usize)> = faults
        .map(|s| {
            let denied = negations.iter().find(|n| n.1 <= s.first && s.first - n.1 <= 1);
            let first = denied.map_or(s.first, |n| n.0);
            (first, s.end)
        })
        .collect();
    let inside = |s: &(usize, usize)| spans.iter().any(|o| o != s && o.0 <= s.0 && s.1 <= o.1);
    spans.iter().filter(|s| !inside(s)).map(|&(first, end)| bytes(a, first, end)).collect()
}

/// Part and what is wrong with it, as the findings have them.
fn pairs(d: &Dictation, interpreter: &Interpreter) -> Vec<(Range<usize>, Range<usize>)> {
    let document = interpreter.document(d, Settings::default());
    let mut out = Vec::new();
    for f in document.findings.iter().filter(|f| f.verdict == Verdict::Defect) {
        let of = |role: &str| {
            let is = move |e: &&hoistnote::findings::Evidence| serde_json::to_value(e.role).is_ok_and(|v| v == role);
            f.evidence.iter().filter(is).map(|e| e.start..e.end).collect::<Vec<_>>()
        };
        for part in of("component") {
            for condition in of("condition").into_iter().chain(of("verdict")) {
                out.push((part.clone(), condition));
            }
        }
    }
    out
}

#[test]
fn the_sample_shop_reads_texts_it_was_not_made_from() -> Checked {
    let interpreter = shop()?;
    let texts: Value = serde_json::from_str(&data("maintie-dev.json")?)?;
    let [mut part_score, mut state_score, mut strict, mut pair_score, mut pair_strict] = [Score::default(); 5];
    let list = |v: &Value| v.as_array().cloned().unwrap_or_default();
    for text in list(&texts).iter().skip(1).step_by(2) {
        let said = text["text"].as_str().unwrap_or_default();
        let tokens = list(&text["tokens"]);
        let tokens: Vec<&str> = tokens.iter().filter_map(Value::as_str).collect();
        let spans = token_spans(said, &tokens);
        let entities: Vec<(String, Range<usize>)> = list(&text["entities"])
            .iter()
            .filter_map(|e| {
                let (start, end) = (e["start"].as_u64()? as usize, e["end"].as_u64()? as usize);
                Some((e["type"].as_str()?.to_string(), spans[start].start..spans[end - 1].end))
            })
            .collect();
        let of = |kinds: &[&str]| -> Vec<Range<usize>> {
            let is = |t: &String| kinds.iter().any(|k| t.starts_with(k));
            entities.iter().filter(|(t, _)| is(t)).map(|(_, s)| s.clone()).collect()
        };
        let d = dictation::read("text", said.as_bytes())?;
        let a = interpreter.analyse(&d, Settings::default());
        part_score.add(&parts(&a), &of(&["PhysicalObject"]));
        let found = states(&a);
        strict.add(&found, &of(&["State"]));
        state_score.add(&found, &of(&["State", "Process/UndesirableProcess"]));
        // a leak has the part that leaks for its agent, and the oil for its patient: either is what is wrong with it
        let relations = |kinds: &[&str], how: &[&str]| -> Vec<(Range<usize>, Range<usize>)> {
            let pair = |r: &Value| {
                let (head, tail) = (&entities[r["head"].as_u64()? as usize], &entities[r["tail"].as_u64()? as usize]);
                let bad = kinds.iter().any(|k| head.0.starts_with(k)) && tail.0.starts_with("PhysicalObject");
                let fits = bad && how.iter().any(|h| r["type"] == *h);
                fits.then(|| (tail.1.clone(), head.1.clone()))
            };
            list(&text["relations"]).iter().filter_map(pair).collect()
        };
        let out = pairs(&d, &interpreter);
        let all = relations(
            &["State", "Process/UndesirableProcess"],
            &["hasParticipant/hasPatient", "hasParticipant/hasAgent"],
        );
        let processes = of(&["Process"]);
        let of_states: Vec<_> = out.iter().filter(|p| !processes.iter().any(|s| touches(&p.1, s))).cloned().collect();
        pair_score.add_pairs(&out, &all);
        pair_strict.add_pairs(&of_states, &relations(&["State"], &["hasParticipant/hasPatient"]));
    }
    println!("parts:                 {}", part_score.row());
    println!("states:                {}", strict.row());
    println!("states and processes:  {}", state_score.row());
    println!("part with state:       {}", pair_strict.row());
    println!("… or process:          {}", pair_score.row());
    assert!(part_score.gold > 300 && pair_score.gold > 50, "too few to tell");
    // a little below what was measured last: these may only rise
    assert!(part_score.f1() > 0.80 && state_score.f1() > 0.70 && pair_score.f1() > 0.50);
    Ok(())
}

/// Raw words and their normalised forms, aligned: where a part stands in the normalised text, the raw word must come to the same.
#[test]
fn the_sample_shop_resolves_raw_spellings() -> Checked {
    let interpreter = shop()?;
    let file = data("maintnorm-dev.norm")?;
    let (mut odd, mut resolved, mut by_word, mut plain, mut wrong) = (0, 0, 0, 0, 0);
    for block in file.trim().split("\n\n").skip(1).step_by(2) {
        let rows: Vec<(&str, String)> =
            block.lines().filter_map(|l| l.split_once('\t')).map(|(r, n)| (r, n.trim().to_lowercase())).collect();
        let read = |words: Vec<&str>| -> Result<Vec<Option<Vec<String>>>, Box<dyn std::error::Error>> {
            let text = words.join(" ");
            let mut at = 0;
            let spans: Vec<Range<usize>> = words
                .iter()
                .map(|w| {
                    let start = at;
                    at += w.len() + 1;
                    start..start + w.len()
                })
                .collect();
            if text.trim().is_empty() {
                return Ok(vec![None; words.len()]);
            }
            let d = dictation::read("text", text.as_bytes())?;
            let a = interpreter.analyse(&d, Settings::default());
            let lexicon = interpreter.lexicon();
            let named: Vec<(Range<usize>, Vec<String>)> = a
                .reading
                .mentions
                .parts
                .iter()
                .map(|p| (bytes(&a, p.first, p.end), p.parts.iter().map(|i| lexicon.parts[*i].id.clone()).collect()))
                .collect();
            let part_at = |s: &Range<usize>| {
                named.iter().find(|(r, _)| r.start < s.end && s.start < r.end).map(|(_, ids)| ids.clone())
            };
            Ok(spans.iter().map(part_at).collect())
        };
        let (raw, norm) =
            (read(rows.iter().map(|r| r.0).collect())?, read(rows.iter().map(|r| r.1.as_str()).collect())?);
        for (n, (word, clean)) in rows.iter().enumerate() {
            if clean.contains('<') {
                continue;
            }
            let changed = word.to_lowercase() != *clean;
            match (&norm[n], changed) {
                (Some(want), true) => {
                    odd += 1;
                    let right = raw[n].as_ref().is_some_and(|got| got.iter().any(|g| want.contains(g)));
                    resolved += usize::from(right);
                    // another word of the same name may be misspelt beyond help
                    let lexicon = interpreter.lexicon();
                    by_word += usize::from(right || lexicon.fold(word) == lexicon.fold(clean));
                }
                (None, false) => {
                    plain += 1;
                    wrong += usize::from(raw[n].is_some());
                }
                _ => {}
            }
        }
    }
    let share = |a: usize, b: usize| a as f64 / b.max(1) as f64;
    println!("part words spelt otherwise, part the same: {resolved} of {odd} ({:.3})", share(resolved, odd));
    println!("part words spelt otherwise, word the same: {by_word} of {odd} ({:.3})", share(by_word, odd));
    println!("ordinary words turned into a part:   {wrong} of {plain} ({:.4})", share(wrong, plain));
    assert!(odd > 500 && plain > 5000, "too few to tell");
    // the aims are 0.85 and 0.01
    assert!(share(resolved, odd) > 0.76 && share(wrong, plain) < 0.01);
    Ok(())
}

/// The sample is what `suggest` and the choices come to, and nothing besides.
#[test]
fn the_sample_shop_is_what_was_chosen() -> Checked {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/mobile-plant");
    let texts: Value = serde_json::from_str(&data("maintie-dev.json")?)?;
    let lines = texts.as_array().into_iter().flatten().step_by(2).filter_map(|t| t["text"].as_str());
    let clean: String = lines.map(|l| format!("{l}\n")).collect();
    let file = data("maintnorm-dev.norm")?;
    let raw = file.trim().split("\n\n").step_by(2).map(|block| {
        let words: Vec<&str> = block.lines().filter_map(|l| l.split('\t').next()).collect();
        format!("{}\n", words.join(" "))
    });
    let dictations =
        [dictation::read("raw", raw.collect::<String>().as_bytes())?, dictation::read("clean", clean.as_bytes())?];
    let interpreter = Interpreter::new(Lexicon::builtin()?);
    let proposed = suggest(&dictations, &[], &interpreter);
    let choices =
        csv::Reader::from_path(sample.join("choices.csv"))?.deserialize().collect::<Result<Vec<Choice>, _>>()?;
    let (additions, wrong) = additions(&choices, &proposed, interpreter.lexicon());
    assert_eq!(wrong, []);
    assert_eq!(with_additions("", &additions)?, std::fs::read_to_string(sample.join("words.toml"))?);
    Ok(())
}

/// Of the first proposals from the texts alone, how many are marked as parts or states by the annotators.
#[test]
fn the_first_proposals_are_parts_and_states() -> Checked {
    let texts: Value = serde_json::from_str(&data("maintie-dev.json")?)?;
    let interpreter = Interpreter::new(Lexicon::builtin()?);
    let fold = |words: &str| interpreter.lexicon().fold(words);
    let mut marked = HashSet::new();
    let mut all = String::new();
    for text in texts.as_array().into_iter().flatten() {
        all.push_str(&format!("{}\n", text["text"].as_str().unwrap_or_default()));
        let tokens: Vec<&str> = text["tokens"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
        for e in text["entities"].as_array().into_iter().flatten() {
            let is = e["type"].as_str().is_some_and(|t| t.starts_with("PhysicalObject") || t.starts_with("State"));
            if let (true, Some(from), Some(to)) = (is, e["start"].as_u64(), e["end"].as_u64()) {
                marked.insert(fold(&tokens[from as usize..to as usize].join(" ")));
            }
        }
    }
    let proposed = suggest(&[dictation::read("clean", all.as_bytes())?], &[], &interpreter);
    let right = |n: usize| proposed.iter().take(n).filter(|s| marked.contains(&fold(&s.words))).count();
    for n in [50, 100, 200] {
        println!("of the first {n} proposals marked: {} ({:.2})", right(n), right(n) as f64 / n as f64);
    }
    // the aim is 160 of 200
    assert!(proposed.len() > 200 && right(50) >= 41 && right(200) >= 118);
    Ok(())
}
