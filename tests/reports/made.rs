//! A document made by hand that holds everything a report can show. Larkfield depot and all its vehicles are invented.

use hoistnote::findings::{
    Alternative, Component, Condition, Document, Evidence, Finding, GeneralTalk, LimitCheck, Measurement, Odometer,
    Role, SCHEMA, SourceInfo, Unplaced, UtteranceOut, Vehicle, Withdrawn,
};
use hoistnote::lexicon::{ActionId, ConditionId, DegreeId, Position, UrgencyId, Verdict};
use hoistnote::text::Unit;

use Position::{Front, Left, Lower, Rear, Right};

const LINES: [&str; 12] = [
    "Unit 14, high-roof van, Larkfield depot, seventy-one four on the clock.",
    "Brake pads left front, two millimeters, don't send it out like that.",
    "Lower ball joint, left front, has a little play, replace it or the whole control arm.",
    "Battery reads low, charge it soon.",
    "Shocks all round are a touch damp, keep an eye on them.",
    "Rear light left, lens is cracked = I'd call it.",
    "Couldn't see the clutch.",
    "Belt was done last month.",
    "Tires all four, fine. Well, one of them reads three thirty-seconds, \"fine\" he says.",
    "These hoses always go soft on this type, that's *just* how they are.",
    "Right, no, the left one <that> is loose.",
    "Something rattles back there.",
];

/// Evidence for the first place where `words` stand in a line, timed by its line.
fn said(line: usize, words: &str, role: Role) -> Evidence {
    let text = LINES[line - 1];
    let Some(start) = text.find(words) else { panic!("{words:?} is not in line {line}") };
    let (start_ms, end_ms) = times(line);
    Evidence { utterance: line, start, end: start + words.len(), start_ms, end_ms, role, text: words.into() }
}

/// The last line has no time.
fn times(line: usize) -> (Option<u64>, Option<u64>) {
    let start = line as u64 * 31_000;
    if line == LINES.len() { (None, None) } else { (Some(start), Some(start + 4_000)) }
}

fn part(name: &str, system: &str) -> Component {
    Component { id: name.replace(' ', "-"), name: name.into(), system: system.into(), aliases: Vec::new() }
}

fn condition(id: ConditionId, degree: Option<DegreeId>) -> Condition {
    Condition { id, degree }
}

/// A finding with nothing but a part, a place, a verdict and its words.
fn finding(
    id: &str,
    component: Component,
    position: &[Position],
    verdict: Verdict,
    evidence: Vec<Evidence>,
) -> Finding {
    Finding {
        id: id.into(),
        component,
        position: position.to_vec(),
        verdict,
        conditions: Vec::new(),
        urgency: None,
        actions: Vec::new(),
        alternatives: Vec::new(),
        measurements: Vec::new(),
        confidence: 0.93,
        evidence,
        why: Vec::new(),
        review: None,
    }
}

fn limit(value: f64, unit: Unit, rule: &str, fails_at: f64, passed_limit: bool) -> Measurement {
    let source = "depot rule book, page 3".to_string();
    Measurement {
        value,
        unit,
        limit: Some(LimitCheck { rule: rule.into(), value: fails_at, unit, passed_limit, source }),
    }
}

fn figure(value: f64, unit: Unit) -> Measurement {
    Measurement { value, unit, limit: None }
}

