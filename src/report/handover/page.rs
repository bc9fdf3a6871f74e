//! Owns the page around a handover: one file that holds everything and in which nothing runs.

use maud::{Markup, PreEscaped, html};

use super::super::drawing::DRAWING_STYLE;
use super::super::html::html_page;
use super::super::wording;
use super::{Handover, Standing};

const STYLE: &str = include_str!("style.css");
/// Printed at the foot of every page of a list that nobody has read yet.
const NOT_REVIEWED_FOOT: &str = "@page { @bottom-left { content: \"Not yet reviewed\"; } }";

/// The whole page.
pub fn page(h: &Handover<'_>, title: &str, body: &Markup) -> String {
    let foot = if h.standing == Standing::NotReviewed { NOT_REVIEWED_FOOT } else { "" };
    let head = html! {
        meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'";
        meta name="color-scheme" content="light dark";
        style { (PreEscaped(STYLE)) (PreEscaped(DRAWING_STYLE)) (PreEscaped(foot)) }
    };
    html_page(&format!("{title}: {}", vehicle(h)), &head, &html! { main { (body) } })
}

/// The head that every handover has: what it is, which vehicle, when, by whom, and whether it was read.
pub fn head(h: &Handover<'_>, kind: &str) -> Markup {
    let vehicle_said = &h.document.vehicle;
    let odometer = vehicle_said.odometer.as_ref().map(|o| wording::quantity(o.value, o.unit));
    let facts: Vec<String> = odometer
        .into_iter()
        .chain(h.when.as_deref().map(wording::shown))
        .chain(h.shop.as_deref().map(wording::shown))
        .collect();
    html! {
        header {
            p.kind { (kind) }
            h1 { (vehicle(h)) }
            @if !facts.is_empty() { p.facts { (facts.join(" · ")) } }
            @if h.standing == Standing::NotReviewed {
                p.standing {
                    strong { "Not yet reviewed." }
                    " A program made this list from the technician’s words. Nobody has held it against them yet: lines may be wrong or missing. Source: " (source(h)) "."
                }
            }
        }
    }
}

/// Heading of the cautions.
pub const CAUTIONS: &str = "Before you rely on this";

/// What every reader must know.
pub fn cautions(h: &Handover<'_>) -> Markup {
    html! {
        @if !h.document.cautions.is_empty() {
            section.cautions {
                h2 { (CAUTIONS) }
                ul { @for c in &h.document.cautions { li { (wording::shown(c)) } } }
            }
        }
    }
}

/// Name of the file that was read; which folder it lay in is nobody's business.
fn source(h: &Handover<'_>) -> String {
    let path = &h.document.source.path;
    wording::shown(path.rsplit(['/', '\\']).next().filter(|name| !name.is_empty()).unwrap_or(path))
}

/// What the vehicle is called.
pub fn vehicle(h: &Handover<'_>) -> String {
    let name = h.document.vehicle.identification.as_deref().map_or_else(|| "Vehicle not named".into(), wording::shown);
    capital(&name)
}

/// With a capital first letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
