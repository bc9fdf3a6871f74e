//! Owns the customer's report: for somebody who has never been under a vehicle and has to decide what is done to theirs.

use maud::{Markup, html};

use crate::checklist::Coverage;
use crate::findings::Finding;

use super::super::drawing::{self, Marks};
use super::super::quote;
use super::super::sheet::{self, Group, Numbered};
use super::super::wording;
use super::Handover;
use super::card::{self, card};
use super::page::{self, capital};

/// Heading of the words that no part was found for.
const ALSO_SAID: &str = "Also said";

/// The report as one HTML file that needs nothing else, for screen and paper.
///
/// What is not to be driven with stands first, whatever is left out or worded.
pub fn customer_report(h: &Handover<'_>) -> String {
    let groups = shown(h);
    let of = |group: Group| groups.iter().find(|(g, _)| *g == group).map(|(_, f)| f.as_slice()).unwrap_or_default();
    let body = html! {
        (page::head(h, "Inspection report"))
        (stop(h, of(Group::Stop)))
        (summary(h, &groups))
        (picture(h, &groups))
        @for group in [Group::Now, Group::Soon, Group::Watch, Group::OtherDefect] { (cards(h, group, of(group))) }
        (unplaced(h))
        (unchecked(h, of(Group::Unchecked)))
        (list(h, "Checked and found in order", of(Group::Sound)))
        (list(h, "Said to have been serviced before", of(Group::Serviced)))
        (measurements(&groups))
        @if let Some(coverage) = &h.coverage { (not_spoken_of(coverage)) }
        (other_photos(h))
        (page::cautions(h))
    };
    page::page(h, "Inspection report", &body)
}

/// The groups with what is left out taken out of all of them but the first.
fn shown<'d>(h: &Handover<'d>) -> Vec<(Group, Numbered<'d>)> {
    let mut groups = sheet::grouped(h.document);
    for (group, found) in &mut groups {
        if *group != Group::Stop {
            found.retain(|(_, f)| !h.left_out.contains(&f.id));
        }
    }
    groups.retain(|(_, found)| !found.is_empty());
    groups
}

fn stop(h: &Handover<'_>, found: &[(usize, &Finding)]) -> Markup {
    let aside: Vec<_> = h.set_aside.iter().filter(|s| Group::of(&s.finding) == Group::Stop).collect();
    html! {
        @if !found.is_empty() {
            section.alarm {
                h2 { "This vehicle is not to be driven" }
                @for (n, f) in found { (card(h, Group::Stop, *n, f)) }
            }
        }
        @if !aside.is_empty() {
            section.aside {
                h2 { "First noted as not to be driven, and set aside on review" }
                @for s in aside {
                    p {
                        strong { (capital(&sheet::part_at(&s.finding.component, &s.finding.position))) }
                        ". Why it was set aside: " (wording::shown(&s.reason))
                    }
                    (card::quotes(&quote::quotes(h.document, &s.finding.evidence)))
                }
            }
        }
    }
}

fn summary(h: &Handover<'_>, groups: &[(Group, Numbered<'_>)]) -> Markup {
    let attention: usize = groups.iter().filter(|(g, _)| *g <= Group::OtherDefect).map(|(_, f)| f.len()).sum();
    let (worse, better): (Vec<_>, Vec<_>) = groups.iter().partition(|(g, _)| *g <= Group::OtherDefect);
    let rest: Vec<String> = better.iter().map(|(g, f)| format!("{} {}", f.len(), in_short(*g))).collect();
    let left_out = h.document.findings.len() - groups.iter().map(|(_, f)| f.len()).sum::<usize>();
    html! {
        section.summary {
            h2 { "In short" }
            p {
                @if h.document.utterances.is_empty() {
                    "Nothing was said, so nothing is known of the vehicle."
                } @else if attention == 0 {
                    "No defect stands in this list. "
                } @else {
                    (wording::count(attention, "point needs", "points need")) " attention. "
                }
                @if !rest.is_empty() { "Besides: " (rest.join(", ")) "." }
                @if !h.document.unplaced.is_empty() {
                    " " (wording::count(h.document.unplaced.len(), "line", "lines")) " of what was said could not be placed on a part: see “" (ALSO_SAID) "”."
                }
                @if left_out > 0 { " " (wording::count(left_out, "point is", "points are")) " left out here; the shop has the whole list." }
            }
            @if !worse.is_empty() {
                dl {
                    @for (group, found) in &worse {
                        dt { (heading(*group).0) }
                        dd { @for (i, (n, f)) in found.iter().enumerate() { @if i > 0 { "; " } (point(*n, f)) } }
                    }
                }
            }
        }
    }
}

/// A point by its name, leading to where it is told in full.
fn point(number: usize, f: &Finding) -> Markup {
    html! {
        a href={ "#finding-" (wording::shown(&f.id)) } { span.number { (number) } "\u{a0}" (sheet::part_at(&f.component, &f.position)) }
    }
}

fn in_short(group: Group) -> &'static str {
    match group {
        Group::Unchecked => "could not be checked",
        Group::Serviced => "said to have been serviced before",
        _ => "found in order",
    }
}

fn picture(h: &Handover<'_>, groups: &[(Group, Numbered<'_>)]) -> Markup {
    html! {
        section.picture {
            h2 { "Where it is" }
            p.hint { "The vehicle from above, its front at the top. The numbers are those of the points in this report." }
            (drawing::markup(groups, h.lexicon, h.outline, Marks::Linked))
        }
    }
}

