//! Owns one finding as the customer reads it: what it is, what was found, why it matters, what is to be done, the very words.

use maud::{Markup, html};

use crate::findings::{Finding, LimitCheck, Measurement};
use crate::lexicon::Verdict;
use crate::limits;

use super::super::quote::{self, Quote};
use super::super::sheet::{self, Group};
use super::super::{drawing, wording};
use super::page::capital;
use super::{Handover, Photo, Standing};

/// The finding with everything that is known of it.
pub fn card(h: &Handover<'_>, group: Group, number: usize, f: &Finding) -> Markup {
    let (id, system) = (f.component.id.as_str(), f.component.system.as_str());
    let guidance = &h.lexicon.guidance;
    let mut why: Vec<&str> = Vec::new();
    for sentence in f.conditions.iter().filter_map(|c| guidance.why_it_matters(c.id, id, system)) {
        if !why.contains(&sentence) {
            why.push(sentence);
        }
    }
    let note = h.notes.get(&f.id).map(|n| wording::shown(n)).filter(|n| !n.trim().is_empty());
    html! {
        article class={ "finding " (drawing::class(group)) } id={ "finding-" (wording::shown(&f.id)) } {
            h3 {
                span.number { (number) }
                " " (capital(&sheet::part_at(&f.component, &f.position)))
            }
            @if group == Group::Stop { p.verdict { "Not to be driven until this is put right." } }
            @if let Some(is) = guidance.in_plain_words(id, system) { p.is { (capital(is)) "." } }
            dl {
                dt { "Found" }
                dd { (found(f)) }
                @if !why.is_empty() {
                    dt { "Why it matters" }
                    dd { (why.join(" ")) }
                }
                @if let Some(work) = sheet::work(f) {
                    dt { "To do" }
                    dd { (capital(&work)) }
                }
                @if let Some(note) = note {
                    dt { "From the desk" }
                    dd.note { (note) }
                }
                dt { "In the technician’s words" }
                dd { (quotes(&quote::quotes(h.document, &f.evidence))) }
            }
            @if h.standing == Standing::NotReviewed && wording::doubt(f).is_some() {
                p.doubt { "The program is not sure that it read these words rightly." }
            }
            (photos_of(h, f))
        }
    }
}

/// What was found, in one line.
fn found(f: &Finding) -> String {
    let mut parts: Vec<String> = f.conditions.iter().map(wording::condition).collect();
    let fails = f.fails_limit();
    match f.verdict {
        Verdict::Sound if fails => {
            parts.insert(0, "called fine, but a measured figure fails its published limit".into())
        }
        Verdict::Sound => parts.insert(0, "called fine".into()),
        Verdict::Serviced => parts.insert(0, "said to have been serviced before".into()),
        Verdict::Unchecked => parts.insert(0, "could not be checked".into()),
        Verdict::Defect if parts.is_empty() && f.measurements.is_empty() => {
            parts.push(if f.actions.is_empty() {
                "not in order; the words say more".into()
            } else {
                "not in order".into()
            });
        }
        Verdict::Defect => {}
    }
    parts.extend(f.measurements.iter().map(measured));
    capital(&parts.join("; "))
}

/// A figure with its limit, in full words.
pub fn measured(m: &Measurement) -> String {
    let said = wording::quantity(m.value, m.unit);
    match &m.limit {
        None => format!("measured {said}"),
        Some(l) => {
            let stands = if l.passed_limit { "fails" } else { "is within" };
            format!("measured {said}, which {stands} the published limit of {}", limit(m, l))
        }
    }
}

/// A limit, in the unit that was measured in as well where that is another one.
pub fn limit(m: &Measurement, l: &LimitCheck) -> String {
    let published = wording::quantity(l.value, l.unit);
    match limits::convert(l.value, l.unit, m.unit) {
        Some(value) if m.unit != l.unit => {
            let tenths = (value * 10.0).round() / 10.0;
            format!("{published} (about {})", wording::quantity(tenths, m.unit))
        }
        _ => published,
    }
}

/// Words with the times they were said at.
pub fn quotes(quotes: &[Quote]) -> Markup {
    html! {
        ul.quotes {
            @for q in quotes {
                li {
                    span.at { (q.at) } " "
                    @if let Some(speaker) = &q.speaker { (speaker) ": " }
                    q { (q.words) }
                }
            }
        }
    }
}

/// The photos that belong to a finding.
pub fn photos_of(h: &Handover<'_>, f: &Finding) -> Markup {
    photos(h.photos.iter().filter(|p| p.finding.as_deref() == Some(f.id.as_str())))
}

/// Photos side by side.
pub fn photos<'p>(photos: impl Iterator<Item = &'p Photo>) -> Markup {
    let photos: Vec<&Photo> = photos.collect();
    html! {
        @if !photos.is_empty() {
            div.photos {
                @for p in photos {
                    figure {
                        img src=(p.uri()) alt=(alternative(p));
                        @if let Some(words) = caption(p) { figcaption { (words) } }
                    }
                }
            }
        }
    }
}

fn alternative(p: &Photo) -> String {
    if p.caption.trim().is_empty() { "Photo taken during the inspection".into() } else { wording::shown(&p.caption) }
}

fn caption(p: &Photo) -> Option<String> {
    let parts: Vec<String> = p
        .at_ms
        .map(wording::time)
        .into_iter()
        .chain(Some(wording::shown(&p.caption)).filter(|c| !c.trim().is_empty()))
        .collect();
    (!parts.is_empty()).then(|| parts.join(" "))
}
