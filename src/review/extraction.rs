//! Owns the list as the program made it of all that was said and typed at one visit: several documents as one.

use sha2::{Digest, Sha256};

use crate::findings::{Document, Evidence, Finding, SCHEMA, SourceInfo, Vehicle};
use crate::interpretation::{Interpreter, Settings, is_heavy_system};
use crate::lexicon::VehicleClass;
use crate::limits;

use super::decision::Entry;
use super::final_list::FinalList;
use super::replay::final_list;

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
    /// Joins documents in their order under the name of the inspection.
    pub fn join(name: &str, documents: Vec<Document>, problems: Vec<String>) -> Extraction {
        let mut sources = Vec::new();
        let mut joined: Option<Document> = None;
        let several = documents.len() > 1;
        let mut hash = Sha256::new();
        for mut d in documents {
            hash.update(d.source.sha256.as_bytes());
            let Some(into) = &mut joined else {
                sources.push((d.source.path.clone(), 1));
                joined = Some(d);
                continue;
            };
            let by = into.utterances.len();
            sources.push((d.source.path.clone(), by + 1));
            shift(&mut d, by);
            append(into, d);
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

fn shift(d: &mut Document, by: usize) {
    let move_all = |evidence: &mut Vec<Evidence>| evidence.iter_mut().for_each(|e| e.utterance += by);
    d.utterances.iter_mut().for_each(|u| u.n += by);
    d.findings.iter_mut().for_each(|f| move_all(&mut f.evidence));
    d.general_talk.iter_mut().for_each(|g| move_all(&mut g.evidence));
    d.withdrawn.iter_mut().for_each(|w| move_all(&mut w.evidence));
    d.unplaced.iter_mut().for_each(|u| u.utterance += by);
}

fn append(into: &mut Document, d: Document) {
    if into.source.format != d.source.format {
        into.source.format = format!("{}, {}", into.source.format, d.source.format);
    }
    into.vehicle.odometer = into.vehicle.odometer.take().or(d.vehicle.odometer);
    into.vehicle.identification = into.vehicle.identification.take().or(d.vehicle.identification);
    into.utterances.extend(d.utterances);
    into.findings.extend(d.findings);
    into.general_talk.extend(d.general_talk);
    into.withdrawn.extend(d.withdrawn);
    into.unplaced.extend(d.unplaced);
    for c in d.cautions {
        if !into.cautions.contains(&c) {
            into.cautions.push(c);
        }
    }
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
