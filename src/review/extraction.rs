//! Owns the list as the program made it of all that was said and typed at one visit: several documents as one.

use sha2::{Digest, Sha256};

use crate::dictation::Format;
use crate::findings::{Document, Finding, SCHEMA, SourceInfo, Vehicle};
use crate::interpretation::{Interpreter, Settings, is_heavy_system};
use crate::lexicon::VehicleClass;
use crate::limits;

use super::decision::Entry;
use super::final_list::FinalList;
use super::replay::final_list;
use super::together;

/// What the program made of the dictations of one inspection.
#[derive(Debug, Clone, PartialEq)]
pub struct Extraction {
    /// All dictations as one document; its lines are numbered through.
    pub document: Document,
    /// Each dictation's name and its first line in `document`.
    pub sources: Vec<(String, usize)>,
    /// What could not be read, and warnings.
    pub problems: Vec<String>,
}

impl Extraction {
    /// Joins documents under the name of the inspection: what was spoken first, notes without times behind it. Notes with times
    /// stand among the words of their dictation. What was said in one and again in another is one finding.
    pub fn join(name: &str, mut documents: Vec<Document>, problems: Vec<String>) -> Extraction {
        documents.sort_by_key(|d| d.utterances.first().is_none_or(|u| u.start_ms.is_none()));
        let mut hash = Sha256::new();
        documents.iter().for_each(|d| hash.update(d.source.sha256.as_bytes()));
        let several = documents.len() > 1;
        let mut sources = Vec::new();
        let mut joined: Option<Document> = None;
        for d in weave(documents) {
            match &mut joined {
                None => {
                    sources.push((d.source.path.clone(), 1));
                    joined = Some(d);
                }
                Some(into) => {
                    sources.push((d.source.path.clone(), into.utterances.len() + 1));
                    together::behind(into, d);
                }
            }
        }
        let mut document = joined.unwrap_or_else(|| empty(name));
        if several {
            let digest: String = hash.finalize().iter().map(|b| format!("{b:02x}")).collect();
            document.source = SourceInfo { path: name.to_string(), sha256: digest, ..document.source };
        }
        rename_twins(&mut document);
        Extraction { document, sources, problems }
    }

    /// The final list that these lines of the log make of it; corrected figures are held against the limits again.
    pub fn final_list(&self, entries: &[Entry], interpreter: &Interpreter, settings: Settings) -> FinalList {
        let class = settings.vehicle.unwrap_or_else(|| class_of(&self.document));
        let held = |f: &mut Finding| limits::apply(f, interpreter.lexicon(), class, settings.jurisdiction);
        final_list(&self.document, entries, &held)
    }

    /// The dictation that a line is from.
    pub fn source_of(&self, line: usize) -> &str {
        self.sources.iter().rev().find(|s| s.1 <= line).map_or("", |s| s.0.as_str())
    }
}

/// Light or heavy, by the parts that were found.
pub fn class_of(document: &Document) -> VehicleClass {
    let findings = &document.findings;
    let n = findings.iter().filter(|f| is_heavy_system(&f.component.system)).count();
    if n >= 3 && n * 10 >= findings.len() { VehicleClass::Heavy } else { VehicleClass::Light }
}

/// Puts notes with times into their dictation: the one whose name theirs begins with, else the only one there is. Where neither
/// tells, they stay apart: two dictations have two clocks.
fn weave(documents: Vec<Document>) -> Vec<Document> {
    let (notes, mut others): (Vec<_>, Vec<_>) =
        documents.into_iter().partition(|d| d.source.format == Format::TimedText.as_str());
    let spoken: Vec<(usize, String)> =
        others.iter().enumerate().filter(|(_, d)| is_spoken(d)).map(|(i, d)| (i, stem(d).to_string())).collect();
    let home = |notes: &Document| {
        let named = spoken.iter().filter(|(_, name)| stem(notes).starts_with(name.as_str()));
        named.max_by_key(|(_, name)| name.len()).or(if spoken.len() == 1 { spoken.first() } else { None })
    };
    let mut apart = Vec::new();
    for n in notes {
        match home(&n).and_then(|(i, _)| others.get_mut(*i)) {
            Some(dictation) => together::weave(dictation, n),
            None => apart.push(n),
        }
    }
    let typed = others.iter().position(|d| !is_spoken(d)).unwrap_or(others.len());
    others.splice(typed..typed, apart);
    others
}

/// The name of a document's file, without folder and extension.
fn stem(d: &Document) -> &str {
    let name = d.source.path.rsplit('/').next().unwrap_or_default();
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

/// Whether a document is of a form that recognisers write and nobody types.
fn is_spoken(d: &Document) -> bool {
    let typed = [Format::TimedText.as_str(), Format::Notes.as_str()];
    !typed.contains(&d.source.format.as_str())
}

/// Ids tell findings apart: the second of two that share one gets a number behind it.
fn rename_twins(d: &mut Document) {
    for i in 1..d.findings.len() {
        let id = d.findings[i].id.clone();
        let twins = d.findings[..i].iter().filter(|f| f.id == id).count();
        if twins > 0 {
            d.findings[i].id = format!("{id}-{}", twins + 1);
        }
    }
}

fn empty(name: &str) -> Document {
    Document {
        schema: SCHEMA.to_string(),
        source: SourceInfo { path: name.to_string(), format: String::new(), sha256: String::new() },
        vehicle: Vehicle::default(),
        utterances: Vec::new(),
        findings: Vec::new(),
        general_talk: Vec::new(),
        withdrawn: Vec::new(),
        unplaced: Vec::new(),
        cautions: Vec::new(),
    }
}
