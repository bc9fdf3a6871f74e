//! Owns the review page: the words on one side, the findings on the other.

use maud::{Markup, html};
use serde_json::json;

use super::super::state::{Desk, Opened};
use super::super::words;
use super::super::writing_down::Stage;
use super::forms::forms;
use super::spoken::spoken;
use super::{Frame, STYLES, at};
use crate::findings::{Finding, ReviewState};
use crate::lexicon::{Lexicon, Verdict};
use crate::report::{self, Group, Marks, shown, sign};
use crate::review::{Content, FinalList, Item, Loose, Stale};

/// The page.
pub fn review(desk: &Desk, opened: &Opened, lexicon: &Lexicon) -> String {
    let list = &opened.list;
    let title = vehicle(opened);
    let header = html! {
        header.top {
            a href="/" { "Inspections" }
            h1 { (title) }
            @if let Some(o) = &list.document.vehicle.odometer { span { (report::quantity(o.value, o.unit)) } }
            @if let Some(day) = opened.inspection.day { time datetime=(day) { (day) } }
        }
    };
    let main = html! {
        main.review #main data-name=(opened.inspection.name) data-address=(at(&opened.inspection.name)) data-revision=(list.revision)
            data-state=(opened.state) data-reading=(opened.reading) data-teaches=[desk.lexicon.is_some().then_some("yes")] {
            (state(opened, desk.book.is_some()))
            div.sides {
                (spoken(opened))
                section.found aria-label="What was found" {
                    (troubles(desk, opened))
                    (first(list))
                    (picture(list, lexicon))
                    @for (group, findings) in report::grouped(&list.document) { (of_group(list, group, &findings)) }
                    (dropped(list))
                    (not_spoken_of(list, lexicon))
                }
            }
        }
    };
    let after = html! { (bar()) (forms()) };
    Frame { title: &title, token: desk.guard.token(), styles: STYLES, scripts: &["review.js"] }
        .around(&header, &main, &after)
}

/// What the vehicle was called, or the name of the folder.
pub fn vehicle(opened: &Opened) -> String {
    let called = opened.list.document.vehicle.identification.as_deref();
    shown(called.unwrap_or(&opened.inspection.name))
}

fn state(opened: &Opened, has_prices: bool) -> Markup {
    let list = &opened.list;
    let open = list.open();
    let decided = list.items.iter().filter(|i| i.state != ReviewState::Open).count();
    html! {
        p.state {
            @if list.handed_over.is_some() { strong { "Handed over as it stands." } }
            @else if open > 0 { strong { (open) " to look at first." } }
            @else if !opened.inspection.unheard.is_empty() { strong { "A recording is not written down." } }
            @else { strong { "Ready to hand over." } }
            " " (decided) " of " (list.items.len()) " decided, "
            @if list.revision == 0 { "nothing saved yet." } @else { "all saved, line " (list.revision) "." }
            span.tools {
                button type="button" data-do="undo" disabled[list.undoing.next_undo().is_none()] { "Undo " kbd { "u" } }
                button type="button" data-do="redo" disabled[list.undoing.next_redo().is_none()] { "Redo " kbd { "r" } }
                @if has_prices { a href={ (at(&opened.inspection.name)) "/estimate" } { "Estimate" } }
                a href={ (at(&opened.inspection.name)) "/hand-over" } { "Hand over" }
                button type="button" data-do="help" { "Keys " kbd { "?" } }
            }
        }
    }
}

/// What could not be read, and what the log has lost or can't say.
fn troubles(desk: &Desk, opened: &Opened) -> Markup {
    let contents = &opened.contents;
    let inspection = &opened.inspection;
    html! {
        @for name in &inspection.unheard { (unheard(name, desk.recordings.stage(&inspection.folder.join(name)))) }
        @for problem in &opened.extraction.problems { p.problem { (shown(problem)) } }
        @if let Some(torn) = &contents.torn {
            p.problem { "The last line of the log was never written to its end and does not count: " code { (shown(torn)) } }
        }
        @for line in &opened.list.unreadable { p.problem { "Line " (line) " of the log can't be read; it is kept and does not count." } }
    }
}

