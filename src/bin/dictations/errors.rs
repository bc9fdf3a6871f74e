//! Owns the listing of errors: what a gold list has and the program's has not, and the other way round, each with the stage it was
//! lost at.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use hoistnote::findings::Finding;
use hoistnote::interpretation::{Analysis, Interpreter, Mention};

use crate::gold::{self, Gold, GoldFinding};

/// Why a finding of the gold list is missing, or one of the program's is not in the gold list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Cause {
    PartNotKnown,
    PartNotMatched,
    ReferenceWrong,
    TakenBack,
    PlaceWrong,
    StanceWrong,
    MergedAway,
    NotJoined,
    OtherPart,
}

impl Cause {
    fn as_str(self) -> &'static str {
        match self {
            Cause::PartNotKnown => "missed: part not in the lexicon",
            Cause::PartNotMatched => "missed: known part not matched anywhere",
            Cause::ReferenceWrong => "missed: part matched, but not in these lines",
            Cause::TakenBack => "missed: taken back",
            Cause::PlaceWrong => "place wrong",
            Cause::StanceWrong => "stance wrong",
            Cause::MergedAway => "missed: right mention, lost in merging",
            Cause::NotJoined => "extra: not joined to the finding it belongs to",
            Cause::OtherPart => "extra: a part that the gold list does not have here",
        }
    }
}

/// Lists the errors of the gold files on standard output, then how often each cause is met.
pub fn list(files: &[PathBuf], interpreter: &Interpreter) -> Result<(), String> {
    let mut counts: BTreeMap<Cause, usize> = BTreeMap::new();
    let mut wanted = 0;
    for file in files {
        let gold = Gold::open(file)?;
        let (dictation, settings) = gold.dictation();
        let analysis = interpreter.analyse(&dictation, settings);
        let found = interpreter.document(&dictation, settings).findings;
        wanted += gold.findings.len();
        let missed = gold.findings.iter().filter(|g| !found.iter().any(|f| agrees(g, f)));
        for g in missed {
            let cause = why_missed(g, &analysis, interpreter);
            *counts.entry(cause).or_default() += 1;
            let said: Vec<&str> = g.lines.iter().filter_map(|l| gold.lines.get(l - 1)).map(String::as_str).collect();
            report(file, g.lines.first().copied(), cause, &describe(g), &said.join(" / "));
        }
        for f in found.iter().filter(|f| !gold.findings.iter().any(|g| agrees(g, f))) {
            let Some(cause) = why_extra(f, &gold) else { continue };
            *counts.entry(cause).or_default() += 1;
            let line = f.evidence.first().map(|e| e.utterance);
            let said = line.and_then(|l| gold.lines.get(l - 1)).map_or("", String::as_str);
            let place: Vec<&str> = f.position.iter().map(|p| p.as_str()).collect();
            let what = format!("{} [{}] {}", f.component.name, place.join(" "), f.verdict.as_str());
            report(file, line, cause, &what, said);
        }
    }
    println!("{wanted} findings wanted");
    for (cause, n) in counts {
        println!("{n:5}  {}", cause.as_str());
    }
    Ok(())
}

fn report(file: &Path, line: Option<usize>, cause: Cause, what: &str, said: &str) {
    println!("{}:{}: {}: {what} | {said}", file.display(), line.unwrap_or(0), cause.as_str());
}

fn describe(g: &GoldFinding) -> String {
    let name = g.component.first().map_or("", String::as_str);
    format!("{name} [{}] {}", g.location.join(" "), g.verdict)
}

/// Part, place and verdict are the same.
fn agrees(g: &GoldFinding, f: &Finding) -> bool {
    g.verdict == f.verdict.as_str() && same_part(g, f) && place_fits(g, f)
}

fn same_part(g: &GoldFinding, f: &Finding) -> bool {
    gold::same_part(&g.component, &gold::names(&f.component))
}

fn place_fits(g: &GoldFinding, f: &Finding) -> bool {
    let place: Vec<&str> = f.position.iter().map(|p| p.as_str()).collect();
    gold::same_place(&g.location, &place)
}

fn why_missed(g: &GoldFinding, a: &Analysis, interpreter: &Interpreter) -> Cause {
    let of_part = |m: &&Mention| gold::same_part(&g.component, &gold::names(&a.scene.components[m.component]));
    let all: Vec<&Mention> = a.scene.mentions.iter().filter(of_part).collect();
    let here = |m: &&Mention| g.lines.contains(&(a.reading.tokens[m.first].span.utterance + 1));
    let near: Vec<&Mention> = all.iter().copied().filter(here).collect();
    if all.is_empty() {
        let known = interpreter.lexicon().parts.iter().any(|p| {
            let names: Vec<String> = std::iter::once(&p.name).chain(&p.also).cloned().collect();
            gold::same_part(&g.component, &names)
        });
        return if known { Cause::PartNotMatched } else { Cause::PartNotKnown };
    }
    if near.is_empty() {
        return Cause::ReferenceWrong;
    }
    if near.iter().all(|m| m.withdrawn) {
        return Cause::TakenBack;
    }
    let judged = |m: &Mention| {
        let at = a.scene.mentions.iter().position(|o| std::ptr::eq(o, m));
        at.map(|i| interpreter.judged(&a.features[i]))
    };
    let right: Vec<&Mention> = near.iter().copied().filter(|m| judged(m) == Some(gold::class(&g.verdict))).collect();
    let placed = |m: &&Mention| {
        let place: Vec<&str> = m.place.positions().iter().map(|p| p.as_str()).collect();
        gold::same_place(&g.location, &place)
    };
    match (right.is_empty(), right.iter().any(placed)) {
        (true, _) => Cause::StanceWrong,
        (_, false) => Cause::PlaceWrong,
        (_, true) => Cause::MergedAway,
    }
}

/// The cause, or none where the gold finding it comes from is listed as missed already.
fn why_extra(f: &Finding, gold: &Gold) -> Option<Cause> {
    let lines: Vec<usize> = f.evidence.iter().map(|e| e.utterance).collect();
    let mut same = gold.findings.iter().filter(|g| same_part(g, f)).peekable();
    if same.peek().is_none() {
        return Some(Cause::OtherPart);
    }
    let here = same.find(|g| g.lines.iter().any(|l| lines.contains(l)));
    here.is_none().then_some(Cause::NotJoined)
}
