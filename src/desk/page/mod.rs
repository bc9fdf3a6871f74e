//! Owns the pages: what is on them and in which order. Everything said is escaped by the template.

mod capture;
mod estimate;
mod forms;
mod hand_over;
mod list;
mod pair;
mod review;
mod spoken;

use maud::{Markup, html};

pub use capture::{begin, capture};
pub use estimate::estimate;
pub use hand_over::hand_over;
pub use list::{Row, list};
pub use pair::{ask, code};
pub use review::review;

use crate::report;

/// Style of a page that needs none of its own.
const STYLES: &[&str] = &["desk.css"];

/// What every page needs.
pub struct Frame<'f> {
    /// Title in the browser.
    pub title: &'f str,
    /// Token of changes.
    pub token: &'f str,
    /// Styles by name.
    pub styles: &'f [&'f str],
    /// Scripts by name.
    pub scripts: &'f [&'f str],
}

impl Frame<'_> {
    fn around(&self, header: &Markup, main: &Markup, after: &Markup) -> String {
        let head = html! {
            meta name="color-scheme" content="light dark";
            meta name="token" content=(self.token);
            link rel="icon" type="image/svg+xml" href="/assets/icon.svg";
            @for style in self.styles { link rel="stylesheet" href={ "/assets/" (style) }; }
            @for script in self.scripts { script src={ "/assets/" (script) } type="module" {} }
        };
        let body = html! { (header) (main) (after) div #said role="status" aria-live="polite" {} };
        report::html_page(self.title, &head, &body)
    }
}

/// A page that says why something is not there, and what to do.
pub fn told(token: &str, heading: &str, what: &str, back: &str) -> String {
    let header = html! { header.top { a href=(back) { "Back" } } };
    let main = html! { main.plain { h1 { (heading) } p { (what) } } };
    Frame { title: heading, token, styles: STYLES, scripts: &[] }.around(&header, &main, &html! {})
}

/// The address of an inspection.
pub fn at(name: &str) -> String {
    format!("/inspection/{}", encoded(name))
}

/// Percent-encoding of everything but unreserved characters (RFC 3986, section 2.3) and slashes.
pub fn encoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for b in text.bytes() {
        match b {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => out.push(char::from(b)),
            _ => out.push_str(&format!("%{b:02X}")),
        }
    }
    out
}
