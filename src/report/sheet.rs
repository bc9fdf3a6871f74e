//! Owns what a report for people holds and in which order; the table and Markdown only lay it out.

use crate::findings::{Component, Document, Finding, Vehicle};
use crate::lexicon::{UrgencyId, Verdict};

use super::quote::{self, Quote};
use super::wording;

/// Heads of the report, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // the names say it
pub enum Group {
    Stop,
    Now,
    Soon,
    Watch,
    OtherDefect,
    Unchecked,
    Serviced,
    Sound,
}

impl Group {
    /// All of them, worst first.
    pub const ALL: [Group; 8] = [
        Group::Stop,
        Group::Now,
        Group::Soon,
        Group::Watch,
        Group::OtherDefect,
        Group::Unchecked,
        Group::Serviced,
        Group::Sound,
    ];

    /// What is pressing goes by its urgency whatever is said of it, so that a failed figure is never filed under sound.
    pub fn of(f: &Finding) -> Group {
        match (f.urgency, f.verdict) {
            (Some(UrgencyId::Stop), _) => Group::Stop,
            (Some(UrgencyId::Now), _) => Group::Now,
            (Some(UrgencyId::Soon), _) => Group::Soon,
            (Some(UrgencyId::Watch), _) => Group::Watch,
            (None, _) if f.fails_limit() => Group::OtherDefect,
            (None, Verdict::Defect) => Group::OtherDefect,
            (None, Verdict::Unchecked) => Group::Unchecked,
            (None, Verdict::Serviced) => Group::Serviced,
            (None, Verdict::Sound) => Group::Sound,
        }
    }

    /// Its heading.
    pub fn title(self) -> &'static str {
        match self {
            Group::Stop => "Do not drive",
            Group::Now => "Needs doing now",
            Group::Soon => "Needs doing soon",
            Group::Watch => "Keep an eye on",
            Group::OtherDefect => "Other defects, urgency not said",
            Group::Unchecked => "Not checked",
            Group::Serviced => "Serviced before",
            Group::Sound => "Sound",
        }
    }

    /// Its word within a summary, behind a count.
    fn counted(self) -> &'static str {
        match self {
            Group::Stop => "do not drive",
            Group::Now => "now",
            Group::Soon => "soon",
            Group::Watch => "to watch",
            Group::OtherDefect => "with no urgency said",
            Group::Unchecked => "not checked",
            Group::Serviced => "serviced",
            Group::Sound => "sound",
        }
    }
}

/// One finding, worded.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Number in the report.
    pub number: usize,
    /// The part, and what is known of where.
    pub part: String,
    /// Place as the trade says it; may be empty.
    pub place: String,
    /// Start of the id that is enough to tell it from the others.
    pub id: String,
    /// What is to be minded first: doubts, failed figures.
    pub alerts: Vec<String>,
    /// What is wrong, figures, what to do: a line each.
    pub facts: Vec<String>,
    /// The words.
    pub quotes: Vec<Quote>,
}

/// Something that is no finding: what it is about and the words.
#[derive(Debug, Clone)]
pub struct Aside {
    /// Part and place, or why it stands here.
    pub about: String,
    /// The words.
    pub quotes: Vec<Quote>,
}

/// A report, worded and in order.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// The vehicle, or the source where it was not named.
    pub title: String,
    /// The source and how much was said.
    pub source: String,
    /// How many of each group.
    pub summary: String,
    /// Groups that hold something, worst first.
    pub groups: Vec<(Group, Vec<Entry>)>,
    /// Sections behind the findings that hold something.
    pub asides: Vec<(&'static str, Vec<Aside>)>,
    /// What every reader must know.
    pub cautions: Vec<String>,
}

impl Sheet {
    /// Words a document.
    pub fn of(document: &Document) -> Sheet {
        let groups: Vec<(Group, Vec<Entry>)> = grouped(document)
            .into_iter()
            .map(|(group, found)| (group, found.into_iter().map(|(n, f)| entry(document, f, group, n)).collect()))
            .collect();
        Sheet {
            title: title(&document.vehicle),
            source: format!(
                "{}, {}",
                wording::shown(&document.source.path),
                wording::count(document.utterances.len(), "line", "lines")
            ),
            summary: summary(document, &groups),
            groups,
            asides: asides(document),
            cautions: document.cautions.iter().map(|c| wording::shown(c)).collect(),
        }
    }
}

/// Findings with their numbers, which are the same in every report of a document.
pub type Numbered<'d> = Vec<(usize, &'d Finding)>;

/// The groups that hold something, worst first, with their findings in the order they were spoken of.
pub fn grouped(document: &Document) -> Vec<(Group, Numbered<'_>)> {
    let mut number = 0;
    let of = |group: Group| {
        let found: Numbered<'_> = document
            .findings
            .iter()
            .filter(|f| Group::of(f) == group)
            .map(|f| {
                number += 1;
                (number, f)
            })
            .collect();
        (group, found)
    };
    Group::ALL.into_iter().map(of).filter(|(_, found)| !found.is_empty()).collect()
}

fn title(vehicle: &Vehicle) -> String {
    let name = vehicle.identification.as_deref().map_or_else(|| "vehicle not named".into(), wording::shown);
    match &vehicle.odometer {
        Some(o) => format!("Findings: {name}, {}", wording::quantity(o.value, o.unit)),
        None => format!("Findings: {name}"),
    }
}

