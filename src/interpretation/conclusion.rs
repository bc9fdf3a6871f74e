//! Owns the last step: judged clusters become findings with their evidence, the rest becomes general talk or stays unplaced.

use std::collections::{BTreeMap, HashSet};

use sha2::{Digest, Sha256};

use crate::dictation::Dictation;
use crate::findings::{
    Alternative, Component, Document, Evidence, Finding, GeneralTalk, Odometer, Role, SCHEMA, SourceInfo, Unplaced,
    UtteranceOut, Vehicle, Withdrawn,
};
use crate::limits;
use crate::matching::How;
use crate::text::{Kind, Unit};

use super::attributes::{self, Attributes, Ground, PartNature};
use super::judge::{Class, Scores, best, softmax};
use super::mention::Mention;
use super::merge::{self, Cluster};
use super::polarity::Says;
use super::{Analysis, Interpreter, Settings};
use crate::lexicon::{ActionId, Jurisdiction, VehicleClass, Verdict};

/// Probability of a fault from which a part called fine is marked as doubtful.
const FAULT_LIKELY: f64 = 0.2;
/// Confidence that such a finding has at most.
const CONTESTED: f64 = 0.4;

/// Confidence below which nothing is listed: chosen on the check dictations, where so low a line is right about one time in five.
const LEAST_SURE: f64 = 0.3;

/// What a trouble code alone adds to the score of a defect.
const CODE_WEIGHT: f64 = 2.0;

/// Words within which a distance run is named as such.
const ODOMETER_WORDS: usize = 3;

/// Systems that only heavy vehicles have.
const HEAVY_SYSTEMS: [&str; 7] =
    ["air-brakes", "heavy-chassis", "coupling", "trailer", "bus", "heavy-engine", "bodies"];

/// Whether only heavy vehicles have this system.
pub fn is_heavy_system(system: &str) -> bool {
    HEAVY_SYSTEMS.contains(&system)
}

/// What every reader of a list must know.
const CAUTIONS: [&str; 3] = [
    "Made from spoken or typed words by a program: read the words behind each line before relying on it.",
    "What nobody spoke of is not in this list, and is not thereby sound.",
    "Local codes and the judgement of a licensed technician come first.",
];

/// Writes the document.
pub fn conclude(dictation: &Dictation, a: &Analysis, with: &Interpreter, settings: Settings) -> Document {
    let scores: Vec<Scores> =
        a.features.iter().map(|f| with.judge.scores(f)).zip(&a.scene.mentions).map(stored).collect();
    let clusters = merge::clusters(&a.reading, &a.scene, &a.territories, &scores);
    let mut findings = Vec::new();
    let mut doubted = Vec::new();
    let mut general_talk = Vec::new();
    let mut cited = vec![false; dictation.utterances.len()];
    let class = settings.vehicle.unwrap_or_else(|| vehicle_class(a));
    let speaks: Vec<bool> = scores.iter().map(|s| best(s).is_verdict()).collect();
    let listed = attributes::urgencies(&a.reading, &a.scene);
    let ground = Ground {
        reading: &a.reading,
        scene: &a.scene,
        territories: &a.territories,
        speaks: &speaks,
        listed: &listed,
        withdrawn_numbers: &a.withdrawn_numbers,
        metric: a.metric,
    };
    let scribe = Scribe { dictation, analysis: a, with, ground, class, jurisdiction: settings.jurisdiction };
    for c in &clusters {
        let component = a.scene.components[c.component].clone();
        match verdict(c.class()) {
            Some(v) => {
                let finding = scribe.held_to_limits(c, v, component);
                let listed = finding.fails_limit() || finding.confidence >= LEAST_SURE;
                if listed { findings.push(finding) } else { doubted.push(finding) }
            }
            None if c.class() == Class::General => {
                let spans: Vec<(usize, usize, Role)> = c
                    .mentions
                    .iter()
                    .map(|i| (a.scene.mentions[*i].first, a.scene.mentions[*i].end, Role::Component))
                    .collect();
                general_talk.push(GeneralTalk { component, evidence: evidence(dictation, a, &spans) });
            }
            None => {}
        }
    }
    let withdrawn: Vec<Withdrawn> = a
        .taken_back
        .iter()
        .map(|t| {
            let m = &a.scene.mentions[t.mention];
            Withdrawn {
                component: a.scene.components[m.component].clone(),
                position: t.place.positions(),
                evidence: evidence(dictation, a, &[(m.first, m.end, Role::Component)]),
            }
        })
        .collect();
    let all = findings
        .iter()
        .flat_map(|f: &Finding| &f.evidence)
        .chain(general_talk.iter().flat_map(|g: &GeneralTalk| &g.evidence))
        .chain(withdrawn.iter().flat_map(|w| &w.evidence));
    for e in all {
        cited[e.utterance - 1] = true;
    }
    let unplaced = unplaced(dictation, a, &cited, &doubted);
    Document {
        schema: SCHEMA.to_string(),
        source: SourceInfo {
            path: dictation.path.clone(),
            format: dictation.format.as_str().to_string(),
            sha256: dictation.sha256.clone(),
        },
        vehicle: vehicle(a, &with.lexicon.odometer_words),
        utterances: dictation
            .utterances
            .iter()
            .enumerate()
            .map(|(n, u)| UtteranceOut {
                n: n + 1,
                start_ms: u.start_ms,
                end_ms: u.end_ms,
                speaker: u.speaker.clone(),
                text: u.text.clone(),
            })
            .collect(),
        findings,
        general_talk,
        withdrawn,
        unplaced,
        cautions: CAUTIONS.iter().map(|c| (*c).to_string()).collect(),
    }
}

