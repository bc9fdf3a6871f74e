//! Owns the estimate laid out for a terminal: work by urgency, shared steps, what has no price, choices, sums, plans.

use std::fmt::Write;

use super::super::answer::{Answer, Answered};
use super::super::estimate::{About, Choice, Estimate, JobOut, PartOut, StepOut, Unpriced, WithoutJob};
use super::super::money::Amount;
use super::super::need::Tier;
use super::super::plan::{BudgetPlan, JobRef, VisitPlan};
use super::{UNCERTAIN, difference, in_all, money, nothing_to_do, one, plain, priced};
use crate::report::{self, Columns, at};

/// The estimate, `width` columns wide, with ANSI styles.
pub fn table(estimate: &Estimate, width: usize) -> String {
    let mut sheet = Sheet { out: Columns::new(width), digits: estimate.book.digits };
    sheet.head(estimate);
    for tier in Tier::ALL {
        let jobs: Vec<(usize, &JobOut)> = estimate.jobs.iter().enumerate().filter(|(_, j)| j.urgency == tier).collect();
        if !jobs.is_empty() {
            sheet.out.title(&format!("{} ({})", tier.title(), jobs.len()));
            jobs.into_iter().for_each(|(n, job)| sheet.job(estimate, n, job));
        }
    }
    let shared: Vec<&StepOut> = estimate.steps.iter().filter(|s| s.jobs.len() > 1).collect();
    if !shared.is_empty() {
        sheet.out.title("Steps that jobs share, counted once");
        shared.iter().for_each(|s| sheet.shared(s));
        let saved: Amount = shared.iter().map(|s| s.saved).sum();
        sheet.out.line(2, "saved by sharing, within the sums already", &format!("({})", money(saved, sheet.digits)));
    }
    sheet.unpriced(&estimate.unpriced);
    sheet.watched(&estimate.watched);
    sheet.answers(&estimate.answers);
    sheet.choices(estimate);
    sheet.sums(estimate);
    if let Some(plan) = &estimate.budget {
        sheet.budget(plan, &estimate.book.currency);
    }
    if let Some(plan) = &estimate.visits {
        sheet.visits(plan);
    }
    sheet.out.title("Before you rely on this estimate");
    estimate.cautions.iter().for_each(|c| sheet.out.words(2, &format!("- {c}")));
    sheet.out.finish()
}

fn doubt(about: &About) -> String {
    if about.uncertain { format!(" ! {UNCERTAIN}") } else { String::new() }
}

struct Sheet {
    out: Columns,
    digits: u32,
}

impl Sheet {
    fn head(&mut self, e: &Estimate) {
        let vehicle = e.vehicle.identification.as_deref().unwrap_or("vehicle not named");
        let odometer = e.vehicle.odometer.as_ref().map(|o| format!(", {}", report::quantity(o.value, o.unit)));
        let title = format!("Estimate: {vehicle}{}", odometer.unwrap_or_default());
        self.out.head(&title);
        self.out.words(0, &format!("{}, amounts in {}", e.book.name, e.book.currency));
        let unpriced = e.unpriced.len();
        let mut summary = format!("{}, {} in all", report::count(e.jobs.len(), "job", "jobs"), in_all(e));
        if unpriced > 0 {
            let _ = write!(summary, "; {} without a price", report::count(unpriced, "item is", "items are"));
        }
        self.out.words(0, &format!("{summary}."));
        if let Some(nothing) = nothing_to_do(e) {
            self.out.words(0, nothing);
        }
        if let Some(warning) = e.not_reviewed() {
            self.out.words(0, &format!("! {warning}. Lines may be wrong or missing."));
        }
        for about in e.stop_left_out() {
            let what = at(&about.part, &about.position);
            self.out.words(0, &format!("! NOT TO BE DRIVEN, and not in the total: {what}"));
        }
    }

