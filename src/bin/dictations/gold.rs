//! Owns reading gold dictations and labelling the mentions found in them.

use std::path::{Path, PathBuf};

use hoistnote::dictation::{Dictation, Format, Utterance};
use hoistnote::findings::Component;
use hoistnote::interpretation::{Class, DrivesOn, Interpreter, Settings};
use serde::Deserialize;

/// A mention with its features and what the gold list makes of it.
pub struct Example {
    pub features: Vec<String>,
    pub class: Class,
    /// Whether part and place are those of the gold finding.
    pub fits: bool,
    /// How much it counts beside others.
    pub weight: f64,
}

/// A dictation with the findings that a careful human wrote down.
#[derive(Deserialize)]
pub struct Gold {
    #[serde(default)]
    style: String,
    pub lines: Vec<String>,
    pub findings: Vec<GoldFinding>,
    general_talk: Vec<GoldTalk>,
}

/// One finding of a careful human; lines are 1-based.
#[derive(Deserialize)]
pub struct GoldFinding {
    pub component: Vec<String>,
    pub location: Vec<String>,
    pub verdict: String,
    pub lines: Vec<usize>,
}

#[derive(Deserialize)]
struct GoldTalk {
    component: Vec<String>,
    lines: Vec<usize>,
}

impl Gold {
    /// Reads one file.
    pub fn open(file: &Path) -> Result<Gold, String> {
        let text = std::fs::read_to_string(file).map_err(|e| format!("{}: {e}", file.display()))?;
        serde_json::from_str(&text).map_err(|e| format!("{}: {e}", file.display()))
    }

    /// Its lines as the program reads them, and the settings for the speaker's country.
    pub fn dictation(&self) -> (Dictation, Settings) {
        let british = self.lines.iter().any(|l| l.contains("nearside") || l.contains("offside"));
        let typed = self.style.contains("typed");
        let utterances = self.lines.iter().map(|l| Utterance { text: l.clone(), ..Utterance::default() }).collect();
        let format = if typed || self.style.is_empty() { Format::Notes } else { Format::TimedText };
        let dictation =
            Dictation { path: String::new(), format, sha256: String::new(), utterances, warnings: Vec::new() };
        let drives_on = if british { DrivesOn::Left } else { DrivesOn::Right };
        (dictation, Settings { drives_on, ..Settings::default() })
    }
}

/// The gold files under a folder, in order of name.
pub fn files(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let mut out = Vec::new();
    for e in walkdir::WalkDir::new(folder).sort_by_file_name() {
        let e = e.map_err(|e| format!("{}: {e}", folder.display()))?;
        if e.file_type().is_file() && e.path().extension().is_some_and(|x| x == "json" || x == "tsv") {
            out.push(e.into_path());
        }
    }
    Ok(out)
}

/// Labelled mentions of one gold dictation.
pub fn examples(file: &Path, interpreter: &Interpreter) -> Result<Vec<Example>, String> {
    let gold = Gold::open(file)?;
    let (dictation, settings) = gold.dictation();
    let a = interpreter.analyse(&dictation, settings);
    let mut out = Vec::new();
    for (m, features) in a.scene.mentions.iter().zip(a.features) {
        if m.withdrawn {
            continue;
        }
        let line = a.reading.tokens[m.first].span.utterance + 1;
        let names = names(&a.scene.components[m.component]);
        // a part only listed again at the end carries no verdict of its own to learn from
        let silent = features.iter().any(|f| f == "silent");
        if silent && features.iter().any(|f| f == "near_the_end&spoken_of_before") {
            continue;
        }
        let head = a.reading.tokens[m.end - 1].norm.clone();
        let here: Vec<&str> = m.place.positions().iter().map(|p| p.as_str()).collect();
        let found = gold
            .findings
            .iter()
            .filter_map(|f| {
                let exact = same_part(&f.component, &names);
                // a part named short or resolved wrongly is still the words of that finding
                let fits = f.lines.contains(&line) && (exact || same_head(&f.component, &head));
                fits.then(|| (agreement(&f.location, &here) + if exact { 3 } else { 0 }, f))
            })
            .max_by_key(|(fit, _)| *fit)
            .map(|(_, f)| f);
        let fits = found.is_some_and(|f| same_part(&f.component, &names) && same_place(&f.location, &here));
        // "Tires. All four are at six": the places gone through carry the verdict, not the word in front of them
        let only_announced = features.iter().any(|f| f == "gone_through&silent");
        let class = found
            .map(|f| if only_announced { Class::Nothing } else { class(&f.verdict) })
            .or_else(|| {
                let talk = gold.general_talk.iter().any(|t| t.lines.contains(&line) && same_part(&t.component, &names));
                talk.then_some(Class::General)
            })
            .unwrap_or(Class::Nothing);
        out.push(Example { features, class, fits, weight: 1.0 });
    }
    Ok(out)
}