/// A code read out alone is a stored fault, unless what is said around it weighs more.
fn stored((mut scores, mention): (Scores, &Mention)) -> Scores {
    if mention.how == How::Code {
        scores[Class::Defect as usize] += CODE_WEIGHT;
    }
    scores
}

fn verdict(class: Class) -> Option<Verdict> {
    Some(match class {
        Class::Defect => Verdict::Defect,
        Class::Sound => Verdict::Sound,
        Class::Serviced => Verdict::Serviced,
        Class::Unchecked => Verdict::Unchecked,
        Class::General | Class::Nothing => return None,
    })
}

/// What every finding of a dictation is written from.
struct Scribe<'a> {
    dictation: &'a Dictation,
    analysis: &'a Analysis,
    with: &'a Interpreter,
    ground: Ground<'a>,
    class: VehicleClass,
    jurisdiction: Jurisdiction,
}

impl Scribe<'_> {
    /// The finding of a cluster; a figure beyond a published limit is a defect, whatever was said beside it.
    fn held_to_limits(&self, c: &Cluster, verdict: Verdict, component: Component) -> Finding {
        let said = self.finding(c, verdict, component);
        if verdict == Verdict::Defect || !said.fails_limit() {
            return said;
        }
        let mut out = self.finding(c, Verdict::Defect, said.component);
        out.confidence = out.confidence.min(CONTESTED);
        out.why.push(format!("said to be {}, but the figure fails a published limit", verdict.as_str()));
        out
    }

    fn finding(&self, c: &Cluster, verdict: Verdict, component: Component) -> Finding {
        let (dictation, a, with) = (self.dictation, self.analysis, self.with);
        let faulty = matches!(verdict, Verdict::Defect | Verdict::Unchecked);
        let mut attributes = Attributes::new(PartNature::of(&component.name, &with.lexicon().kinds), faulty);
        let mut spans = Vec::new();
        for i in &c.mentions {
            let m = &a.scene.mentions[*i];
            spans.push((m.first, m.end, Role::Component));
            spans.extend(m.place_words.iter().map(|w| (w.0, w.1, Role::Position)));
            attributes.gather(&self.ground, *i);
        }
        attributes.settle();
        if verdict == Verdict::Defect {
            attributes.infer_condition();
        }
        spans.append(&mut attributes.words);
        let mut out = Finding {
            id: String::new(),
            position: c.place.positions(),
            verdict,
            conditions: attributes.conditions,
            urgency: attributes.urgency,
            actions: attributes.actions,
            alternatives: alternatives(c, a, verdict),
            measurements: attributes.measurements,
            confidence: confidence(c, a, with),
            evidence: evidence(dictation, a, &spans),
            why: why(a, with, c),
            review: None,
            component,
        };
        if let Some(id) = attributes.inferred {
            out.why.push(format!("what is wrong was not named: \"{}\" is the likeliest for this part", id.as_str()));
            out.confidence = (out.confidence * 90.0).round() / 100.0;
        }
        limits::apply(&mut out, with.lexicon(), self.class, self.jurisdiction);
        out.id = id(&out, dictation);
        out
    }
}