    fn job(&mut self, e: &Estimate, n: usize, job: &JobOut) {
        let mark = if job.pinned { " (as you wished)" } else { "" };
        let name = format!("{:>2}. {}{mark}", n + 1, at(&job.name, &job.position));
        self.out.line(1, &name, &priced(job.price, job.without_price, self.digits));
        if !job.place_open.is_empty() {
            self.out.words(5, &format!("! {} was not said: priced for one place", job.place_open.join(" and ")));
        }
        for about in &job.findings {
            let id: String = about.finding.chars().take(4).collect();
            let doubt = doubt(about);
            self.out.words(5, &format!("for {} ({id}){doubt}", at(&about.part, &about.position)));
        }
        if !job.hours.is_zero() {
            self.out.words(5, &format!("{} h: {}", plain(job.hours), one(job.labour, self.digits)));
        }
        job.parts.iter().for_each(|p| self.part(5, p));
        for step in job.steps.iter().filter_map(|s| e.steps.get(*s)) {
            let own = step.jobs.len() == 1;
            let price = if own { priced(step.price, step.without_price, self.digits) } else { "shared, below".into() };
            self.out.words(5, &format!("{}: {} h, {price}", at(&step.name, &step.position), plain(step.hours)));
            if own {
                step.parts.iter().for_each(|p| self.part(7, p));
            }
        }
    }

    fn part(&mut self, indent: usize, p: &PartOut) {
        let count =
            if p.quantity == rust_decimal::Decimal::ONE { String::new() } else { format!("{} × ", plain(p.quantity)) };
        let price = p.amount.map_or_else(|| "price not known, ask".into(), |a| money(a, self.digits));
        let optional = if p.used { "" } else { "optional, not counted: " };
        self.out.words(indent, &format!("{optional}{count}{}: {price}", p.name));
        for other in &p.instead {
            let more = other.difference.map_or_else(|| "price not known".into(), |d| difference(d, self.digits));
            self.out.words(indent + 2, &format!("or {} [{}]: {more}", other.name, other.id));
        }
    }

    fn shared(&mut self, s: &StepOut) {
        let jobs: Vec<String> = s.jobs.iter().map(|j| (j + 1).to_string()).collect();
        let saved = money(s.saved, self.digits);
        let name =
            format!("{}, {} h, for jobs {}; saves {saved}", at(&s.name, &s.position), plain(s.hours), jobs.join(", "));
        self.out.line(2, &name, &priced(s.price, s.without_price, self.digits));
        s.parts.iter().for_each(|p| self.part(5, p));
    }

    fn unpriced(&mut self, lacks: &[Unpriced]) {
        if lacks.is_empty() {
            return;
        }
        self.out.title("Without a price: not in the total");
        for lack in lacks {
            let id: String = lack.about.finding.chars().take(4).collect();
            let work = lack.action.map(|a| format!("{} ", report::action(a))).unwrap_or_default();
            let why = match lack.reason {
                WithoutJob::NotInBook => "the rate book has no job for it",
                WithoutJob::Forbidden => "its jobs were forbidden",
            };
            let urgency = lack.about.urgency.title().to_lowercase();
            self.out.words(
                2,
                &format!(
                    "- {work}{} ({id}): {urgency}; {why}{}",
                    at(&lack.about.part, &lack.position),
                    doubt(&lack.about)
                ),
            );
        }
    }

    fn watched(&mut self, watched: &[About]) {
        if !watched.is_empty() {
            self.out.title("Only to be watched");
            watched.iter().for_each(|a| self.out.words(2, &format!("- {}{}", at(&a.part, &a.position), doubt(a))));
        }
    }

    fn answers(&mut self, answers: &[Answered]) {
        if answers.is_empty() {
            return;
        }
        self.out.title("The customer's answers");
        for a in answers {
            let mark =
                if a.about.urgency == Tier::Stop && a.answer != Answer::Approve { "! not to be driven: " } else { "" };
            let again = a.ask_again.as_ref().map(|d| format!(", ask again {d}")).unwrap_or_default();
            self.out.words(2, &format!("- {mark}{}: {}{again}", at(&a.about.part, &a.about.position), a.answer.done()));
        }
    }

