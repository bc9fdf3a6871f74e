//! Owns the way from a chosen set of jobs to an [`Estimate`].

use std::collections::{BTreeMap, BTreeSet};

use crate::findings::{Finding, Vehicle};
use crate::report;

use super::answer::Answered;
use super::book::RateBook;
use super::estimate::{
    About, BookInfo, Choice, Estimate, InsteadOut, JobOut, OtherJob, PartOut, SCHEMA, StepOut, TierSum, Unpriced,
    WishesOut, WithoutJob,
};
use super::money::Amount;
use super::need::{self, Tier};
use super::problem::{Cost, PricedPart, Problem, Wishes};
use super::solve::{Goal, Unsolved, cheapest, undecided};
use super::totals::Totals;

const CAUTION: &str = "An estimate: what comes to light when the work is begun may change it.";

/// With more jobs undecided than this, each other way is priced with the rest left as it is: to solve anew for each would take
/// minutes.
const MOST_UNDECIDED: usize = 40;
const ROUGH: &str =
    "Many jobs compete here: what another way would change is told with all other jobs left as they are.";

/// What an estimate is made for.
#[derive(Debug, Clone)]
pub struct Visit<'f> {
    /// The vehicle.
    pub vehicle: Vehicle,
    /// What the findings were read from.
    pub sources: Vec<String>,
    /// What the customer said so far.
    pub answers: Vec<Answered>,
    /// Findings that were chosen, in any order: without those that were declined or put off.
    pub findings: Vec<&'f Finding>,
    /// How many things of the list must still be looked at; 0 once it is reviewed.
    pub open: usize,
    /// What the findings' readers must know.
    pub cautions: Vec<String>,
}

/// The cheapest complete estimate that keeps to the wishes.
///
/// # Errors
/// The solver gave up.
pub fn estimate(book: &RateBook, visit: &Visit, wishes: &Wishes) -> Result<Estimate, Unsolved> {
    let problem = Problem::new(book, &visit.findings, wishes);
    let goal = Goal::all(&problem);
    let chosen = cheapest(&problem, &goal)?;
    let mut out = reckon(&problem, &chosen);
    out.choices = choices(&problem, &goal, &chosen)?;
    if undecided(&problem, &goal) > MOST_UNDECIDED && !out.choices.is_empty() {
        out.cautions.push(ROUGH.into());
    }
    if !wishes.pinned.is_empty() || !wishes.forbidden.is_empty() {
        let free = Wishes { taken: wishes.taken.clone(), ..Wishes::default() };
        let free = Problem::new(book, &visit.findings, &free);
        let free_set = cheapest(&free, &Goal::all(&free))?;
        let free_total = Totals::of(book, free.cost_of(&free_set)).total;
        out.wishes = Some(WishesOut { free_total, difference: out.totals.total - free_total });
    }
    out.vehicle = visit.vehicle.clone();
    out.sources.clone_from(&visit.sources);
    out.answers.clone_from(&visit.answers);
    out.open = visit.open;
    out.cautions.extend(visit.cautions.iter().cloned());
    Ok(out)
}

impl Goal {
    /// Everything that can be done is to be done.
    pub fn all(problem: &Problem) -> Goal {
        Goal { must: (0..problem.items.len()).collect(), ..Goal::default() }
    }
}