fn confidence(c: &Cluster, a: &Analysis, with: &Interpreter) -> f64 {
    let match_score = c.mentions.iter().map(|i| a.scene.mentions[*i].score).fold(0.0, f64::max);
    let mut p = with.judge.calibrated(c.probability()) * match_score;
    if is_contested(c) {
        p = p.min(CONTESTED);
    }
    (p.clamp(0.01, 0.99) * 100.0).round() / 100.0
}

/// Called fine or done while a fault is nearly as likely: a defect must not hide behind praise.
fn is_contested(c: &Cluster) -> bool {
    matches!(c.class(), Class::Sound | Class::Serviced) && softmax(&c.scores)[Class::Defect as usize] >= FAULT_LIKELY
}

fn why(a: &Analysis, with: &Interpreter, c: &Cluster) -> Vec<String> {
    let class = c.class();
    let mut out = Vec::new();
    for i in &c.mentions {
        let m = &a.scene.mentions[*i];
        let reasons = with.judge.reasons(&a.features[*i], class, 5);
        let named: Vec<String> = reasons.iter().map(|(n, w)| format!("{n} {w:+.1}")).collect();
        let said = a.reading.words(m.first, m.end);
        out.push(format!("\"{said}\" ({:?}, {:?}): {}", m.naming, m.how, named.join(", ")));
    }
    if is_contested(c) {
        out.push("called fine, but the words may mean a fault as well: look again".into());
    }
    out
}

/// Other repairs offered for the part, each to be put in instead.
fn alternatives(c: &Cluster, a: &Analysis, verdict: Verdict) -> Vec<Alternative> {
    if verdict != Verdict::Defect {
        return Vec::new();
    }
    let offered = |i: &usize| {
        let k = i + 1;
        let instead = a.offered_instead.get(k).copied().flatten();
        (instead == Some(*i)).then(|| a.scene.components[a.scene.mentions[k].component].clone())
    };
    c.mentions
        .iter()
        .filter_map(offered)
        .map(|component| Alternative { component, action: ActionId::Replace })
        .collect()
}

/// Depends on part, place and the words around it, not on line numbers.
fn id(f: &Finding, dictation: &Dictation) -> String {
    let mut h = Sha256::new();
    h.update(f.component.id.as_bytes());
    for p in &f.position {
        h.update(p.as_str().as_bytes());
    }
    if let Some(e) = f.evidence.first() {
        h.update(dictation.utterances[e.utterance - 1].text.as_bytes());
    }
    let digest = h.finalize();
    digest.iter().take(5).map(|b| format!("{b:02x}")).collect()
}

/// Token ranges as evidence: cut at line ends, sorted, without repeats.
fn evidence(dictation: &Dictation, a: &Analysis, spans: &[(usize, usize, Role)]) -> Vec<Evidence> {
    let mut out: Vec<Evidence> = Vec::new();
    for &(first, end, role) in spans {
        let mut t = first;
        while t < end {
            let n = a.reading.tokens[t].span.utterance;
            let mut last = t;
            while last + 1 < end && a.reading.tokens[last + 1].span.utterance == n {
                last += 1;
            }
            let (from, to) = (a.reading.tokens[t].span.start, a.reading.tokens[last].span.end);
            let u = &dictation.utterances[n];
            let (start_ms, end_ms) = u.time_of(from, to);
            out.push(Evidence {
                utterance: n + 1,
                start: from,
                end: to,
                start_ms,
                end_ms,
                role,
                text: u.text[from..to].to_string(),
            });
            t = last + 1;
        }
    }
    out.sort_by_key(|e| (e.utterance, e.start, e.end, e.role));
    out.dedup();
    out
}

