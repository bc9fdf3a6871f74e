//! Owns the drawing: the vehicle from above, each finding at its place, as SVG. Its style is apart ([`DRAWING_STYLE`]), so that a
//! page can keep a strict policy on styles; without it the drawing is plain black on what lies behind it.

mod callout;
mod outline;

use maud::{Markup, html};

use crate::findings::Document;
use crate::lexicon::{Lexicon, Outline};

use super::place::Side;
use super::sheet::{self, Group, Numbered};
use super::wording;
use callout::{COLUMN, Callout, GUTTER, Layout, Mark, NAME, Row, WORD};

/// What the drawing adds to plain black: set `--paper`, `--ink`, `--quiet` and `--alarm` around it to fit a page.
pub const DRAWING_STYLE: &str = include_str!("style.css");

/// Room above and below the vehicle for the words that name its ends.
const EDGE: f64 = 18.0;

/// Whether anything can be done with the marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marks {
    /// Only to be looked at.
    Still,
    /// Each mark leads to `#finding-ID` of the page around.
    Linked,
    /// Each place is a button for the page's own script (`[data-place]`, `[data-finding]`).
    Pressable,
}

/// The outline for a vehicle: by what it is called in the opening lines, else by the parts spoken of, else a car.
pub fn outline_of(document: &Document, lexicon: &Lexicon) -> Outline {
    /// A vehicle is named when the walk begins, other vehicles later.
    const OPENING: usize = 4;
    let spoken = document.utterances.iter().take(OPENING).map(|u| u.text.as_str());
    let opening: Vec<&str> = document.vehicle.identification.as_deref().into_iter().chain(spoken).collect();
    let opening: String = opening.join(" | ").to_lowercase();
    let words: String = opening.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let words = format!(" {} ", words.split_whitespace().collect::<Vec<_>>().join(" "));
    let entries = &lexicon.guidance.outlines;
    let called =
        entries.iter().flat_map(|e| e.say.iter().filter_map(|s| Some((words.find(&format!(" {s} "))?, e.draw))));
    if let Some((_, outline)) = called.min_by_key(|(at, _)| *at) {
        return outline;
    }
    let of = |systems: &[String]| document.findings.iter().filter(|f| systems.contains(&f.component.system)).count();
    let most = entries.iter().map(|e| (of(&e.within), e.draw)).max_by_key(|(n, _)| *n);
    most.filter(|(n, _)| *n > 0).map_or(Outline::Car, |(_, outline)| outline)
}

/// The vehicle from above with every finding of the document, numbered as in the reports. Front is up.
///
/// Every place is a `g[data-place]`, every mark has `data-finding` with the id of its finding (or several, set apart by spaces).
/// An element of the page may hold one drawing: ids in it are `drawing-title` and `drawing-desc`.
pub fn drawing(document: &Document, lexicon: &Lexicon, outline: Outline, marks: Marks) -> String {
    markup(&sheet::grouped(document), lexicon, outline, marks).into_string()
}