fn heading(group: Group) -> (&'static str, &'static str) {
    match group {
        Group::Stop => ("Not to be driven", ""),
        Group::Now => ("Needs doing now", "Not to be put off."),
        Group::Soon => ("Needs doing soon", "At the next visit, or within the time said."),
        Group::Watch => ("Keep an eye on", "Nothing to do today; to be looked at again."),
        Group::OtherDefect => ("Also found", "How soon was not said: ask."),
        Group::Unchecked => ("Could not be checked", "Neither good nor bad is known of these."),
        Group::Serviced | Group::Sound => ("", ""),
    }
}

fn cards(h: &Handover<'_>, group: Group, found: &[(usize, &Finding)]) -> Markup {
    let (title, meaning) = heading(group);
    html! {
        @if !found.is_empty() {
            section class=(drawing::class(group)) {
                h2 { (title) }
                p.hint { (meaning) }
                @for (n, f) in found { (card(h, group, *n, f)) }
            }
        }
    }
}

fn unchecked(h: &Handover<'_>, found: &[(usize, &Finding)]) -> Markup {
    let (title, meaning) = heading(Group::Unchecked);
    html! {
        @if !found.is_empty() {
            section.unchecked {
                h2 { (title) }
                p.hint { (meaning) }
                ol.short {
                    @for (n, f) in found {
                        li id={ "finding-" (wording::shown(&f.id)) } {
                            span.number { (n) } " " (capital(&sheet::part_at(&f.component, &f.position)))
                            (card::quotes(&quote::quotes(h.document, &f.evidence)))
                            (note(h, f))
                            (card::photos_of(h, f))
                        }
                    }
                }
            }
        }
    }
}

fn note(h: &Handover<'_>, f: &Finding) -> Markup {
    let note = h.notes.get(&f.id).filter(|n| !n.trim().is_empty());
    html! { @if let Some(note) = note { p.note { (wording::shown(note)) } } }
}

/// What needs no more than its name.
fn list(h: &Handover<'_>, title: &str, found: &[(usize, &Finding)]) -> Markup {
    html! {
        @if !found.is_empty() {
            section.fine {
                h2 { (title) }
                ol.columns {
                    @for (n, f) in found {
                        li id={ "finding-" (wording::shown(&f.id)) } {
                            span.number { (n) } " " (capital(&sheet::part_at(&f.component, &f.position)))
                            @if !f.measurements.is_empty() { ": " (figures(f)) }
                            (said_at(h, f))
                            (note(h, f))
                            (card::photos_of(h, f))
                        }
                    }
                }
            }
        }
    }
}

fn figures(f: &Finding) -> String {
    f.measurements.iter().map(|m| wording::quantity(m.value, m.unit)).collect::<Vec<_>>().join(", ")
}

fn said_at(h: &Handover<'_>, f: &Finding) -> Markup {
    let times: Vec<String> = quote::quotes(h.document, &f.evidence).into_iter().map(|q| q.at).collect();
    html! { @if let Some(first) = times.first() { " " span.at { (first) } } }
}

fn measurements(groups: &[(Group, Numbered<'_>)]) -> Markup {
    let measured: Vec<_> =
        groups.iter().flat_map(|(_, found)| found).filter(|(_, f)| !f.measurements.is_empty()).collect();
    html! {
        @if !measured.is_empty() {
            section.measured {
                h2 { "Measured" }
                table {
                    thead { tr { th scope="col" { "Part" } th scope="col" { "Measured" } th scope="col" { "Published limit" } th scope="col" { "Source of the limit" } } }
                    tbody {
                        @for (n, f) in measured {
                            @for m in &f.measurements {
                                tr {
                                    th scope="row" { span.number { (n) } " " (capital(&sheet::part_at(&f.component, &f.position))) }
                                    td { (wording::quantity(m.value, m.unit)) }
                                    @match &m.limit {
                                        Some(l) => {
                                            td { (card::limit(m, l)) ": " @if l.passed_limit { strong { "fails" } } @else { "within" } }
                                            td.source { (wording::source(&l.source)) }
                                        }
                                        None => { td { "none known here" } td {} }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn not_spoken_of(coverage: &Coverage) -> Markup {
    html! {
        section.gaps {
            h2 { "Not spoken of" }
            @if coverage.gaps.is_empty() {
                p { "Every one of the " (coverage.points) " points of “" (wording::shown(&coverage.name)) "” was spoken of." }
            } @else {
                p.hint { "These points of “" (wording::shown(&coverage.name)) "” were not mentioned. That does not mean that they are in order." }
                ul.columns {
                    @for gap in &coverage.gaps { li { (capital(&wording::gap(gap))) } }
                }
            }
            p.source { "Checklist: " (wording::source(&coverage.source)) }
        }
    }
}

fn unplaced(h: &Handover<'_>) -> Markup {
    let lines: Vec<_> = h.document.unplaced.iter().map(|u| quote::whole(h.document, u.utterance, &u.text)).collect();
    html! {
        @if !lines.is_empty() {
            section.unplaced {
                h2 { (ALSO_SAID) }
                p.hint { "These words were not put down to any one part. There may be more in them." }
                (card::quotes(&lines))
            }
        }
    }
}

/// Photos that belong to no point shown.
fn other_photos(h: &Handover<'_>) -> Markup {
    let known = |id: &str| h.document.findings.iter().any(|f| f.id == id);
    let others: Vec<_> = h.photos.iter().filter(|p| !p.finding.as_deref().is_some_and(known)).collect();
    html! {
        @if !others.is_empty() {
            section.others {
                h2 { "More photos" }
                (card::photos(others.into_iter()))
            }
        }
    }
}