fn unplaced(dictation: &Dictation, a: &Analysis, cited: &[bool], doubted: &[Finding]) -> Vec<Unplaced> {
    let r = &a.reading;
    let n = dictation.utterances.len();
    let mut part = vec![false; n];
    let mut fault = vec![false; n];
    let mut other = vec![false; n];
    // words may run over the end of a line: both lines carry them
    let mark = |lines: &mut [bool], first: usize, end: usize| {
        for t in &r.tokens[first..end] {
            lines[t.span.utterance] = true;
        }
    };
    for p in &r.mentions.parts {
        mark(&mut part, p.first, p.end);
    }
    for m in &a.scene.mentions {
        mark(&mut part, m.first, m.end);
    }
    for s in &r.signals {
        match s.says {
            Says::Defect(_) | Says::SomeDefect => mark(&mut fault, s.first, s.end),
            Says::Cue(_) | Says::Degree(_) => {}
            // "Right rear now.": says where the talk goes on
            Says::Urgency(_) if s.weak => {}
            _ => mark(&mut other, s.first, s.end),
        }
    }
    for m in r.measures.iter().filter(|m| m.unit.is_some()) {
        mark(&mut other, m.first, m.end);
    }
    for c in &r.codes {
        mark(&mut fault, c.0, c.1);
    }
    // what was too unsure for a finding: a fault is shown even where another finding has the line
    let mut perhaps: BTreeMap<usize, &Finding> = BTreeMap::new();
    for f in doubted {
        let Some(e) = f.evidence.iter().find(|e| e.role == Role::Component) else { continue };
        if f.verdict == Verdict::Defect || !cited[e.utterance - 1] {
            perhaps.entry(e.utterance - 1).or_insert(f);
        }
    }
    (0..n)
        .filter(|u| perhaps.contains_key(u) || (!cited[*u] && (part[*u] || fault[*u] || other[*u])))
        .map(|u| {
            let reason = match (perhaps.get(&u), part[u], fault[u]) {
                (Some(f), ..) => format!("perhaps {}, {}: too unsure to list", f.component.name, f.verdict.as_str()),
                (None, false, true) => "condition without a part".to_string(),
                (None, true, true) => "part and condition that were not taken for a finding".to_string(),
                (None, true, false) => "part with nothing clear said of it".to_string(),
                (None, false, false) => "verdict, action or figure without a part".to_string(),
            };
            Unplaced { utterance: u + 1, text: dictation.utterances[u].text.clone(), reason }
        })
        .collect()
}

fn vehicle(a: &Analysis, odometer_words: &HashSet<String>) -> Vehicle {
    let r = &a.reading;
    let limit = r.tokens.len().min(120);
    let odometer = r.measures.iter().take_while(|m| m.first < limit).filter(|m| m.value >= 1000.0).find_map(|m| {
        let named = || {
            r.tokens[m.first.saturating_sub(ODOMETER_WORDS)..m.first].iter().any(|t| odometer_words.contains(&t.word))
        };
        let unit = match m.unit {
            Some(unit @ (Unit::Mile | Unit::Kilometre)) => unit,
            None if named() => Unit::Mile,
            _ => return None,
        };
        Some(Odometer { value: m.value, unit })
    });
    let identification = (0..limit.saturating_sub(1)).find_map(|i| {
        let t = &r.tokens[i];
        let next = &r.tokens[i + 1];
        let named = matches!(
            t.norm.as_str(),
            "unit" | "truck" | "van" | "bus" | "tractor" | "trailer" | "taxi" | "car" | "coach"
        );
        let numbered =
            matches!(next.kind, Kind::Number(_)) || r.measures.iter().any(|m| m.first == i + 1 && m.unit.is_none());
        (named && numbered && t.span.utterance == next.span.utterance).then(|| {
            let value = r
                .measures
                .iter()
                .find(|m| m.first == i + 1)
                .map_or_else(|| next.word.clone(), |m| format!("{}", m.value));
            format!("{} {value}", t.word)
        })
    });
    Vehicle { odometer, identification }
}

/// Light or heavy, by the parts spoken of.
fn vehicle_class(a: &Analysis) -> VehicleClass {
    let of_heavy = |m: &&Mention| is_heavy_system(&a.scene.components[m.component].system);
    let n = a.scene.mentions.iter().filter(of_heavy).count();
    if n >= 3 && n * 10 >= a.scene.mentions.len() { VehicleClass::Heavy } else { VehicleClass::Light }
}