/// [`drawing`] for pages made here, of the findings given.
pub fn markup(groups: &[(Group, Numbered<'_>)], lexicon: &Lexicon, outline: Outline, marks: Marks) -> Markup {
    let Layout { callouts, height, down } = callout::callouts(groups, &lexicon.guidance, outline);
    let (placed, lost): (Vec<Callout<'_>>, Vec<Callout<'_>>) = callouts.into_iter().partition(|c| c.side.is_some());
    let width = 2.0 * (COLUMN + GUTTER) + outline::WIDTH;
    let lost_top = EDGE + height + EDGE + 8.0;
    let total = if lost.is_empty() {
        EDGE + height + EDGE
    } else {
        lost_top + lost.iter().map(Callout::height).sum::<f64>() + 4.0
    };
    let left = COLUMN + GUTTER;
    html! {
        svg.drawing xmlns="http://www.w3.org/2000/svg" viewBox={ "0 0 " (width) " " (total) } role="group"
            aria-labelledby="drawing-title drawing-desc" font-family="inherit" fill="currentColor" {
            title #drawing-title { "The " (outline::name(outline)) " from above" }
            desc #drawing-desc { (described(&placed, &lost)) }
            g font-size="10" text-anchor="middle" aria-hidden="true" {
                text.caption x=(left + outline::WIDTH / 2.0) y=(EDGE + down - 7.0) { "front" }
                text.caption x=(left + outline::WIDTH / 2.0) y=(EDGE + down + outline::length(outline) + 13.0) { "rear" }
            }
            g transform={ "translate(" (left) " " (EDGE + down) ")" } { (outline::vehicle(outline)) }
            g.leaders stroke="currentColor" stroke-width="0.6" aria-hidden="true" {
                @for c in &placed { (leader(c, left)) }
            }
            @for c in &placed {
                @let x = if c.side == Some(Side::Left) { 0.0 } else { left + outline::WIDTH + GUTTER };
                (callout_at(c, x, EDGE + c.top, marks))
            }
            @for c in &lost { (callout_at(c, left + 3.0, lost_top, marks)) }
        }
    }
}

/// What is to be seen, in words.
fn described(placed: &[Callout<'_>], lost: &[Callout<'_>]) -> String {
    if placed.is_empty() && lost.is_empty() {
        return "Nothing was found at any place.".into();
    }
    let places: Vec<String> = placed.iter().chain(lost).map(summary).collect();
    format!("Front is up. {}.", places.join(". "))
}

fn summary(c: &Callout<'_>) -> String {
    let rows: Vec<String> = c.rows.iter().map(|r| format!("{} {}", r.marks.len(), word(r.group))).collect();
    format!("{}: {}", c.place.name(), rows.join(", "))
}

/// The word beside marks of a group.
fn word(group: Group) -> &'static str {
    match group {
        Group::Stop => "not to be driven",
        Group::Now => "needs doing now",
        Group::Soon => "soon",
        Group::Watch => "keep an eye on",
        Group::OtherDefect => "urgency not said",
        Group::Unchecked => "not checked",
        Group::Serviced => "serviced before",
        Group::Sound => "fine",
    }
}

/// Name of a group in class names.
pub fn class(group: Group) -> &'static str {
    match group {
        Group::Stop => "stop",
        Group::Now => "now",
        Group::Soon => "soon",
        Group::Watch => "watch",
        Group::OtherDefect => "open",
        Group::Unchecked => "unchecked",
        Group::Serviced => "serviced",
        Group::Sound => "sound",
    }
}

/// The line from a callout to its spot, and the spot.
fn leader(c: &Callout<'_>, left: f64) -> Markup {
    let (x, y) = (left + c.anchor.0, EDGE + c.anchor.1);
    let name = EDGE + c.top + NAME - 4.0;
    let (from, knee) = match c.side {
        Some(Side::Left) => (COLUMN + 2.0, COLUMN + GUTTER - 4.0),
        _ => (left + outline::WIDTH + GUTTER - 2.0, left + outline::WIDTH + 4.0),
    };
    let stop = c.rows.first().is_some_and(|r| r.group == Group::Stop);
    html! {
        path fill="none" d={ "M" (from) " " (name) "H" (knee) "L" (x) " " (y) } {}
        @if stop {
            rect.stop x=(x - 4.5) y=(y - 4.5) width="9" height="9" stroke="none" {}
        } @else {
            circle cx=(x) cy=(y) r="2.6" stroke="none" {}
        }
    }
}

