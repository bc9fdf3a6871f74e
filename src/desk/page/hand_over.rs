//! Owns the page that hands a final list over.

use maud::html;

use super::super::media;
use super::super::state::{Desk, Opened};
use super::review::vehicle;
use super::{Frame, STYLES, at};
use crate::report::shown;

/// The page: what is still open, or what there is to print and pass on.
pub fn hand_over(desk: &Desk, opened: &Opened) -> String {
    let list = &opened.list;
    let address = at(&opened.inspection.name);
    let open = list.open();
    let title = format!("Hand over: {}", vehicle(opened));
    let header = html! { header.top {
        a href=(address) { "Back to the list" }
        h1 { (title) }
        @if desk.book.is_some() { a href={ (address) "/estimate" } { "Estimate" } }
    } };
    let file = |name: &str, words: &str, what: &str| {
        html! { li { a href={ (address) "/" (name) } target="_blank" rel="noopener" { (words) } " " span.aside { (what) } } }
    };
    let main = html! {
        main.plain #main data-address=(address) data-revision=(list.revision) data-reading=(opened.reading) {
            @if open > 0 {
                p { strong { "Not yet: " (open) " to be looked at first." } }
                p { "Each doubtful finding, each line without a part and each decision that no longer applies must be decided on or knowingly passed over. "
                    a href=(address) { "Go through them" } "." }
            } @else {
                @for name in &opened.inspection.unheard { p.problem { "What is said in " (shown(name)) " is in none of these: nobody has written it down yet." } }
                ul.files {
                    (file("report.html", "Report for the customer", "one file; prints on A4 and Letter"))
                    (file("work-list.html", "Work list for the shop", "in the order of a walk round the vehicle"))
                    @if desk.book.is_some() {
                        (file("estimate.html", "Estimate for the customer", "to print, with boxes for the answers; to print another choice than the cheapest set, make it on the estimate"))
                    }
                    (file("findings.csv", "Spreadsheet", "one finding a row (CSV)"))
                    (file("findings.json", "Document for other programs", "with all decisions (JSON)"))
                }
                @if let Some(photos) = media::left_out(&opened.inspection) { p { (photos) } }
                @if list.handed_over.is_some() {
                    p { strong { "Handed over as it stands." } " Any decision from here on makes it a new list." }
                } @else {
                    p { button type="button" data-do="hand-over" { "Mark as handed over" } }
                }
                @if !list.lifted.is_empty() {
                    p { "The report also tells the customer of " (list.lifted.len()) " first read as not to be driven with." }
                }
            }
        }
    };
    Frame { title: &title, token: desk.guard.token(), styles: STYLES, scripts: &["list.js"] }.around(
        &header,
        &main,
        &html! {},
    )
}
