//! Owns plans on a page: what a sum does best, what is done at which visit, and what the writer's own choice costs.

use maud::{Markup, html};

use super::super::estimate::{About, Estimate, WishesOut};
use super::super::need::Tier;
use super::super::plan::{BudgetPlan, JobRef, VisitPlan};
use super::super::totals::Totals;
use super::{difference, money, one, priced};
use crate::report::at;

/// All plans of an estimate; empty where none was asked for.
pub(super) fn plans(estimate: &Estimate) -> Markup {
    let (digits, currency) = (estimate.book.digits, estimate.book.currency.as_str());
    html! {
        @if let Some(plan) = &estimate.budget { (budget(plan, currency, digits)) }
        @if let Some(plan) = &estimate.visits { (visits(plan, digits)) }
    }
}

/// "Your choice costs 12.00 more than the cheapest set".
pub fn choice_costs(wishes: &WishesOut, digits: u32) -> String {
    let free = money(wishes.free_total, digits);
    match difference(wishes.difference, digits) {
        same if same == "the same" => format!("Your choice costs as much as the cheapest set: {free}."),
        change => format!("Your choice against the cheapest set ({free}): {change}."),
    }
}

fn budget(plan: &BudgetPlan, currency: &str, digits: u32) -> Markup {
    html! {
        section.plan {
            h2 { "What " (one(plan.budget, digits)) " " (currency) " does best" }
            @if let Some(short) = plan.stop_not_covered {
                p.halt { "It does not pay for all that must not be driven with: " (one(short, digits)) " " (currency) " is lacking." }
            }
            (jobs(&plan.jobs))
            (comes_to(&plan.totals, digits))
            @if !plan.put_off.is_empty() {
                h3 { "Put off" }
                ul { @for about in &plan.put_off { (put_off(about)) } }
            }
        }
    }
}

fn put_off(about: &About) -> Markup {
    html! {
        li {
            (at(&about.part, &about.position)) ", " (about.urgency.title().to_lowercase())
            @if about.urgency == Tier::Stop { strong { ": until then the vehicle must not be driven" } }
        }
    }
}

fn visits(plan: &VisitPlan, digits: u32) -> Markup {
    html! {
        section.plan {
            @for (n, visit) in plan.visits.iter().enumerate() {
                h2 { @if n == 0 { "Now" } @else if n == 1 { "At the next visit" } @else { "At visit " (n + 1) } }
                @if visit.jobs.is_empty() { p { "Nothing." } }
                (jobs(&visit.jobs))
                (comes_to(&visit.totals, digits))
            }
            h3 { "What splitting costs" }
            table {
                tbody {
                    @for r in &plan.repeated {
                        tr {
                            td {
                                (at(&r.name, &r.position)) ": "
                                @if r.times == 1 { "done again" } @else { "done " (r.times) " times more" }
                            }
                            td.n { (money(r.price, digits)) }
                        }
                    }
                    tr.total {
                        td { "All visits together, against " (money(plan.at_once, digits)) " at once" }
                        td.n { (difference(plan.splitting_costs, digits)) }
                    }
                    @for b in &plan.better_now {
                        tr {
                            td { (at(&b.about.part, &b.about.position)) ": done at once it saves" }
                            td.n { (money(b.saves, digits)) }
                        }
                    }
                }
            }
        }
    }
}

fn jobs(jobs: &[JobRef]) -> Markup {
    html! { @if !jobs.is_empty() { ul { @for j in jobs { li { (at(&j.name, &j.position)) } } } } }
}

fn comes_to(totals: &Totals, digits: u32) -> Markup {
    html! { p.price { "comes to " (priced(totals.total, totals.parts_without_price, digits)) } }
}