fn summary(document: &Document, groups: &[(Group, Vec<Entry>)]) -> String {
    if document.utterances.is_empty() {
        return "Nothing was said in it.".into();
    }
    let unplaced = document.unplaced.len();
    let list = |from: Group, to: Group| -> String {
        let kept = groups.iter().filter(|(g, _)| *g >= from && *g <= to);
        kept.map(|(g, e)| format!("{} {}", e.len(), g.counted())).collect::<Vec<_>>().join(", ")
    };
    let attention: usize = groups.iter().filter(|(g, _)| *g <= Group::OtherDefect).map(|(_, e)| e.len()).sum();
    let rest = list(Group::Unchecked, Group::Sound);
    let mut out = match attention {
        // a fault may be among the words that no part was found for
        0 if unplaced > 0 => "No defect was placed on a part, which does not mean that there is none.".to_string(),
        0 => "No defects found in what was said.".to_string(),
        n => format!("{} attention: {}.", wording::count(n, "needs", "need"), list(Group::Stop, Group::OtherDefect)),
    };
    if !rest.is_empty() {
        out += &format!(" Besides: {rest}.");
    }
    if unplaced > 0 {
        out += &format!(
            " {} not be placed on a part; see the end.",
            wording::count(unplaced, "line could", "lines could")
        );
    }
    out
}

fn entry(document: &Document, f: &Finding, group: Group, number: usize) -> Entry {
    let mut alerts = Vec::new();
    let contradicted = f.verdict == Verdict::Sound && f.fails_limit();
    if contradicted {
        alerts.push("called sound, but a figure said fails its limit: look again".to_string());
    }
    alerts.extend(wording::doubt(f));
    let mut facts = Vec::new();
    let mut wrong: Vec<String> = f.conditions.iter().map(wording::condition).collect();
    if f.verdict != Verdict::Defect && group < Group::Unchecked && !contradicted {
        wrong.insert(0, wording::verdict(f.verdict).to_string());
    }
    if f.verdict == Verdict::Defect && wrong.is_empty() && f.actions.is_empty() {
        wrong.push("what is wrong was not made out: read the words".into());
    }
    facts.extend((!wrong.is_empty()).then(|| wrong.join(", ")));
    facts.extend((!f.measurements.is_empty()).then(|| measured(f)));
    facts.extend(to_do(f));
    Entry {
        number,
        part: part(&f.component),
        place: wording::place(&f.position),
        id: short_id(document, &f.id),
        alerts,
        facts,
        quotes: quote::quotes(document, &f.evidence),
    }
}

/// The figures said.
pub fn measured(f: &Finding) -> String {
    let figures: Vec<String> = f.measurements.iter().map(wording::measurement).collect();
    format!("measured {}", figures.join("; "))
}

/// What is to be done, with other repairs offered, behind "to do".
pub fn to_do(f: &Finding) -> Option<String> {
    work(f).map(|work| format!("to do{} {work}", if f.actions.is_empty() { "," } else { ":" }))
}

/// What is to be done, with other repairs offered.
pub fn work(f: &Finding) -> Option<String> {
    let actions: Vec<&str> = f.actions.iter().map(|a| wording::action(*a)).collect();
    let other = f.alternatives.iter().map(|a| {
        let same = a.component.id == f.component.id;
        let what = if same { "it".to_string() } else { format!("the {}", part(&a.component)) };
        format!("{} {what}", wording::action(a.action))
    });
    let other: Vec<String> = other.collect();
    match (actions.is_empty(), other.is_empty()) {
        (true, true) => None,
        (false, true) => Some(actions.join(", ")),
        (true, false) => Some(format!("one of: {}", other.join(", or "))),
        (false, false) => Some(format!("{}; or else {}", actions.join(", "), other.join(", or "))),
    }
}

/// The part's name, or its id where it has none.
pub fn part(c: &Component) -> String {
    if c.name.is_empty() { c.id.replace('-', " ") } else { wording::shown(&c.name) }
}

/// Part and place in one phrase.
pub fn part_at(c: &Component, position: &[crate::lexicon::Position]) -> String {
    wording::at(&part(c), position)
}

/// The start of an id, at least four characters, that no other finding of the document shares.
pub fn short_id(document: &Document, id: &str) -> String {
    let enough = (4..=id.chars().count())
        .map(|n| id.chars().take(n).collect::<String>())
        .find(|start| document.findings.iter().filter(|f| f.id.starts_with(start.as_str())).count() <= 1);
    wording::shown(&enough.unwrap_or_else(|| id.to_string()))
}

fn asides(document: &Document) -> Vec<(&'static str, Vec<Aside>)> {
    let mut unplaced: Vec<Aside> = Vec::new();
    for u in &document.unplaced {
        let (about, quote) = (wording::shown(&u.reason), quote::whole(document, u.utterance, &u.text));
        match unplaced.iter_mut().find(|a| a.about == about) {
            Some(known) => known.quotes.push(quote),
            None => unplaced.push(Aside { about, quotes: vec![quote] }),
        }
    }
    let general = document
        .general_talk
        .iter()
        .map(|g| Aside { about: part(&g.component), quotes: quote::quotes(document, &g.evidence) });
    let back = document
        .withdrawn
        .iter()
        .map(|w| Aside { about: part_at(&w.component, &w.position), quotes: quote::quotes(document, &w.evidence) });
    let sections: [(&'static str, Vec<Aside>); 3] = [
        ("Spoken of in general, not of this vehicle", general.collect()),
        ("Taken back", back.collect()),
        ("Not placed on any part: read these yourself", unplaced),
    ];
    sections.into_iter().filter(|(_, a)| !a.is_empty()).collect()
}
