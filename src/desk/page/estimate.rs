//! Owns the page of the estimate, where the customer's answers are taken.

use maud::{Markup, html};

use super::super::state::Opened;
use super::review::vehicle;
use super::{Frame, at};
use crate::pricing::{self, About, Estimate};
use crate::report;

/// The page: every line with its answers.
pub fn estimate(token: &str, opened: &Opened, estimate: &Estimate) -> String {
    let list = &opened.list;
    let address = at(&opened.inspection.name);
    let title = format!("Estimate: {}", vehicle(opened));
    let open = list.open();
    let header = html! {
        header.top { a href=(address) { "Back to the list" } a href={ (address) "/hand-over" } { "Hand over" } }
    };
    let main = html! {
        main.estimate #main data-address=(address) data-revision=(list.revision) data-state=(opened.state) data-reading=(opened.reading) {
            @if open > 0 {
                p.doubt { strong { "Not yet reviewed: " (open) " still to be looked at." } " Lines may be wrong or missing. " a href=(address) { "Go through them" } "." }
            } @else {
                p.print { a href={ (address) "/estimate.html" } target="_blank" rel="noopener" { "To print for the customer" } }
            }
            (pricing::sheet(estimate, std::slice::from_ref(&list.document), &answers))
        }
    };
    Frame { title: &title, token, styles: &["desk.css", "estimate.css"], scripts: &["estimate.js"] }.around(
        &header,
        &main,
        &html! {},
    )
}

/// What the customer can say to a line. The script reads the findings behind it from `data-findings`.
fn answers(abouts: &[&About]) -> Markup {
    let ids: Vec<&str> = abouts.iter().map(|a| a.finding.as_str()).collect();
    let named = |a: &&About| [report::shown(&a.part), report::place(&a.position)].join(" ").trim_end().to_string();
    let parts: Vec<String> = abouts.iter().map(named).collect();
    let button = |answer: &str, name: &str| {
        html! { button type="button" data-answer=(answer) aria-label={ (name) ": " (parts.join(", ")) } { (name) } }
    };
    html! {
        div.asked data-findings=(ids.join(" ")) {
            (button("approve", "Approve"))
            (button("decline", "Decline"))
            (button("later", "Later"))
            label { "ask again after " input name="horizon" size="9" placeholder="as said" autocomplete="off"; }
        }
    }
}