    fn choices(&mut self, e: &Estimate) {
        let choices: Vec<&Choice> = e.choices.iter().collect();
        if choices.is_empty() {
            return;
        }
        self.out.title("Other ways, and what each would change in all");
        for choice in choices {
            let chosen: Vec<String> = choice.chosen.iter().map(|n| format!("job {}", n + 1)).collect();
            let about = at(&choice.about.part, &choice.about.position);
            let pinned = choice.chosen.iter().filter_map(|n| e.jobs.get(*n)).any(|j| j.pinned);
            let how = if pinned { "is as you wished" } else { "is the cheapest in all" };
            self.out.words(2, &format!("{about}: {} {how}", chosen.join(" with ")));
            for o in &choice.others {
                let offered = if o.offered { ", named by the technician" } else { "" };
                let mut change = difference(o.difference, self.digits);
                if o.without_price_difference > 0 {
                    change += ", and a price to ask";
                }
                self.out.line(4, &format!("or {} [{}]{offered}", at(&o.name, &o.position), o.job), &change);
            }
        }
    }

    fn sums(&mut self, e: &Estimate) {
        let d = self.digits;
        self.out.title("Sums");
        for sum in &e.by_urgency {
            let mut left =
                format!("{}: {}", sum.urgency.title().to_lowercase(), report::count(sum.jobs, "job", "jobs"));
            if sum.unpriced > 0 {
                let _ = write!(left, ", {} without a price", sum.unpriced);
            }
            self.out.line(2, &left, &priced(sum.price, sum.without_price, d));
        }
        let t = &e.totals;
        if !e.by_urgency.is_empty() {
            self.out.gap();
        }
        self.out.line(2, "labour", &one(t.labour, d));
        let lack = match t.parts_without_price {
            0 => String::new(),
            n => format!(", without {} whose price is not known", report::count(n, "part", "parts")),
        };
        self.out.line(2, &format!("parts{lack}"), &money(t.parts, d));
        self.out.line(2, "shop supplies", &money(t.supplies, d));
        for tax in &t.taxes {
            self.out.line(2, &format!("{}, {}%", tax.name, plain(tax.percent)), &money(tax.amount, d));
        }
        self.out.line(2, &format!("total, {}", e.book.currency), &in_all(e));
        if let Some(w) = &e.wishes {
            let free = money(w.free_total, d);
            self.out.line(2, &format!("your choice against the cheapest set ({free})"), &difference(w.difference, d));
        }
    }

    fn budget(&mut self, plan: &BudgetPlan, currency: &str) {
        let d = self.digits;
        self.out.title(&format!("What {} {currency} does best", one(plan.budget, d)));
        if let Some(short) = plan.stop_not_covered {
            let short = one(short, d);
            self.out.words(
                2,
                &format!("! It does not pay for all that must not be driven with: {short} {currency} is lacking."),
            );
        }
        plan.jobs.iter().for_each(|j| self.job_ref(j));
        self.out.line(2, "comes to", &priced(plan.totals.total, plan.totals.parts_without_price, d));
        if !plan.put_off.is_empty() {
            self.out.words(2, "put off:");
            plan.put_off.iter().for_each(|a| {
                let urgency = a.urgency.title().to_lowercase();
                self.out.words(4, &format!("- {} ({urgency})", at(&a.part, &a.position)));
            });
        }
    }

    fn visits(&mut self, plan: &VisitPlan) {
        let d = self.digits;
        for (n, visit) in plan.visits.iter().enumerate() {
            self.out.title(&format!("Visit {}", n + 1));
            visit.jobs.iter().for_each(|j| self.job_ref(j));
            self.out.line(2, "comes to", &priced(visit.totals.total, visit.totals.parts_without_price, d));
        }
        self.out.title("What splitting costs");
        for r in &plan.repeated {
            let times = if r.times == 1 { "done again".into() } else { format!("done {} times more", r.times) };
            self.out.line(2, &format!("{}: {times}", at(&r.name, &r.position)), &money(r.price, d));
        }
        let all = money(plan.at_once, d);
        self.out.line(2, &format!("all visits together, against {all} at once"), &difference(plan.splitting_costs, d));
        for b in &plan.better_now {
            let left = format!("{}: done at the first visit it saves", at(&b.about.part, &b.about.position));
            self.out.line(2, &left, &money(b.saves, d));
        }
    }

    fn job_ref(&mut self, j: &JobRef) {
        self.out.words(2, &format!("- {}", at(&j.name, &j.position)));
    }
}
