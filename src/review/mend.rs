//! Owns what a change does to a finding, and what several findings are together. Pure.

use crate::findings::{Component, Finding, Measurement};
use crate::lexicon::{Position, Verdict};

use super::decision::{Change, Content, Figure, Named};

/// Holds the figures of a finding against the published limits.
pub type Limits<'l> = &'l dyn Fn(&mut Finding);

/// Makes the change. Figures are held against the limits again where what they depend on has changed.
pub fn apply(finding: &mut Finding, change: &Change<Named>, limits: Limits) {
    let held_anew = change.part.is_some() || change.place.is_some() || change.measurements.is_some();
    if let Some(part) = &change.part
        && part.id != finding.component.id
    {
        finding.component = component(part);
    }
    if let Some(place) = &change.place {
        finding.position.clone_from(place);
    }
    if let Some(verdict) = change.verdict {
        finding.verdict = verdict;
    }
    if let Some(conditions) = &change.conditions {
        finding.conditions.clone_from(conditions);
    }
    if let Some(actions) = &change.actions {
        finding.actions.clone_from(actions);
    }
    if let Some(figures) = &change.measurements {
        let bare = |f: &Figure| Measurement { value: f.value, unit: f.unit, limit: None };
        finding.measurements = figures.iter().map(bare).collect();
    }
    if held_anew {
        finding.measurements.iter_mut().for_each(|m| m.limit = None);
        limits(finding);
    }
    if let Some(urgency) = change.urgency {
        finding.urgency = urgency;
    }
}

/// A part that was named by a person.
pub fn component(part: &Named) -> Component {
    Component { id: part.id.clone(), name: part.name.clone(), system: part.system.clone(), aliases: Vec::new() }
}

/// What the fields that a change touches are now.
pub fn before(finding: &Finding, change: &Change<Named>) -> Change<Named> {
    let now = Content::from(finding);
    let wording = || finding.review.as_ref().and_then(|r| r.wording.clone()).unwrap_or_default();
    Change {
        part: change.part.as_ref().map(|_| now.part),
        place: change.place.as_ref().map(|_| now.place),
        verdict: change.verdict.map(|_| now.verdict),
        conditions: change.conditions.as_ref().map(|_| now.conditions),
        urgency: change.urgency.map(|_| now.urgency),
        actions: change.actions.as_ref().map(|_| now.actions),
        measurements: change.measurements.as_ref().map(|_| now.measurements),
        wording: change.wording.as_ref().map(|_| wording()),
    }
}

/// All that a finding says, as a change: what it was before a correction.
pub fn whole(finding: &Finding, change: &Change<Named>) -> Change<Named> {
    let now = Content::from(finding);
    Change {
        part: Some(now.part),
        place: Some(now.place),
        verdict: Some(now.verdict),
        conditions: Some(now.conditions),
        urgency: Some(now.urgency),
        actions: Some(now.actions),
        measurements: Some(now.measurements),
        wording: before(finding, change).wording,
    }
}

/// Whether what a correction left alone still reads as it did then.
pub fn leaves_as_read(finding: &Finding, was: &Change<Named>, change: &Change<Named>) -> bool {
    fn same<T: PartialEq>(was: Option<&T>, changed: bool, now: &T) -> bool {
        changed || was.is_none_or(|w| w == now)
    }
    let now = Content::from(finding);
    let part = was.part.as_ref().map(|p| &p.id);
    same(part, change.part.is_some(), &now.part.id)
        && same(was.place.as_ref(), change.place.is_some(), &now.place)
        && same(was.verdict.as_ref(), change.verdict.is_some(), &now.verdict)
        && same(was.conditions.as_ref(), change.conditions.is_some(), &now.conditions)
        && same(was.urgency.as_ref(), change.urgency.is_some(), &now.urgency)
        && same(was.actions.as_ref(), change.actions.is_some(), &now.actions)
        && same(was.measurements.as_ref(), change.measurements.is_some(), &now.measurements)
}

/// Takes another finding's words and attributes in; what is graver wins.
pub fn take_in(into: &mut Finding, other: Finding) {
    fn join<T: PartialEq>(list: &mut Vec<T>, more: Vec<T>) {
        for item in more {
            if !list.contains(&item) {
                list.push(item);
            }
        }
    }
    let same_part = into.component.id == other.component.id;
    if same_part || into.position.is_empty() {
        join(&mut into.position, other.position);
        into.position.sort_unstable();
    }
    into.verdict = gravest(into.verdict, other.verdict);
    into.urgency = match (into.urgency, other.urgency) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    into.confidence = into.confidence.min(other.confidence);
    join(&mut into.conditions, other.conditions);
    join(&mut into.actions, other.actions);
    join(&mut into.alternatives, other.alternatives);
    join(&mut into.measurements, other.measurements);
    join(&mut into.evidence, other.evidence);
    into.evidence.sort_by_key(|e| (e.utterance, e.start, e.end));
    join(&mut into.why, other.why);
}

fn gravest(a: Verdict, b: Verdict) -> Verdict {
    let rank = |v: Verdict| match v {
        Verdict::Defect => 0,
        Verdict::Unchecked => 1,
        Verdict::Serviced => 2,
        Verdict::Sound => 3,
    };
    if rank(a) <= rank(b) { a } else { b }
}

/// The single places that a place of several is made of, in the order front left, front right, rear left, rear right.
pub fn corners(place: &[Position]) -> Vec<Vec<Position>> {
    let of = |all: [Position; 2]| all.into_iter().filter(|p| place.contains(p)).collect::<Vec<_>>();
    let (ends, sides) = (of([Position::Front, Position::Rear]), of([Position::Left, Position::Right]));
    let rest: Vec<Position> = place.iter().copied().filter(|p| !ends.contains(p) && !sides.contains(p)).collect();
    let each = |some: Vec<Position>| if some.is_empty() { vec![None] } else { some.into_iter().map(Some).collect() };
    let mut out = Vec::new();
    for end in each(ends) {
        for side in each(sides.clone()) {
            out.push(end.into_iter().chain(side).chain(rest.iter().copied()).collect());
        }
    }
    out
}

/// Whether both say the same of the same part at the same place.
pub fn is_same(a: &Content, b: &Content) -> bool {
    a.part.id == b.part.id
        && a.place == b.place
        && a.verdict == b.verdict
        && a.conditions == b.conditions
        && a.urgency == b.urgency
        && a.actions == b.actions
        && a.measurements == b.measurements
}

/// Whether what was dropped is still what would be dropped: nothing about it has become graver.
pub fn is_no_graver(now: &Content, dropped: &Content) -> bool {
    let pressing = |c: &Content| c.urgency.map_or(u8::MAX, |u| u as u8);
    now.verdict == dropped.verdict && pressing(now) >= pressing(dropped)
}