/// A recording that is in no list yet.
fn unheard(name: &str, stage: Option<Stage>) -> Markup {
    let name = shown(name);
    html! {
        @match stage {
            Some(Stage::Begun) => { p role="status" { (name) " is being written down; its words come into the list by themselves." } }
            Some(Stage::Failed { why, .. }) => { p.problem { (name) " could not be written down, and its words are not in the list: " (shown(&why)) } }
            Some(Stage::Ended) | None => { p.problem { "What is said in " (name) " is not in the list: nobody has written it down yet." } }
        }
    }
}

fn picture(list: &FinalList, lexicon: &Lexicon) -> Markup {
    let outline = report::outline_of(&list.document, lexicon);
    html! {
        details.picture open {
            summary { "On the vehicle" }
            (maud::PreEscaped(report::drawing(&list.document, lexicon, outline, Marks::Pressable)))
        }
        p #filter hidden { span {} " " button type="button" data-do="all" { "Show all " kbd { "Esc" } } }
    }
}

/// What must be looked at before anything is handed over.
fn first(list: &FinalList) -> Markup {
    let loose: Vec<&Loose> = list.loose.iter().filter(|l| !l.is_settled).collect();
    let stale: Vec<&Stale> = list.stale.iter().filter(|s| s.is_open()).collect();
    let groups = report::grouped(&list.document);
    let doubtful: Vec<(Group, usize, &Finding, &Item)> = groups
        .iter()
        .flat_map(|(g, findings)| findings.iter().map(|(n, f)| (*g, *n, *f)))
        .filter_map(|(g, n, f)| list.find(&f.id).map(|(f, i)| (g, n, f, i)).filter(|x| x.3.is_open()))
        .collect();
    html! {
        @if !(loose.is_empty() && stale.is_empty() && doubtful.is_empty()) {
            section.first {
                h2 { "Look at these first" }
                @for s in stale {
                    article.card.stale tabindex="-1" data-stale=(s.line) {
                        h3 { button.pick type="button" { "A decision that no longer applies" } }
                        p { (shown(&words::line(&s.decision))) }
                        p.doubt { (s.reason) }
                    }
                }
                @for (group, n, f, item) in doubtful { (card(list, group, n, f, item)) }
                @for l in loose {
                    article.card.loose tabindex="-1" data-loose=(l.line) data-lines=(l.line) {
                        h3 { button.pick type="button" { "Words without a part" } }
                        (quote(list, l.line))
                        p.doubt { (l.reason) }
                    }
                }
            }
        }
    }
}

fn of_group(list: &FinalList, group: Group, findings: &[(usize, &Finding)]) -> Markup {
    let rest: Vec<_> = findings
        .iter()
        .filter_map(|(n, f)| list.find(&f.id).map(|(f, i)| (*n, f, i)))
        .filter(|x| !x.2.is_open())
        .collect();
    html! {
        @if !rest.is_empty() {
            section class={ "group " (if group == Group::Stop { "stop" } else { "" }) } {
                h2 { (group.title()) " " span.aside { (rest.len()) } }
                @for (n, f, item) in rest { (card(list, group, n, f, item)) }
            }
        }
    }
}

/// One finding. The script reads what can be changed from `data-content`.
fn card(list: &FinalList, group: Group, n: usize, f: &Finding, item: &Item) -> Markup {
    let lines: std::collections::BTreeSet<usize> = f.evidence.iter().map(|e| e.utterance).collect();
    let lines = lines.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
    let content = Content::from(f);
    let review = f.review.clone().unwrap_or_default();
    let data = json!({ "content": content, "wording": review.wording, "note": review.note });
    let place = report::place(&f.position);
    html! {
        article.card id={ "finding-" (f.id) } tabindex="-1" data-id=(f.id) data-lines=(lines) data-content=(data) {
            h3 {
                (sign(group)) span.number { (n) }
                button.pick type="button" { (report::part(&f.component)) @if !place.is_empty() { span.place { ", " (place) } } }
                (stamp(item.state))
            }
            @let facts = facts(f, group, item.is_open());
            @if !facts.is_empty() { p.facts { (facts) } }
            @for doubt in &item.doubts {
                @if item.state == ReviewState::Open { p.doubt { "Look at it: " (doubt) } }
            }
            @if let Some(was) = &item.extracted { p.was { "the program had: " (was_words(was)) } }
            @if let Some(w) = &review.wording { p.wording { "To the customer: " (shown(w)) } }
            @if let Some(note) = &review.note { p.note { "Note: " (shown(note)) } }
            (quotes(list, f))
        }
    }
}

