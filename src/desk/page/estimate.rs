//! Owns the page of the estimate, where the customer's answers are taken and the writer settles which way a job is done.

use maud::{Markup, html};

use super::super::estimate::{Asked, MOST_VISITS, Priced};
use super::review::vehicle;
use super::{Frame, at, encoded};
use crate::lexicon::Position;
use crate::pricing::{self, About, Ask, InsteadOut, JobAt, JobOut, OtherJob, PartOut};
use crate::report;

/// The page: every line with its answers, other ways to take, and plans.
pub fn estimate(token: &str, priced: &Priced, asked: &Asked) -> String {
    let Priced { opened, estimate, .. } = priced;
    let list = &opened.list;
    let address = at(&opened.inspection.name);
    let title = format!("Estimate: {}", vehicle(opened));
    let open = list.open();
    let header = html! {
        header.top { a href=(address) { "Back to the list" } a href={ (address) "/hand-over" } { "Hand over" } }
    };
    let main = html! {
        main.estimate #main data-address=(address) data-revision=(list.revision) data-state=(opened.state) data-reading=(opened.reading) {
            @if let Some(problem) = &asked.problem { p.problem role="alert" { (report::shown(problem)) } }
            @if open > 0 {
                p.doubt { strong { "Not yet reviewed: " (open) " still to be looked at." } " Lines may be wrong or missing. " a href=(address) { "Go through them" } "." }
            } @else {
                p.print { a href={ (address) "/estimate.html" (query(asked)) } target="_blank" rel="noopener" { "To print for the customer" } }
            }
            p.now { "Total: " strong { (pricing::total(estimate)) } }
            (choice(priced, asked))
            (pricing::sheet(estimate, std::slice::from_ref(&list.document), &Asking(asked)))
            (plans(asked))
        }
    };
    Frame { title: &title, token, styles: &["desk.css", "estimate.css"], scripts: &["estimate.js"] }.around(
        &header,
        &main,
        &html! {},
    )
}

/// The part of an address that asks for this.
fn query(asked: &Asked) -> String {
    let pairs = asked.pairs();
    let pairs: Vec<String> = pairs.iter().map(|(name, value)| format!("{name}={}", encoded(value))).collect();
    format!("?{}", pairs.join("&"))
}

/// A link that changes what is asked for.
fn link(asked: &Asked, words: &str, about: &str, change: impl FnOnce(&mut Asked)) -> Markup {
    let mut then = asked.clone();
    change(&mut then);
    html! { a.way href=(query(&then)) aria-label={ (words) ": " (about) } { (words) } }
}

/// What the writer settled, what it costs, and the way back.
fn choice(priced: &Priced, asked: &Asked) -> Markup {
    let wishes = &asked.wishes;
    let digits = priced.estimate.book.digits;
    let line = |what: &str, id: &str, place: &[Position], change: &dyn Fn(&mut Asked)| {
        let name = report::at(priced.names.get(id).map_or(id, String::as_str), place);
        html! { li { (what) " " (name) ". " (link(asked, "Take back", &name, change)) } }
    };
    html! {
        @if !(wishes.pinned.is_empty() && wishes.forbidden.is_empty() && wishes.taken.is_empty()) {
            section.choice {
                h2 { "Your choice" }
                ul {
                    @for w in &wishes.pinned {
                        @let what = if priced.idle.contains(w) { "Serves none of the findings any more:" } else { "Done:" };
                        (line(what, &w.job, &w.at, &|a| a.wishes.pinned.retain(|x| x != w)))
                    }
                    @for w in &wishes.forbidden {
                        (line("Not done:", &w.job, &w.at, &|a| a.wishes.forbidden.retain(|x| x != w)))
                    }
                    @for w in &wishes.taken { (line("Taken:", w, &[], &|a| a.wishes.taken.retain(|x| x != w))) }
                }
                @if let Some(costs) = &priced.estimate.wishes { p.now { (pricing::choice_costs(costs, digits)) } }
                p.aside { "It holds for this page and for what is printed from it." }
            }
        }
    }
}

/// What a sum does best, and what is done when.
fn plans(asked: &Asked) -> Markup {
    let kept = asked.pairs().into_iter().filter(|(name, _)| !matches!(*name, "budget" | "visits"));
    html! {
        section.plans {
            h2 { "Plan it" }
            form method="get" {
                @for (name, value) in kept { input type="hidden" name=(name) value=(value); }
                label { "What does this sum do best? " input name="budget" inputmode="decimal" size="9" autocomplete="off" value=(asked.budget); }
                label { "Spread over "
                    select name="visits" {
                        @for n in 1..=MOST_VISITS { option value=(n) selected[n == asked.visits] { (report::count(n, "visit", "visits")) } }
                    }
                }
                button type="submit" { "Show" }
            }
        }
    }
}

/// The links and buttons in the lines.
struct Asking<'a>(&'a Asked);

impl Ask for Asking<'_> {
    /// The script reads the findings behind a line from `data-findings`.
    fn answer(&self, abouts: &[&About]) -> Markup {
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

    fn chosen(&self, job: &JobOut) -> Markup {
        let (asked, name) = (self.0, report::at(&job.name, &job.position));
        let this = JobAt { job: job.job.clone(), at: job.position.clone() };
        html! {
            p.aside {
                @if job.pinned {
                    "Done this way as you chose. "
                    (link(asked, "Leave it to the sums", &name, |a| a.wishes.pinned.retain(|w| w.job != this.job || !(w.at.is_empty() || w.at == this.at))))
                } @else {
                    (link(asked, "Not this way", &name, |a| a.wishes.forbidden.push(this)))
                }
            }
        }
    }

    fn other(&self, other: &OtherJob, instead: &[&JobOut]) -> Markup {
        let this = JobAt { job: other.job.clone(), at: other.position.clone() };
        let is_instead =
            |w: &JobAt| instead.iter().any(|j| j.pinned && j.job == w.job && (w.at.is_empty() || j.position == w.at));
        link(self.0, "Take this way", &report::at(&other.name, &other.position), |a| {
            a.wishes.pinned.retain(|w| !is_instead(w));
            a.wishes.pinned.push(this);
        })
    }

    fn part(&self, part: &PartOut, other: Option<&InsteadOut>) -> Markup {
        let (asked, is_taken) = (self.0, |id: &String| self.0.wishes.taken.contains(id));
        let name = report::shown(other.map_or(&part.name, |o| &o.name));
        let out = match other {
            Some(other) => link(asked, "Use it", &name, |a| {
                a.wishes.taken.retain(|t| *t != part.id);
                a.wishes.taken.push(other.id.clone());
            }),
            None if is_taken(&part.id) => {
                link(asked, "Leave it to the book", &name, |a| a.wishes.taken.retain(|t| *t != part.id))
            }
            None if !part.used => link(asked, "Take it", &name, |a| a.wishes.taken.push(part.id.clone())),
            None => return html! {},
        };
        html! { " " (out) }
    }
}