fn defects() -> Vec<Finding> {
    use Role::{Action, Component, Condition, Measurement, Position, Urgency};
    vec![
        Finding {
            urgency: Some(UrgencyId::Watch),
            conditions: vec![condition(ConditionId::Seep, Some(DegreeId::Slight))],
            actions: vec![ActionId::Monitor],
            ..finding(
                "5e00aa0001",
                part("shock absorber", "suspension"),
                &[Front, Rear, Left, Right],
                Verdict::Defect,
                vec![said(5, "Shocks", Component)],
            )
        },
        Finding {
            urgency: Some(UrgencyId::Stop),
            conditions: vec![condition(ConditionId::Thin, Some(DegreeId::Severe))],
            measurements: vec![limit(2.0, Unit::Millimetre, "pad-thickness", 3.2, true)],
            why: vec![
                "\"Brake pads\" (Named, Exact): after:measured +1.1, after/like that +0.6".into(),
                "limit passed: pad-thickness".into(),
            ],
            ..finding(
                "a1b2c30002",
                part("brake pad", "brakes"),
                &[Front, Left],
                Verdict::Defect,
                vec![
                    said(2, "Brake pads", Component),
                    said(2, "left front", Position),
                    said(2, "two millimeters", Measurement),
                    said(2, "don't send it out", Urgency),
                ],
            )
        },
        Finding {
            urgency: Some(UrgencyId::Now),
            conditions: vec![condition(ConditionId::Play, Some(DegreeId::Slight))],
            actions: vec![ActionId::Replace],
            alternatives: vec![Alternative { component: part("control arm", "suspension"), action: ActionId::Replace }],
            ..finding(
                "a1b2c40003",
                part("ball joint", "suspension"),
                &[Front, Left, Lower],
                Verdict::Defect,
                vec![said(3, "Lower ball joint", Component), said(3, "play", Condition), said(3, "replace it", Action)],
            )
        },
        Finding {
            urgency: Some(UrgencyId::Soon),
            conditions: vec![condition(ConditionId::Low, None)],
            measurements: vec![figure(-12.5, Unit::Celsius)],
            confidence: 0.61,
            ..finding(
                "bb00000004",
                part("battery", "electrical"),
                &[],
                Verdict::Defect,
                vec![said(4, "Battery", Component)],
            )
        },
        Finding {
            conditions: vec![condition(ConditionId::Crack, None), condition(ConditionId::Missing, None)],
            confidence: 0.31,
            ..finding(
                "cc00000005",
                part("tail lamp", "lights"),
                &[Rear, Left],
                Verdict::Defect,
                vec![said(6, "Rear light left", Component), said(6, "cracked", Condition)],
            )
        },
    ]
}

fn others() -> Vec<Finding> {
    let tires = part("tire", "wheels-tires");
    vec![
        finding(
            "dd00000006",
            part("clutch", "driveline"),
            &[],
            Verdict::Unchecked,
            vec![said(7, "clutch", Role::Component)],
        ),
        finding(
            "ee00000007",
            part("serpentine belt", "engine"),
            &[Front],
            Verdict::Serviced,
            vec![said(8, "Belt", Role::Component)],
        ),
        finding("ff00000008", tires.clone(), &[Left, Right], Verdict::Sound, vec![said(9, "Tires", Role::Component)]),
        // called fine, while the figure fails: it must not stand among the sound ones
        Finding {
            urgency: Some(UrgencyId::Now),
            measurements: vec![limit(3.0, Unit::ThirtySecond, "steer-tread", 4.0, true)],
            ..finding(
                "ff10000009",
                tires,
                &[Front],
                Verdict::Sound,
                vec![said(9, "Tires", Role::Component), said(9, "fine", Role::Verdict)],
            )
        },
    ]
}

/// The document.
pub fn document() -> Document {
    let utterances = LINES.iter().enumerate().map(|(i, text)| {
        let (start_ms, end_ms) = times(i + 1);
        let speaker = (i == 11).then(|| "driver".to_string());
        UtteranceOut { n: i + 1, start_ms, end_ms, speaker, text: (*text).into() }
    });
    let (hose, lamp) = (part("coolant hose", "cooling"), part("mirror", "body"));
    Document {
        schema: SCHEMA.into(),
        source: SourceInfo { path: "larkfield/unit-14.vtt".into(), format: "webvtt".into(), sha256: "00".repeat(32) },
        vehicle: Vehicle {
            odometer: Some(Odometer { value: 71400.0, unit: Unit::Mile }),
            identification: Some("unit 14".into()),
        },
        utterances: utterances.collect(),
        findings: defects().into_iter().chain(others()).collect(),
        general_talk: vec![GeneralTalk { component: hose, evidence: vec![said(10, "hoses", Role::Component)] }],
        withdrawn: vec![Withdrawn {
            component: lamp,
            position: vec![Right],
            evidence: vec![said(11, "Right", Role::Position)],
        }],
        unplaced: vec![Unplaced { utterance: 12, text: LINES[11].into(), reason: "condition without a part".into() }],
        cautions: vec!["Made by hand for the tests.".into()],
    }
}

/// A document in which nothing was found.
pub fn empty() -> Document {
    Document {
        findings: vec![],
        general_talk: vec![],
        withdrawn: vec![],
        unplaced: vec![],
        vehicle: Vehicle::default(),
        ..document()
    }
}