const AXES: [(&str, &str); 4] = [("front", "rear"), ("left", "right"), ("upper", "lower"), ("inner", "outer")];

/// The class of a verdict.
pub fn class(verdict: &str) -> Class {
    match verdict {
        "defect" => Class::Defect,
        "sound" => Class::Sound,
        "serviced" => Class::Serviced,
        _ => Class::Unchecked,
    }
}

/// Whether the places agree wherever both tell.
pub fn same_place(gold: &[String], here: &[&str]) -> bool {
    AXES.iter().all(|(a, b)| {
        let g = (gold.iter().any(|x| x == a), gold.iter().any(|x| x == b));
        let h = (here.contains(a), here.contains(b));
        g == h || g == (false, false) || h == (false, false)
    })
}

/// How well a place said fits the gold place: agreeing positions count for it, opposite ones against.
fn agreement(gold: &[String], here: &[&str]) -> i32 {
    AXES.iter()
        .map(|(a, b)| {
            let g = (gold.iter().any(|x| x == a), gold.iter().any(|x| x == b));
            let h = (here.contains(a), here.contains(b));
            match (g, h) {
                ((false, false), _) | (_, (false, false)) => 0,
                _ if g == h => 2,
                _ if (g.0 && h.0) || (g.1 && h.1) => 1,
                _ => -4,
            }
        })
        .sum()
}

/// Every name a component goes by.
pub fn names(c: &Component) -> Vec<String> {
    std::iter::once(&c.name).chain(std::iter::once(&c.id)).chain(&c.aliases).cloned().collect()
}

fn same_head(gold: &[String], head: &str) -> bool {
    gold.iter().any(|g| words(g).last().is_some_and(|w| w == head))
}

/// The rule by which two lists of names mean one part: the same words place words and plurals aside, or one name of two words or
/// more inside the other.
pub fn same_part(gold: &[String], names: &[String]) -> bool {
    gold.iter().map(|g| words(g)).filter(|g| !g.is_empty()).any(|g| {
        names.iter().map(|n| words(n)).filter(|n| !n.is_empty()).any(|n| {
            let (mut a, mut b) = (g.clone(), n.clone());
            a.sort();
            b.sort();
            if a == b || g.concat() == n.concat() {
                return true;
            }
            a.dedup();
            b.dedup();
            let (small, large) = if a.len() <= b.len() { (&a, &b) } else { (&b, &a) };
            small.len() >= 2 && small.len() < large.len() && small.iter().all(|w| large.contains(w))
        })
    })
}

fn words(name: &str) -> Vec<String> {
    const PLACES: [&str; 14] = [
        "front",
        "rear",
        "left",
        "right",
        "upper",
        "lower",
        "inner",
        "outer",
        "center",
        "centre",
        "driver",
        "passenger",
        "nearside",
        "offside",
    ];
    name.to_lowercase()
        .split(|c: char| !(c.is_ascii_alphanumeric() || c == '/'))
        .filter(|w| !w.is_empty())
        .map(|w| match w {
            "tyre" | "tyres" => "tire".to_string(),
            "centre" => "center".to_string(),
            "bushes" => "bush".to_string(),
            w if w.ends_with("ies") && w.len() > 4 => format!("{}y", &w[..w.len() - 3]),
            w if w.ends_with('s') && !w.ends_with("ss") && w.len() > 3 && !matches!(w, "lens" | "chassis") => {
                w[..w.len() - 1].to_string()
            }
            w => w.to_string(),
        })
        .filter(|w| !PLACES.contains(&w.as_str()) && w != "side")
        .collect()
}