fn stamp(state: ReviewState) -> Markup {
    let word = match state {
        ReviewState::Open => return html! {},
        ReviewState::Accepted => "accepted",
        ReviewState::Corrected => "corrected",
        ReviewState::Added => "added",
        ReviewState::PassedOver => "passed over",
    };
    html! { span.stamp { (word) } }
}

/// What is known of it; away from its group, the group as well.
fn facts(f: &Finding, group: Group, names_group: bool) -> String {
    let mut out: Vec<String> = f.conditions.iter().map(report::condition).collect();
    if names_group {
        out.insert(0, group.title().to_string());
    }
    if f.verdict != Verdict::Defect && group < Group::Unchecked {
        out.insert(0, report::verdict(f.verdict).to_string());
    }
    out.extend(f.measurements.iter().map(report::measurement));
    out.extend(report::to_do(f));
    out.join("; ")
}

fn was_words(c: &Content) -> String {
    let place = report::place(&c.place);
    let mut out = vec![if place.is_empty() { c.part.name.clone() } else { format!("{}, {place}", c.part.name) }];
    out.push(report::verdict(c.verdict).to_string());
    out.extend(c.conditions.iter().map(report::condition));
    out.extend(c.urgency.map(|u| report::urgency(u).to_string()));
    out.extend(c.actions.iter().map(|a| report::action(*a).to_string()));
    out.extend(c.measurements.iter().map(|m| report::quantity(m.value, m.unit)));
    shown(&out.join("; "))
}

/// The very words, a line each.
fn quotes(list: &FinalList, f: &Finding) -> Markup {
    let lines: std::collections::BTreeSet<usize> = f.evidence.iter().map(|e| e.utterance).collect();
    html! {
        @for line in lines { (quote(list, line)) }
    }
}

fn quote(list: &FinalList, line: usize) -> Markup {
    html! {
        @if let Some(u) = line.checked_sub(1).and_then(|n| list.document.utterances.get(n)) {
            p.quote {
                a href={ "#line-" (u.n) } { @if let Some(ms) = u.start_ms { (report::time(ms)) } @else { "line " (u.n) } }
                " " q { (shown(&u.text)) }
            }
        }
    }
}

fn dropped(list: &FinalList) -> Markup {
    html! {
        @if !list.dropped.is_empty() {
            details.more {
                summary { (list.dropped.len()) " dropped" }
                ul { @for d in &list.dropped { li { (report::part_at(&d.finding.component, &d.finding.position)) ": " (shown(&d.reason)) } } }
            }
        }
    }
}

fn not_spoken_of(list: &FinalList, lexicon: &Lexicon) -> Markup {
    let handover = list.handover(lexicon);
    html! {
        @if let Some(c) = &handover.coverage {
            @let mut heading = "";
            details.more {
                summary { (c.gaps.len()) " of " (c.points) " points nobody spoke of" }
                p.aside { (c.name) "; " (c.source) }
                ul {
                    @for gap in &c.gaps {
                        @let is_new = std::mem::replace(&mut heading, &gap.heading) != gap.heading;
                        @if is_new { li.heading { (gap.heading) } }
                        li { (report::gap(gap)) }
                    }
                }
            }
        }
    }
}

/// What can be done with the card that is chosen; each button shows its key.
fn bar() -> Markup {
    let action = |what: &str, key: &str, name: &str, kinds: &str| {
        html! { button type="button" data-do=(what) data-for=(kinds) { (name) " " kbd { (key) } } }
    };
    html! {
        nav.bar #bar aria-label="What to do with the chosen finding" {
            p #chosen { "Nothing chosen" }
            div {
                (action("accept", "a", "Accept", "finding"))
                (action("correct", "c", "Correct", "finding"))
                (action("drop", "d", "Drop", "finding"))
                (action("pass", "p", "Pass over", "finding loose stale"))
                (action("split", "s", "Split", "finding"))
                (action("mark", "x", "Mark", "finding"))
                (action("merge", "m", "Merge marked", "marked"))
                (action("note", "n", "Note", "finding"))
                (action("add", "w", "Add from words", "any"))
                (action("play", "Space", "Play", "lines"))
            }
        }
    }
}
