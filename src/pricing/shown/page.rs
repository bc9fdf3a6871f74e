//! Owns the estimate for the customer: one self-contained HTML page without scripts, to print, or a sheet within a page of somebody
//! else's. Every word from outside is escaped by the template.

use maud::{Markup, PreEscaped, html};

use super::super::answer::{Answer, Answered};
use super::super::estimate::{About, Choice, Estimate, InsteadOut, JobOut, OtherJob, PartOut};
use super::super::money::Amount;
use super::super::need::Tier;
use super::plans::plans;
use super::{UNCERTAIN, difference, in_all, money, nothing_to_do, one, plain, priced};
use crate::findings::{Document, Finding};
use crate::report::{self, Quote, at};

/// How the estimate looks.
pub const STYLE: &str = include_str!("page.css");

/// What a page of somebody else's adds to the lines.
pub trait Ask {
    /// In the place of the boxes to tick; it gets the findings behind a line.
    fn answer(&self, abouts: &[&About]) -> Markup;
    /// Beside a job of the estimate: taking another way.
    fn chosen(&self, job: &JobOut) -> Markup;
    /// Beside a job that would do as well as these of the estimate.
    fn other(&self, job: &OtherJob, instead: &[&JobOut]) -> Markup;
    /// Beside a part, or another that could be used in its stead.
    fn part(&self, part: &PartOut, other: Option<&InsteadOut>) -> Markup;
}

/// The estimate as a page. The documents hold the words behind its findings.
pub fn page(estimate: &Estimate, documents: &[Document]) -> String {
    let sheet = Sheet { estimate, documents, ask: None };
    let head = html! { style { (PreEscaped(STYLE)) } };
    let body = html! { (sheet.head()) main { (sheet.lines()) } (sheet.foot()) };
    report::html_page(&format!("Estimate: {}", sheet.vehicle()), &head, &body)
}

/// The estimate as a part of a page that has [`STYLE`] and asks for answers in its own way: also on what has no price yet and on what
/// was answered before.
pub fn sheet(estimate: &Estimate, documents: &[Document], ask: &dyn Ask) -> Markup {
    let sheet = Sheet { estimate, documents, ask: Some(ask) };
    html! { (sheet.head()) (sheet.lines()) (sheet.foot()) }
}

struct Sheet<'e> {
    estimate: &'e Estimate,
    documents: &'e [Document],
    ask: Option<&'e dyn Ask>,
}