/// Lays a set of jobs out as an estimate for these items.
fn reckon(problem: &Problem, chosen: &[usize]) -> Estimate {
    let book = problem.book;
    let number = numbers(problem, chosen);
    let mut jobs: Vec<JobOut> = in_order(problem, chosen).into_iter().map(|n| job(problem, chosen, n)).collect();
    let step_numbers = problem.steps_of(chosen);
    let mut steps: Vec<StepOut> = Vec::new();
    for (at, step) in step_numbers.iter().enumerate() {
        let users: BTreeSet<usize> =
            chosen.iter().filter(|n| problem.instances[**n].steps.contains(step)).map(|n| number[n]).collect();
        let urgency = users.iter().map(|u| jobs[*u].urgency).min().unwrap_or(Tier::Watch);
        let out = step_out(problem, *step, urgency, users.into_iter().collect());
        for user in &out.jobs {
            jobs[*user].steps.push(at);
        }
        if let [only] = out.jobs.as_slice() {
            let job = &mut jobs[*only];
            job.price = job.price + out.price;
            job.without_price += out.without_price;
        }
        steps.push(out);
    }
    let unpriced: Vec<Unpriced> = problem.items.iter().flat_map(without_job).collect();
    let by_urgency = Tier::ALL.iter().filter_map(|t| tier_sum(*t, &jobs, &steps, &unpriced)).collect();
    let mut cautions = vec![CAUTION.to_string()];
    cautions.extend(book.note.clone());
    Estimate {
        schema: SCHEMA.into(),
        vehicle: Vehicle::default(),
        sources: Vec::new(),
        open: 0,
        book: BookInfo {
            name: book.name.clone(),
            note: book.note.clone(),
            currency: book.currency.clone(),
            digits: book.digits,
            rounding: book.rounding,
        },
        jobs,
        steps,
        unpriced,
        watched: problem.watched.iter().map(|f| About::of(f)).collect(),
        answers: Vec::new(),
        choices: Vec::new(),
        by_urgency,
        totals: Totals::of(book, problem.cost_of(chosen)),
        wishes: None,
        budget: None,
        visits: None,
        cautions,
    }
}

impl About {
    /// A finding in short.
    pub fn of(f: &Finding) -> About {
        About {
            finding: f.id.clone(),
            part: report::part(&f.component),
            position: f.position.clone(),
            urgency: Tier::of(f),
            uncertain: f.is_uncertain(),
        }
    }
}

fn job(problem: &Problem, chosen: &[usize], n: usize) -> JobOut {
    let instance = &problem.instances[n];
    let job = &problem.book.jobs[instance.what.job];
    let findings: Vec<About> = problem.served_by(n).map(|i| About::of(i.finding)).collect();
    let rest: Vec<usize> = chosen.iter().copied().filter(|c| *c != n).collect();
    let total = |set: &[usize]| Totals::of(problem.book, problem.cost_of(set)).total;
    JobOut {
        job: job.id.clone(),
        name: job.name.clone(),
        position: instance.what.site.position(),
        place_open: instance.what.site.unknown(job.per).into_iter().map(str::to_string).collect(),
        urgency: problem.urgency_of(n),
        findings,
        pinned: instance.pinned,
        hours: job.work.hours_for(instance.what.site),
        labour: instance.cost.labour,
        parts: instance.parts.iter().map(part_out).collect(),
        steps: Vec::new(),
        price: instance.cost.price(),
        without_price: instance.cost.without_price,
        left_out_saves: total(chosen) - total(&rest),
    }
}

fn step_out(problem: &Problem, n: usize, urgency: Tier, jobs: Vec<usize>) -> StepOut {
    let step = &problem.steps[n];
    let operation = &problem.book.operations[step.operation];
    let price = step.cost.price();
    StepOut {
        operation: operation.id.clone(),
        name: operation.name.clone(),
        position: step.site.position(),
        hours: operation.work.hours_for(step.site),
        labour: step.cost.labour,
        parts: step.parts.iter().map(part_out).collect(),
        price,
        without_price: step.cost.without_price,
        urgency,
        saved: price.times(jobs.len().saturating_sub(1).into()),
        jobs,
    }
}

impl Cost {
    /// Labour and the parts that have a price.
    pub fn price(self) -> Amount {
        Amount::exact(self.labour) + self.parts
    }
}

fn part_out(p: &PricedPart) -> PartOut {
    let others = std::iter::once(&p.line.usual).chain(&p.line.instead).filter(|c| c.id != p.choice.id);
    let instead = others.map(|c| InsteadOut {
        id: c.id.clone(),
        name: c.name.clone(),
        difference: c.price.zip(p.choice.price).map(|(other, now)| (other - now).times(p.line.quantity)),
    });
    PartOut {
        id: p.choice.id.clone(),
        name: p.choice.name.clone(),
        quantity: p.line.quantity,
        price: p.choice.price,
        amount: p.amount,
        used: p.used,
        instead: instead.collect(),
    }
}

fn without_job(item: &super::problem::Item) -> Vec<Unpriced> {
    let about = About::of(item.finding);
    let out = item.without_job.iter().map(|(need, forbidden)| Unpriced {
        about: about.clone(),
        position: need.site.position(),
        action: need.action,
        reason: if *forbidden { WithoutJob::Forbidden } else { WithoutJob::NotInBook },
    });
    out.collect()
}

