//! Owns the page that lists inspections.

use std::sync::Arc;

use maud::{Markup, html};

use super::super::guard::Guard;
use super::super::state::Summary;
use super::{Frame, STYLES, at};
use crate::report::{Group, shown, sign};
use crate::review::Inspection;

/// One inspection and what is known of it; `Err` says why nothing is.
pub struct Row {
    /// The inspection.
    pub inspection: Inspection,
    /// `None` while it is being read.
    pub summary: Result<Option<Arc<Summary>>, String>,
}

/// The page.
pub fn list(guard: &Guard, version: u64, rows: &[Row], problems: &[String]) -> String {
    let header = html! { header.top { h1 { "Inspections" } a href="/capture" { "Record" } @if guard.is_open() { a href="/let-in" { "Let a phone in" } } } };
    let main = html! {
        main.inspections #main data-version=(version) {
            @if rows.is_empty() {
                p { "No inspection is in this folder yet. An inspection is a folder of its own, with the dictation or notes in it; it shows up here by itself." }
            } @else {
                table {
                    caption.aside { (rows.len()) @if rows.len() == 1 { " inspection" } @else { " inspections" } }
                    thead { tr { th scope="col" { "Vehicle" } th scope="col" { "Day" } th scope="col" { "Findings" } th scope="col" { "Review" } } }
                    tbody { @for row in rows { (line(row)) } }
                }
            }
            @for problem in problems { p.problem { (shown(problem)) } }
        }
    };
    Frame { title: "Inspections", token: guard.token(), styles: STYLES, scripts: &["list.js"] }.around(
        &header,
        &main,
        &html! {},
    )
}

fn line(row: &Row) -> Markup {
    let i = &row.inspection;
    let vehicle = row.summary.as_ref().ok().and_then(|s| s.as_ref()?.vehicle.clone());
    let name = shown(&i.name);
    html! {
        tr {
            th scope="row" {
                a href=(at(&i.name)) { @if let Some(vehicle) = &vehicle { (shown(vehicle)) } @else { (name) } }
                @if vehicle.is_some() { span.aside { (name) } }
            }
            td { @if let Some(day) = i.day { time datetime=(day) { (day) } } @else { span.aside { "not known" } } }
            @match &row.summary {
                Ok(Some(s)) => { td { (counts(s)) } td { (progress(s)) } }
                Ok(None) => { td colspan="2" { span.aside { "is being read" } } }
                Err(why) => { td.problem colspan="2" { (shown(why)) } }
            }
        }
    }
}

fn counts(s: &Summary) -> Markup {
    html! {
        @if s.counts.is_empty() { span.aside { "none" } }
        ul.counts {
            @for (group, n) in &s.counts { li { (sign(*group)) (n) " " (short(*group)) } }
        }
    }
}

/// A word for a count.
fn short(group: Group) -> &'static str {
    match group {
        Group::Stop => "do not drive",
        Group::Now => "now",
        Group::Soon => "soon",
        Group::Watch => "watch",
        Group::OtherDefect => "defect, no urgency",
        Group::Unchecked => "not checked",
        Group::Serviced => "serviced",
        Group::Sound => "sound",
    }
}

fn progress(s: &Summary) -> Markup {
    html! {
        @if s.is_handed_over {
            strong { "handed over" }
        } @else if s.unheard > 0 {
            strong { (s.unheard) @if s.unheard == 1 { " recording" } @else { " recordings" } " not written down" }
        } @else if s.open == 0 {
            strong { "ready to hand over" }
        } @else {
            strong { (s.open) " to look at first" }
        }
        span.aside { (s.decided) " of " (s.findings) " decided" @if s.problems > 0 { ", " (s.problems) " not as it should be" } }
    }
}