impl Sheet<'_> {
    fn vehicle(&self) -> String {
        report::shown(self.estimate.vehicle.identification.as_deref().unwrap_or("Your vehicle"))
    }

    fn head(&self) -> Markup {
        let estimate = self.estimate;
        html! {
            header {
                p.shop { (report::shown(&estimate.book.name)) }
                h1 { "Estimate for " (self.vehicle()) }
                @if let Some(o) = &estimate.vehicle.odometer {
                    p { "At " (report::quantity(o.value, o.unit)) }
                }
                p {
                    "All amounts in " (estimate.book.currency) "."
                    @if self.ask.is_none() { " For each line, tell us: do it, not this time, or later." }
                }
                @if self.ask.is_none() {
                    @if let Some(warning) = estimate.not_reviewed() {
                        p.halt { (warning) ". Lines may be wrong or missing." }
                    }
                }
                @for about in estimate.stop_left_out() {
                    p.halt { "Not to be driven, and not in this total: " (at(&about.part, &about.position)) }
                }
            }
        }
    }

    fn lines(&self) -> Markup {
        html! {
            @if let Some(nothing) = nothing_to_do(self.estimate) { p { (nothing) } }
            @for tier in Tier::ALL { (self.tier(tier)) }
            (self.shared())
            (self.unpriced())
            (self.watched())
            (self.left_out())
            (self.sums())
            (plans(self.estimate))
        }
    }

    fn foot(&self) -> Markup {
        html! {
            footer {
                h2 { "Please note" }
                ul { @for caution in &self.estimate.cautions { li { (report::shown(caution)) } } }
                p.signature { span { "Date" } span { "Signature" } }
            }
        }
    }

    /// What stands in a line for the answer, where somebody asks for it.
    fn asked(&self, abouts: &[&About]) -> Option<Markup> {
        self.ask.map(|ask| ask.answer(abouts))
    }

    fn money(&self, amount: Amount) -> String {
        money(amount, self.estimate.book.digits)
    }

    fn priced(&self, amount: Amount, without_price: usize) -> String {
        priced(amount, without_price, self.estimate.book.digits)
    }

    fn tier(&self, tier: Tier) -> Markup {
        let jobs: Vec<(usize, &JobOut)> =
            self.estimate.jobs.iter().enumerate().filter(|(_, j)| j.urgency == tier).collect();
        html! {
            @if !jobs.is_empty() {
                section class=(tier.as_str()) {
                    h2 { (tier.title()) }
                    @if tier == Tier::Stop { p.halt { "The vehicle must not be driven until this is done." } }
                    @for (n, job) in jobs { (self.job(n, job)) }
                }
            }
        }
    }

    fn job(&self, n: usize, job: &JobOut) -> Markup {
        let steps: Vec<_> = job.steps.iter().filter_map(|s| self.estimate.steps.get(*s)).collect();
        let shared = steps.iter().any(|s| s.jobs.len() > 1);
        html! {
            article {
                div.line {
                    h3 { (n + 1) ". " (at(&job.name, &job.position)) }
                    p.price { (self.priced(job.price, job.without_price)) @if shared { small { " and its share of the steps below" } } }
                }
                @if !job.place_open.is_empty() {
                    p.open { "Priced for one place: " (job.place_open.join(" and ")) " was not said." }
                }
                @for about in &job.findings { (self.finding(about)) }
                @if !job.parts.is_empty() { ul.parts { @for p in &job.parts { (self.part(p)) } } }
                (self.others(n))
                @if let Some(ask) = self.ask { (ask.chosen(job)) }
                @let is_approved = job.findings.iter().all(|f| self.is_approved(f));
                @if is_approved { p.approved { "Approved" } }
                @if let Some(asked) = self.asked(&job.findings.iter().collect::<Vec<_>>()) {
                    (asked)
                } @else if !is_approved {
                    p.answer {
                        span { "do it" } span { "not this time" } span { "later, by" }
                    }
                }
            }
        }
    }

    fn finding(&self, about: &About) -> Markup {
        let found = self.documents.iter().find_map(|d| Some((d, d.findings.iter().find(|f| f.id == about.finding)?)));
        html! {
            div.finding {
                p {
                    strong { (at(&about.part, &about.position)) }
                    @if let Some((_, f)) = found { (what(f)) }
                }
                @if about.uncertain { p.open { (UNCERTAIN) } }
                @if let Some(wording) = found.and_then(|(_, f)| f.review.as_ref()?.wording.as_ref()) {
                    p { (report::shown(wording)) }
                }
                @if let Some((document, f)) = found {
                    @for quote in report::quotes(document, &f.evidence) { (words(&quote)) }
                }
            }
        }
    }

    fn part(&self, p: &PartOut) -> Markup {
        html! {
            li {
                @if !p.used { "If you wish: " }
                @if p.quantity != rust_decimal::Decimal::ONE { (plain(p.quantity)) " × " }
                (report::shown(&p.name)) ", "
                @match p.amount { Some(a) => (self.money(a)), None => "price to be asked" }
                @if let Some(ask) = self.ask { (ask.part(p, None)) }
                @for other in &p.instead {
                    "; or " (report::shown(&other.name)) ": "
                    @match other.difference {
                        Some(d) => (difference(d, self.estimate.book.digits)),
                        None => "price to be asked",
                    }
                    @if let Some(ask) = self.ask { (ask.part(p, Some(other))) }
                }
            }
        }
    }

    /// Other repairs for what this job does, with what each changes in all.
    fn others(&self, n: usize) -> Markup {
        let choices: Vec<&Choice> = self.estimate.choices.iter().filter(|c| c.chosen.contains(&n)).collect();
        let mut seen = Vec::new();
        for other in choices.iter().flat_map(|c| &c.others) {
            if !seen.iter().any(|s: &&OtherJob| s.job == other.job && s.position == other.position) {
                seen.push(other);
            }
        }
        html! {
            @if !seen.is_empty() {
                p.others {
                    "Another way: "
                    @for (i, o) in seen.iter().enumerate() {
                        @if i > 0 { "; " }
                        (at(&o.name, &o.position))
                        @if o.offered { " (named by the technician)" }
                        ", " (difference(o.difference, self.estimate.book.digits))
                        @if o.without_price_difference > 0 { " and a price to ask" }
                        " in all"
                        @if let Some(ask) = self.ask { " " (ask.other(o, &self.instead(o))) }
                    }
                    "."
                }
            }
        }
    }

    /// The jobs of the estimate that another one would do as well as.
    fn instead(&self, other: &OtherJob) -> Vec<&JobOut> {
        let does = |c: &&Choice| c.others.iter().any(|o| o.job == other.job && o.position == other.position);
        let chosen = self.estimate.choices.iter().filter(does).flat_map(|c| &c.chosen);
        chosen.filter_map(|n| self.estimate.jobs.get(*n)).collect()
    }

    fn shared(&self) -> Markup {
        let shared: Vec<_> = self.estimate.steps.iter().filter(|s| s.jobs.len() > 1).collect();
        html! {
            @if !shared.is_empty() {
                section.shared {
                    h2 { "Steps that several lines need, charged once" }
                    table {
                        thead { tr { th { "Step" } th { "For lines" } th.n { "Saves" } th.n { "Price" } } }
                        tbody {
                            @for s in shared {
                                tr {
                                    td { (at(&s.name, &s.position)) }
                                    td { (s.jobs.iter().map(|j| (j + 1).to_string()).collect::<Vec<_>>().join(", ")) }
                                    td.n { (self.money(s.saved)) }
                                    td.n { (self.priced(s.price, s.without_price)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    fn unpriced(&self) -> Markup {
        let lacks = &self.estimate.unpriced;
        html! {
            @if !lacks.is_empty() {
                section.unpriced {
                    h2 { "Found, not in the total: no price yet" }
                    @for lack in lacks {
                        div.line {
                            (self.finding(&lack.about))
                            p.price { (lack.about.urgency.title()) }
                        }
                        @if self.is_approved(&lack.about) { p.approved { "Approved" } }
                        @if let Some(asked) = self.asked(&[&lack.about]) { (asked) }
                    }
                }
            }
        }
    }

    fn watched(&self) -> Markup {
        let watched = &self.estimate.watched;
        html! {
            @if !watched.is_empty() {
                section { h2 { "Only to be watched" } @for about in watched { (self.finding(about)) } }
            }
        }
    }

    fn is_approved(&self, about: &About) -> bool {
        let of = |a: &&Answered| a.about.finding == about.finding;
        self.estimate.answers.iter().find(of).is_some_and(|a| a.answer == Answer::Approve)
    }

    /// What was declined or put off stays on paper.
    fn left_out(&self) -> Markup {
        let left: Vec<&Answered> = self.estimate.answers.iter().filter(|a| a.answer != Answer::Approve).collect();
        html! {
            @if !left.is_empty() {
                section.left {
                    h2 { "Declined or put off, not in the total" }
                    @for a in left {
                        (self.finding(&a.about))
                        p {
                            (a.answer.done())
                            @if let Some(again) = &a.ask_again { ", to be asked again " (again) }
                            @if a.about.urgency == Tier::Stop { strong { ". Until then the vehicle must not be driven." } }
                        }
                        @if let Some(asked) = self.asked(&[&a.about]) { (asked) }
                    }
                }
            }
        }
    }

    fn sums(&self) -> Markup {
        let t = &self.estimate.totals;
        let digits = self.estimate.book.digits;
        html! {
            section.sums {
                h2 { "Sums" }
                table {
                    tbody {
                        @for s in &self.estimate.by_urgency {
                            tr { td { (s.urgency.title()) } td.n { (self.priced(s.price, s.without_price)) } }
                        }
                    }
                    tbody {
                        tr { td { "Labour" } td.n { (one(t.labour, digits)) } }
                        tr {
                            td {
                                "Parts"
                                @if t.parts_without_price > 0 {
                                    ", without " (report::count(t.parts_without_price, "part", "parts"))
                                    " whose price we have to ask"
                                }
                            }
                            td.n { (self.money(t.parts)) }
                        }
                        tr { td { "Shop supplies" } td.n { (self.money(t.supplies)) } }
                        @for tax in &t.taxes {
                            tr { td { (report::shown(&tax.name)) ", " (plain(tax.percent)) "%" } td.n { (self.money(tax.amount)) } }
                        }
                        tr.total { td { "Total, " (self.estimate.book.currency) } td.n { (in_all(self.estimate)) } }
                    }
                }
            }
        }
    }
}

/// What was found, behind the part's name.
fn what(f: &Finding) -> String {
    let mut words: Vec<String> = f.conditions.iter().map(report::condition).collect();
    words.extend(f.measurements.iter().map(report::measurement));
    if words.is_empty() { String::new() } else { format!(": {}", words.join(", ")) }
}

fn words(quote: &Quote) -> Markup {
    html! {
        blockquote {
            "“" (quote.words) "”"
            @if !quote.at.is_empty() { " " span.time { (quote.at) } }
        }
    }
}