fn callout_at(c: &Callout<'_>, x: f64, y: f64, marks: Marks) -> Markup {
    let pressable = marks == Marks::Pressable;
    let mut top = c.head();
    let rows: Vec<(f64, &Row<'_>)> = c
        .rows
        .iter()
        .map(|r| {
            top += r.height();
            (top - r.height(), r)
        })
        .collect();
    let right = c.side == Some(Side::Left);
    let (edge, align) = if right { (COLUMN, "end") } else { (0.0, "start") };
    html! {
        g.place data-place=(c.place.id()) data-name=[pressable.then(|| c.place.name())] transform={ "translate(" (x) " " (y) ")" } text-anchor=(align)
            role=(if pressable { "button" } else { "group" }) tabindex=[pressable.then_some("0")]
            aria-label=[(!pressable).then(|| summary(c))] {
            // a label that leaves out the words seen would hide them from who speaks to the page; a title adds to them
            @if pressable { title { (summary(c)) } }
            rect.touch x="-3" y="-3" width=(COLUMN + 6.0) height=(c.height() + 4.0) fill="none" pointer-events="all" {}
            @for (i, line) in c.name().iter().enumerate() {
                text.name x=(edge) y=((i + 1) as f64 * NAME - 4.0) font-size="11.5" font-weight="600" aria-hidden="true" { (line) }
            }
            @for (top, row) in rows { (row_at(row, top, right, marks)) }
        }
    }
}

fn row_at(row: &Row<'_>, top: f64, right: bool, marks: Marks) -> Markup {
    let grid = row.grid();
    let (drawn, rest) = row.split();
    let spot = |seat: usize| {
        let across = (seat % grid.columns) as f64 * grid.step + grid.step / 2.0;
        let x = if right { COLUMN - across } else { across };
        (x, top + WORD + (seat / grid.columns) as f64 * grid.step + grid.step / 2.0)
    };
    let edge = if right { COLUMN } else { 0.0 };
    html! {
        text.word x=(edge) y=(top + WORD - 3.0) font-size="10" aria-hidden="true" { (word(row.group)) }
        // set from the right, a line of marks is filled from its far end, so that numbers still rise from left to right
        @for (i, mark) in drawn.iter().enumerate() {
            (mark_at(mark, row.group, spot(seat(i, row.seats(), grid.columns, right)), marks))
        }
        @if !rest.is_empty() {
            @let (x, y) = spot(seat(drawn.len(), row.seats(), grid.columns, right));
            @let ids: Vec<String> = rest.iter().map(|m| wording::shown(&m.finding.id)).collect();
            text.rest data-finding=(ids.join(" ")) x=(x) y=(y + 4.0) font-size="11" text-anchor="middle" { "+" (rest.len()) }
        }
    }
}

/// The seat, counted from the vehicle, of the `i`th of `n` marks.
fn seat(i: usize, n: usize, columns: usize, right: bool) -> usize {
    if !right {
        return i;
    }
    let line = i / columns;
    let in_line = columns.min(n - line * columns);
    line * columns + (in_line - 1 - i % columns)
}

fn mark_at(mark: &Mark<'_>, group: Group, (x, y): (f64, f64), marks: Marks) -> Markup {
    let f = mark.finding;
    let id = wording::shown(&f.id);
    let label = format!("{}. {}: {}", mark.number, sheet::part_at(&f.component, &f.position), word(group));
    let shape = html! {
        title { (label) }
        (shape(group, x, y))
        @if group != Group::Sound {
            text.number x=(x) y=(y + 4.3) font-size=(if mark.number > 99 { "9.5" } else { "12" }) text-anchor="middle"
                fill=[reversed(group).then_some("#fff")] { (bracketed(group, mark.number)) }
        }
    };
    let class = class(group);
    html! {
        @if marks == Marks::Linked {
            a class={ "mark " (class) } data-finding=(id) href={ "#finding-" (id) } aria-label=(label) { (shape) }
        } @else {
            g class={ "mark " (class) } data-finding=(id) role=[(marks == Marks::Still).then_some("img")]
                aria-label=[(marks == Marks::Still).then_some(&label)] { (shape) }
        }
    }
}

/// Whether the number stands in white on a filled shape.
fn reversed(group: Group) -> bool {
    matches!(group, Group::Stop | Group::Now)
}

fn bracketed(group: Group, number: usize) -> String {
    match group {
        Group::Unchecked => format!("({number})"),
        Group::Serviced => format!("[{number}]"),
        _ => number.to_string(),
    }
}

/// The shape of a group by itself, for lists.
pub fn sign(group: Group) -> Markup {
    html! {
        svg class={ "sign " (class(group)) } viewBox="-15 -15 30 30" aria-hidden="true" {
            (shape(group, 0.0, 0.0))
            @if matches!(group, Group::Unchecked | Group::Serviced) {
                text y="8" font-size="25" text-anchor="middle" { (if group == Group::Unchecked { "( )" } else { "[ ]" }) }
            }
        }
    }
}

/// The shape that stands for how pressing it is.
fn shape(group: Group, x: f64, y: f64) -> Markup {
    html! {
        @match group {
            Group::Stop => rect.shape x=(x - 12.0) y=(y - 12.0) width="24" height="24" {},
            Group::Now => circle.shape cx=(x) cy=(y) r="11.5" {},
            Group::Soon => circle.shape cx=(x) cy=(y) r="10.5" fill="none" stroke="currentColor" stroke-width="2.2" {},
            Group::Watch => circle.shape cx=(x) cy=(y) r="10.5" fill="none" stroke="currentColor" stroke-dasharray="2.4 2.4" {},
            Group::OtherDefect => {
                path.shape fill="none" stroke="currentColor" d={ "M" (x) " " (y - 12.5) "L" (x + 12.5) " " (y) "L" (x) " " (y + 12.5) "L" (x - 12.5) " " (y) "Z" } {}
            }
            Group::Sound => circle.shape cx=(x) cy=(y) r="3.6" fill="none" stroke="currentColor" {},
            Group::Unchecked | Group::Serviced => {}
        }
    }
}
