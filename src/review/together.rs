//! Owns putting documents of one inspection together: typed notes with times among the words they were typed at, and what was said in
//! one and said or typed again in another as one finding.

use crate::findings::{Document, Evidence, Finding};
use crate::lexicon::UrgencyId;

/// Who is named as speaking a line that was typed.
const TYPED: &str = "typed";

/// Puts a document's lines, and all that rests on them, behind those of another.
pub(super) fn behind(into: &mut Document, mut more: Document) {
    let by = into.utterances.len();
    renumber(&mut more, &|n| n + by);
    append(into, more);
}

/// Puts the lines of notes with times among the lines of a dictation. Each file was read by itself, so that what was typed moves no
/// corner and no subject of the talk.
pub(super) fn weave(into: &mut Document, mut notes: Document) {
    let starts: Vec<u64> = times(into);
    let typed = times(&notes);
    // a note stands behind the last line that had begun when it was typed
    let before: Vec<usize> = typed.iter().map(|at| starts.partition_point(|s| s <= at)).collect();
    let note_at: Vec<usize> = before.iter().enumerate().map(|(i, said)| said + i + 1).collect();
    let said_at: Vec<usize> = (0..starts.len()).map(|k| k + 1 + before.partition_point(|said| *said <= k)).collect();
    let by = |at: Vec<usize>| move |n: usize| n.checked_sub(1).and_then(|i| at.get(i)).copied().unwrap_or(n);
    renumber(into, &by(said_at));
    renumber(&mut notes, &by(note_at));
    for u in &mut notes.utterances {
        u.speaker.get_or_insert_with(|| TYPED.to_string());
    }
    append(into, notes);
    into.utterances.sort_by_key(|u| u.n);
    let first = |f: &Finding| f.evidence.iter().map(|e| (e.utterance, e.start)).min();
    into.findings.sort_by_key(first);
    into.unplaced.sort_by_key(|u| u.utterance);
}

/// When each line was said or typed; lines without a time belong to the one before. Never runs back.
fn times(d: &Document) -> Vec<u64> {
    let mut last = 0;
    let forward = |u: &crate::findings::UtteranceOut| {
        last = u.start_ms.unwrap_or(last).max(last);
        last
    };
    d.utterances.iter().map(forward).collect()
}

fn renumber(d: &mut Document, to: &dyn Fn(usize) -> usize) {
    let all = |evidence: &mut Vec<Evidence>| evidence.iter_mut().for_each(|e| e.utterance = to(e.utterance));
    d.utterances.iter_mut().for_each(|u| u.n = to(u.n));
    d.findings.iter_mut().for_each(|f| all(&mut f.evidence));
    d.general_talk.iter_mut().for_each(|g| all(&mut g.evidence));
    d.withdrawn.iter_mut().for_each(|w| all(&mut w.evidence));
    d.unplaced.iter_mut().for_each(|u| u.utterance = to(u.utterance));
}

fn append(into: &mut Document, d: Document) {
    if !into.source.format.split(", ").any(|f| f == d.source.format) {
        into.source.format = format!("{}, {}", into.source.format, d.source.format);
    }
    into.vehicle.odometer = into.vehicle.odometer.take().or(d.vehicle.odometer);
    into.vehicle.identification = into.vehicle.identification.take().or(d.vehicle.identification);
    into.utterances.extend(d.utterances);
    let known = into.findings.len();
    for f in d.findings {
        match same(&into.findings[..known], &f) {
            Some(at) => add(&mut into.findings[at], f),
            None => into.findings.push(f),
        }
    }
    into.general_talk.extend(d.general_talk);
    into.withdrawn.extend(d.withdrawn);
    into.unplaced.extend(d.unplaced);
    for c in d.cautions {
        if !into.cautions.contains(&c) {
            into.cautions.push(c);
        }
    }
}

/// The finding that another one says again: the same part with the same verdict, at the same place, or with a place in one of them
/// that the other leaves open, where there is only one such. Where their figures differ they stay apart, for a person to see both.
fn same(known: &[Finding], f: &Finding) -> Option<usize> {
    let fits = |k: &Finding| {
        k.component.id == f.component.id
            && k.verdict == f.verdict
            && k.measurements.iter().all(|a| f.measurements.iter().all(|b| a.unit != b.unit || a.value == b.value))
    };
    let all: Vec<usize> = (0..known.len()).filter(|i| fits(&known[*i])).collect();
    if let Some(exact) = all.iter().find(|i| is_same_place(&known[**i], f)) {
        return Some(*exact);
    }
    let within = |a: &Finding, b: &Finding| a.position.iter().all(|p| b.position.contains(p));
    let near: Vec<usize> = all.into_iter().filter(|i| within(&known[*i], f) || within(f, &known[*i])).collect();
    match near.as_slice() {
        // "all four" holds a corner, and says more than it
        [only] if !is_several(&known[*only]) && !is_several(f) => Some(*only),
        _ => None,
    }
}

fn is_same_place(a: &Finding, b: &Finding) -> bool {
    a.position.len() == b.position.len() && a.position.iter().all(|p| b.position.contains(p))
}

/// Whether a finding is of more than one place.
fn is_several(f: &Finding) -> bool {
    use crate::lexicon::Position::{Front, Left, Rear, Right};
    let has = |p| f.position.contains(&p);
    (has(Left) && has(Right)) || (has(Front) && has(Rear))
}

/// Adds to a finding what was said of it elsewhere.
fn add(to: &mut Finding, more: Finding) {
    let pressing = |u: Option<UrgencyId>| {
        u.map_or(usize::MAX, |u| UrgencyId::ALL.iter().position(|k| *k == u).unwrap_or(usize::MAX))
    };
    if more.position.len() > to.position.len() {
        to.position = more.position;
    }
    for c in more.conditions {
        match to.conditions.iter_mut().find(|k| k.id == c.id) {
            Some(known) => known.degree = known.degree.or(c.degree),
            None => to.conditions.push(c),
        }
    }
    if pressing(more.urgency) < pressing(to.urgency) {
        to.urgency = more.urgency;
    }
    extend(&mut to.actions, more.actions);
    extend(&mut to.alternatives, more.alternatives);
    extend(&mut to.measurements, more.measurements);
    to.confidence = to.confidence.max(more.confidence);
    to.evidence.extend(more.evidence);
    to.why.extend(more.why);
}

fn extend<T: PartialEq>(to: &mut Vec<T>, more: Vec<T>) {
    for one in more {
        if !to.contains(&one) {
            to.push(one);
        }
    }
}
