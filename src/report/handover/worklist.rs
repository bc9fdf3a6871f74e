//! Owns the shop's work list: for the technician, with a box to tick before each piece of work, in the order of one walk round.

use std::fmt::Write;

use maud::{Markup, html};

use crate::lexicon::Verdict;

use super::super::place::Station;
use super::super::quote::{self, Quote};
use super::super::sheet::{self, Group};
use super::super::{drawing, wording};
use super::page::{self, capital};
use super::rounds::{Job, rounds};
use super::{Handover, Standing, card};

/// The work list as one HTML page.
pub fn work_list_html(h: &Handover<'_>) -> String {
    let walk = rounds(h.document, &h.lexicon.guidance);
    let body = html! {
        (page::head(h, "Work list"))
        @if stops(&walk) { p.alarm { "Not to be driven until the points marked so are put right." } }
        @if walk.is_empty() { p { "Nothing to do stands in this list." } }
        @for (station, jobs) in &walk {
            section.station {
                h2 { (station.title()) }
                @for job in jobs { (job_html(h, job)) }
            }
        }
        (to_find_out(h))
        (to_look_at(h))
        (page::cautions(h))
    };
    page::page(h, "Work list", &body)
}

fn job_html(h: &Handover<'_>, job: &Job<'_>) -> Markup {
    let f = job.finding;
    html! {
        article class={ "job " (drawing::class(job.group)) } {
            h3 {
                span.box aria-hidden="true" {} " " span.number { (job.number) } " "
                (capital(&sheet::part_at(&f.component, &f.position)))
                " " span.urgency { (urgency(job.group)) }
            }
            @for line in lines(h, job) { p { (line) } }
            (card::quotes(&quotes(h, job)))
        }
    }
}

fn to_find_out(h: &Handover<'_>) -> Markup {
    let lines = unplaced(h);
    html! {
        @if !lines.is_empty() {
            section.station {
                h2 { "Said and not placed: find out what it is" }
                (card::quotes(&lines))
            }
        }
    }
}

fn to_look_at(h: &Handover<'_>) -> Markup {
    let gaps = gaps(h);
    html! {
        @if !gaps.is_empty() {
            section.station {
                h2 { "Not spoken of: look at these" }
                ul.columns { @for gap in gaps { li { span.box aria-hidden="true" {} " " (gap) } } }
            }
        }
    }
}

/// The work list as plain text of at most `width` columns.
pub fn work_list_text(h: &Handover<'_>, width: usize) -> String {
    let mut out = Text { width: width.max(40), text: String::new() };
    let walk = rounds(h.document, &h.lexicon.guidance);
    out.line("", &format!("Work list: {}", page::vehicle(h)));
    if h.standing == Standing::NotReviewed {
        out.line("", "Not yet reviewed: made by a program from the technician's words.");
    }
    if stops(&walk) {
        out.line("", "NOT TO BE DRIVEN until the points marked so are put right.");
    }
    if walk.is_empty() {
        out.line("", "Nothing to do stands in this list.");
    }
    for (station, jobs) in &walk {
        out.heading(station.title());
        for job in jobs {
            let f = job.finding;
            let part = sheet::part_at(&f.component, &f.position);
            out.line("[ ] ", &format!("{}. {part} -- {}", job.number, urgency(job.group).to_uppercase()));
            for line in lines(h, job) {
                out.line("      ", &line);
            }
            for q in quotes(h, job) {
                out.quote(&q);
            }
        }
    }
    let lost = unplaced(h);
    if !lost.is_empty() {
        out.heading("Said and not placed: find out what it is");
        lost.iter().for_each(|q| out.quote(q));
    }
    let gaps = gaps(h);
    if !gaps.is_empty() {
        out.heading("Not spoken of: look at these");
        gaps.iter().for_each(|gap| out.line("[ ] ", gap));
    }
    if !h.document.cautions.is_empty() {
        out.heading(page::CAUTIONS);
        h.document.cautions.iter().for_each(|c| out.line("  - ", &wording::shown(c)));
    }
    out.text
}

struct Text {
    width: usize,
    text: String,
}

impl Text {
    fn line(&mut self, head: &str, words: &str) {
        let room = self.width.saturating_sub(head.len()).max(20);
        for (i, line) in textwrap::wrap(words, room).iter().enumerate() {
            let head = if i == 0 { head.to_string() } else { " ".repeat(head.len()) };
            let _ = writeln!(self.text, "{head}{line}");
        }
    }

    fn heading(&mut self, title: &str) {
        self.text.push('\n');
        self.line("", &title.to_uppercase());
    }

    fn quote(&mut self, q: &Quote) {
        let speaker = q.speaker.as_ref().map(|s| format!("{s}: ")).unwrap_or_default();
        self.line(&format!("      {:>5}  ", q.at), &format!("{speaker}\"{}\"", q.words));
    }
}

fn stops(walk: &[(Station, Vec<Job<'_>>)]) -> bool {
    walk.iter().flat_map(|(_, jobs)| jobs).any(|j| j.group == Group::Stop)
}

fn urgency(group: Group) -> &'static str {
    match group {
        Group::Stop => "not to be driven",
        Group::Now => "now",
        Group::Soon => "soon",
        Group::Watch => "look at it again",
        Group::OtherDefect => "urgency not said",
        Group::Unchecked => "check it",
        Group::Serviced | Group::Sound => "",
    }
}

/// What is wrong, what was measured, what to do, where else, what the desk adds: a line each.
fn lines(h: &Handover<'_>, job: &Job<'_>) -> Vec<String> {
    let f = job.finding;
    let mut wrong: Vec<String> = f.conditions.iter().map(wording::condition).collect();
    if f.verdict == Verdict::Sound {
        wrong.insert(0, wording::verdict(f.verdict).into());
    }
    let mut out = Vec::new();
    out.extend((!wrong.is_empty()).then(|| wrong.join(", ")));
    out.extend((!f.measurements.is_empty()).then(|| sheet::measured(f)));
    out.extend(sheet::to_do(f));
    if job.group < Group::Unchecked && f.actions.is_empty() && f.alternatives.is_empty() {
        out.push("to do: not said".into());
    }
    if !job.also_at.is_empty() {
        let others: Vec<String> = job.also_at.iter().map(|s| s.title().to_lowercase()).collect();
        out.push(format!("also at: {}", others.join("; ")));
    }
    out.extend(
        h.notes.get(&f.id).filter(|n| !n.trim().is_empty()).map(|n| format!("from the desk: {}", wording::shown(n))),
    );
    if h.standing == Standing::NotReviewed {
        out.extend(wording::doubt(f));
    }
    out
}

fn quotes(h: &Handover<'_>, job: &Job<'_>) -> Vec<Quote> {
    if job.first { quote::quotes(h.document, &job.finding.evidence) } else { Vec::new() }
}

fn unplaced(h: &Handover<'_>) -> Vec<Quote> {
    h.document.unplaced.iter().map(|u| quote::whole(h.document, u.utterance, &u.text)).collect()
}

fn gaps(h: &Handover<'_>) -> Vec<String> {
    h.coverage.iter().flat_map(|c| &c.gaps).map(|g| capital(&wording::gap(g))).collect()
}
