//! Owns the pages on which an inspection is begun and recorded.

use maud::html;

use super::{Frame, STYLES, at, encoded};
use crate::report::shown;

/// Which inspection is recorded.
pub fn begin(token: &str, names: &[String]) -> String {
    let header = html! { header.top { a href="/" { "Inspections" } h1 { "Record" } } };
    let main = html! {
        main.plain #main {
            form #begin {
                p { label for="name" { "New inspection: vehicle, number, anything that names it" } }
                p { input #name name="name" required maxlength="80" autocomplete="off"; " " button { "Begin" } }
            }
            @if !names.is_empty() {
                h2 { "Or go on with" }
                ul.files { @for name in names.iter().rev() { li { a href={ (at(name)) "/capture" } { (shown(name)) } } } }
            }
        }
    };
    Frame { title: "Record", token, styles: STYLES, scripts: &["begin.js"] }.around(&header, &main, &html! {})
}

/// The page that records.
pub fn capture(token: &str, name: &str) -> String {
    let header = html! {
        header.top { a href="/" { "Inspections" } h1 { (shown(name)) } a href=(at(name)) { "Review" } }
    };
    let main = html! {
        main.plain.capture #main data-name=(encoded(name)) {
            p { button.big type="button" #record aria-pressed="false" { "Record" } " " span #clock role="timer" { "0:00" } }
            p #safe role="status" { "Nothing recorded yet." }
            form #note {
                p { label for="text" { "Note" } }
                p { input #text name="text" autocomplete="off"; " " button { "Add" } }
            }
            p {
                label for="photo" { "Photo " }
                input #photo type="file" accept="image/jpeg,image/png,image/webp" capture="environment" multiple;
            }
            h2 { "Kept in this inspection" }
            ol #kept {}
        }
    };
    Frame { title: "Record", token, styles: STYLES, scripts: &["capture.js"] }.around(&header, &main, &html! {})
}
