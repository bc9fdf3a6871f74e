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
    /// stand among the words of the only dictation there is. What was said in one and again in another is one finding.
    pub fn join(name: &str, mut documents: Vec<Document>, problems: Vec<String>) -> Extraction {
        documents.sort_by_key(|d| d.utterances.first().is_none_or(|u| u.start_ms.is_none()));
        let mut hash = Sha256::new();
        documents.iter().for_each(|d| hash.update(d.source.sha256.as_bytes()));
        let several = documents.len() > 1;
        let spoken = documents.iter().filter(|d| is_spoken(d)).count();
        let (notes, documents): (Vec<_>, Vec<_>) =
            documents.into_iter().partition(|d| spoken == 1 && d.source.format == Format::TimedText.as_str());
        let mut sources = Vec::new();
        let mut joined: Option<Document> = None;
        let mut notes = notes.into_iter();
        for d in documents {
            match &mut joined {
                None => {
                    sources.push((d.source.path.clone(), 1));
                    // the only dictation stands first
                    joined = Some(notes.by_ref().fold(d, together::woven));
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
