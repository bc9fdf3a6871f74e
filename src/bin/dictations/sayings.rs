//! Owns reading sayings: tables of short talk, tab-separated, what is said (` / ` between lines) and what it says of each part named
//! in it (`tie rod end: sound; spring: nothing`).

use std::path::Path;

use hoistnote::dictation::{Dictation, Format, Utterance};
use hoistnote::interpretation::{Analysis, Class, Interpreter, Naming, Settings};

use crate::gold::Example;

/// A saying lacks all that is said around it: beside a mention in a dictation it counts so much (chosen on check).
const WEIGHT: f64 = 0.2;

/// Labelled mentions of one table. A line that can't be read is an error with its number.
pub fn examples(file: &Path, interpreter: &Interpreter) -> Result<Vec<Example>, String> {
    let text = std::fs::read_to_string(file).map_err(|e| format!("{}: {e}", file.display()))?;
    let mut out = Vec::new();
    for (n, line) in text.lines().enumerate().filter(|(_, l)| !l.is_empty() && !l.starts_with('#')) {
        let at = || format!("{}:{}", file.display(), n + 1);
        let (said, labels) = line.split_once('\t').ok_or_else(|| format!("{}: no tab", at()))?;
        let labels = labels.split(';').map(|l| label(l).ok_or_else(|| format!("{}: `{l}`: part: verdict", at())));
        let labels: Vec<(String, Class)> = labels.collect::<Result<_, _>>()?;
        let utterances = said.split(" / ").map(|l| Utterance { text: l.to_string(), ..Utterance::default() }).collect();
        let dictation = Dictation {
            path: String::new(),
            format: Format::Notes,
            sha256: String::new(),
            utterances,
            warnings: Vec::new(),
        };
        let a = interpreter.analyse(&dictation, Settings::default());
        out.extend(labelled(&a, &labels).into_iter().map(|(i, class)| Example {
            features: a.features[i].clone(),
            class,
            fits: true,
            weight: WEIGHT,
        }));
    }
    Ok(out)
}

/// `part: verdict`.
fn label(text: &str) -> Option<(String, Class)> {
    let (part, verdict) = text.rsplit_once(':')?;
    let class = Class::ALL.into_iter().find(|c| c.as_str() == verdict.trim())?;
    Some((part.trim().to_lowercase(), class))
}

/// The mentions that a label speaks of, and those of parts that none does: only mentioned.
fn labelled(a: &Analysis, labels: &[(String, Class)]) -> Vec<(usize, Class)> {
    let mut out = Vec::new();
    for (i, m) in a.scene.mentions.iter().enumerate() {
        if m.withdrawn || m.naming != Naming::Named {
            continue;
        }
        let said = a.reading.words(m.first, m.end).to_lowercase();
        let head = a.reading.tokens[m.end - 1].word.to_lowercase();
        let of = |l: &&(String, Class)| l.0 == said || l.0.ends_with(&head) || said.ends_with(&l.0);
        // two labels that a mention could be of leave it open which
        let fitting: Vec<Class> = labels.iter().filter(of).map(|l| l.1).collect();
        match fitting.as_slice() {
            [] => out.push((i, Class::Nothing)),
            [first, rest @ ..] if rest.iter().all(|c| c == first) => out.push((i, *first)),
            _ => {
                if let Some(l) = labels.iter().find(|l| l.0 == said) {
                    out.push((i, l.1));
                }
            }
        }
    }
    out
}