fn tier_sum(tier: Tier, jobs: &[JobOut], steps: &[StepOut], unpriced: &[Unpriced]) -> Option<TierSum> {
    let of_tier = || jobs.iter().filter(|j| j.urgency == tier);
    let shared = || steps.iter().filter(|s| s.urgency == tier && s.jobs.len() > 1);
    let sum = TierSum {
        urgency: tier,
        jobs: of_tier().count(),
        price: of_tier().map(|j| j.price).chain(shared().map(|s| s.price)).sum(),
        without_price: of_tier().map(|j| j.without_price).chain(shared().map(|s| s.without_price)).sum(),
        unpriced: unpriced.iter().filter(|u| u.about.urgency == tier).count(),
    };
    (sum.jobs > 0 || sum.unpriced > 0).then_some(sum)
}

/// For every finding that other jobs would serve too: what each of them would change. It takes the place of what was pinned for the
/// same work.
fn choices(problem: &Problem, goal: &Goal, chosen: &[usize]) -> Result<Vec<Choice>, Unsolved> {
    let numbers = numbers(problem, chosen);
    let now = Totals::of(problem.book, problem.cost_of(chosen));
    let mut known: BTreeMap<(usize, Vec<usize>), (Amount, i64)> = BTreeMap::new();
    let is_small = undecided(problem, goal) <= MOST_UNDECIDED;
    let mut out = Vec::new();
    for item in &problem.items {
        let able: BTreeSet<usize> = item.needs.iter().flat_map(|(_, able)| able.iter().copied()).collect();
        let mut others = Vec::new();
        for n in able.iter().filter(|n| !chosen.contains(n)) {
            let instead = item.needs.iter().filter(|(_, able)| able.contains(n)).flat_map(|(_, able)| able);
            let instead: BTreeSet<usize> = instead.copied().filter(|i| problem.instances[*i].pinned).collect();
            let key = (*n, instead.iter().copied().collect::<Vec<_>>());
            let (difference, without_price) = match known.get(&key) {
                Some(known) => *known,
                None => {
                    let problem = &problem.without_pins(&instead);
                    let set = match is_small {
                        true => cheapest(problem, &Goal { with: vec![*n], ..goal.clone() })?,
                        false => swapped(problem, goal, chosen, *n),
                    };
                    let then = Totals::of(problem.book, problem.cost_of(&set));
                    let more = then.parts_without_price as i64 - now.parts_without_price as i64;
                    *known.entry(key).or_insert((then.total - now.total, more))
                }
            };
            let what = problem.instances[*n].what;
            let job = &problem.book.jobs[what.job];
            others.push(OtherJob {
                job: job.id.clone(),
                name: job.name.clone(),
                position: what.site.position(),
                offered: need::is_offered(item.finding, job, what.site),
                difference,
                without_price_difference: without_price,
            });
        }
        others.sort_by_key(|o| !o.offered);
        if !others.is_empty() {
            let chosen = able.iter().filter_map(|n| numbers.get(n).copied()).collect();
            out.push(Choice { about: About::of(item.finding), chosen, others });
        }
    }
    Ok(out)
}

/// The chosen jobs with another one, without those that it makes needless: an upper bound of what it costs.
fn swapped(problem: &Problem, goal: &Goal, chosen: &[usize], with: usize) -> Vec<usize> {
    let mut set: Vec<usize> = chosen.iter().copied().chain([with]).collect();
    for job in chosen.iter().filter(|n| !problem.instances[**n].pinned) {
        let rest: Vec<usize> = set.iter().copied().filter(|n| n != job).collect();
        if goal.must.iter().all(|i| problem.serves(&rest, &problem.items[*i])) {
            set = rest;
        }
    }
    set
}

/// The jobs as the estimate has them: most pressing first.
fn in_order(problem: &Problem, chosen: &[usize]) -> Vec<usize> {
    let mut order = chosen.to_vec();
    order.sort_by_key(|n| (problem.urgency_of(*n), *n));
    order
}

/// Where each chosen job stands in the estimate.
fn numbers(problem: &Problem, chosen: &[usize]) -> BTreeMap<usize, usize> {
    in_order(problem, chosen).into_iter().enumerate().map(|(at, n)| (n, at)).collect()
}
