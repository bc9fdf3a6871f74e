//! Owns plans: what a sum of money does best, and what is done at which visit.

use std::collections::BTreeSet;

use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::lexicon::Position;

use super::estimate::{About, Estimate};
use super::money::Amount;
use super::need::Tier;
use super::problem::Problem;
use super::solve::{Goal, Unsolved, cheapest};
use super::totals::Totals;

/// What a sum of money does best: as many findings as it can, the more pressing strictly first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BudgetPlan {
    /// The sum.
    pub budget: Decimal,
    /// Findings that are served.
    pub done: Vec<About>,
    /// Jobs, by name and place.
    pub jobs: Vec<JobRef>,
    /// Findings with a job that are put off, those with a price to ask among them.
    pub put_off: Vec<About>,
    /// What it comes to, at the upper end of every price; above the budget only if `stop_not_covered` says so.
    pub totals: Totals,
    /// What is lacking to serve all that is not to be driven with; null where nothing is. Such work is never left away.
    pub stop_not_covered: Option<Decimal>,
}

/// A job at a place, in short.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobRef {
    /// Id in the rate book.
    pub job: String,
    /// For people.
    pub name: String,
    /// Where.
    pub position: Vec<Position>,
}

/// The work spread over visits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VisitPlan {
    /// Each visit.
    pub visits: Vec<VisitOut>,
    /// All visits together.
    pub total: Amount,
    /// All of it in one visit.
    pub at_once: Amount,
    /// What the splitting costs.
    pub splitting_costs: Amount,
    /// Steps done at more than one visit, by name, with what the repetition costs before supplies and taxes.
    pub repeated: Vec<RepeatedStep>,
    /// Findings of later visits that would cost less in all if they were done at the first.
    pub better_now: Vec<BetterNow>,
}

/// One visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VisitOut {
    /// Findings that are served.
    pub done: Vec<About>,
    /// Jobs.
    pub jobs: Vec<JobRef>,
    /// What it comes to.
    pub totals: Totals,
}

/// A step that splitting repeats.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RepeatedStep {
    /// For people.
    pub name: String,
    /// Where.
    pub position: Vec<Position>,
    /// How often it is done too much.
    pub times: usize,
    /// What that costs.
    pub price: Amount,
}

/// A finding that would be cheaper to do at the first visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BetterNow {
    /// The finding.
    pub about: About,
    /// What it saves in all.
    pub saves: Amount,
}

/// Plans that are asked for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Plans {
    /// A sum to do the best with.
    pub budget: Option<Decimal>,
    /// Visits to spread the work over.
    pub visits: Option<usize>,
}

impl Estimate {
    /// The estimate with plans for the same choice.
    ///
    /// # Errors
    /// The solver gave up.
    pub fn with_plans(mut self, problem: &Problem, plans: Plans) -> Result<Estimate, Unsolved> {
        self.budget = plans.budget.map(|b| within_budget(problem, b)).transpose()?;
        self.visits = plans.visits.map(|n| over_visits(problem, n)).transpose()?;
        Ok(self)
    }
}

/// The best that a sum does.
///
/// # Errors
/// The solver gave up.
pub fn within_budget(problem: &Problem, budget: Decimal) -> Result<BudgetPlan, Unsolved> {
    let of_tier = |tier: Tier| -> Vec<usize> {
        (0..problem.items.len())
            .filter(|i| servable(problem, *i) && Tier::of(problem.items[*i].finding) == tier)
            .collect()
    };
    let total = |set: &[usize]| Totals::of(problem.book, problem.cost_of(set));
    let mut goal = Goal { must: of_tier(Tier::Stop), ..Goal::default() };
    let mut best = cheapest(problem, &goal)?;
    let over = total(&best).total.high - budget;
    let short = (over > Decimal::ZERO).then_some(over);
    // a part whose price is not known costs more than nothing: only what must be done may bring one in
    let unknown = problem.cost_of(&best).without_price;
    // what pressing work is short of is never spent on anything else
    for tier in Tier::ALL.into_iter().skip(1).filter(|_| short.is_none()) {
        let items = of_tier(tier);
        // most that fits lies between `fits` and `least_too_many`: the cheapest way to serve more never costs less
        let (mut fits, mut too_many) = (served(problem, &best, &items), items.len() + 1);
        while fits + 1 < too_many {
            let count = fits + (too_many - fits) / 2;
            let mut try_goal = goal.clone();
            try_goal.at_least.push((items.clone(), count));
            let set = cheapest(problem, &try_goal)?;
            if total(&set).total.high <= budget && problem.cost_of(&set).without_price <= unknown {
                (fits, best) = (served(problem, &set, &items).max(count), set);
            } else {
                too_many = count;
            }
        }
        goal.at_least.push((items, fits));
    }
    let (done, put_off): (Vec<usize>, Vec<usize>) = (0..problem.items.len())
        .filter(|i| servable(problem, *i))
        .partition(|i| problem.serves(&best, &problem.items[*i]));
    Ok(BudgetPlan {
        budget,
        done: abouts(problem, &done),
        jobs: job_refs(problem, &best),
        put_off: abouts(problem, &put_off),
        totals: total(&best),
        stop_not_covered: short,
    })
}

/// The work spread over `count` visits: what is not to be driven with and what needs doing at the first, the rest by urgency. What
/// an earlier visit's jobs serve anyway is not done again.
///
/// # Errors
/// The solver gave up.
pub fn over_visits(problem: &Problem, count: usize) -> Result<VisitPlan, Unsolved> {
    let all: Vec<usize> = (0..problem.items.len()).filter(|i| servable(problem, *i)).collect();
    let visit_of = |i: usize| match Tier::of(problem.items[i].finding) {
        Tier::Stop | Tier::Now => 0,
        Tier::Soon => 1,
        Tier::Unsaid | Tier::Watch => 2,
    };
    let mut parts: Vec<Vec<usize>> = vec![Vec::new(); count.max(1)];
    for i in &all {
        parts[visit_of(*i).min(count.max(1) - 1)].push(*i);
    }
    let total = |set: &[usize]| Totals::of(problem.book, problem.cost_of(set)).total;
    let at_once = total(&cheapest(problem, &Goal { must: all, ..Goal::default() })?);
    let free = problem.unpinned();
    let visits = split(problem, &free, parts.clone())?;
    let sum = |visits: &[Parted]| -> Amount { visits.iter().map(|(_, set)| total(set)).sum() };
    let together = sum(&visits);
    let mut better_now = Vec::new();
    for (later, (done, _)) in visits.iter().enumerate().skip(1) {
        for item in done {
            let mut moved = parts.clone();
            moved[later].retain(|i| i != item);
            moved[0].push(*item);
            let saves = together - sum(&split(problem, &free, moved)?);
            if saves.high > Decimal::ZERO {
                better_now.push(BetterNow { about: About::of(problem.items[*item].finding), saves });
            }
        }
    }
    better_now.sort_by_key(|b| std::cmp::Reverse(b.saves.high));
    Ok(VisitPlan {
        total: together,
        at_once,
        splitting_costs: together - at_once,
        repeated: repeated(problem, &visits),
        better_now,
        visits: visits
            .iter()
            .map(|(done, set)| VisitOut {
                done: abouts(problem, done),
                jobs: job_refs(problem, set),
                totals: Totals::of(problem.book, problem.cost_of(set)),
            })
            .collect(),
    })
}

/// The items that a visit serves and the jobs that do it.
type Parted = (Vec<usize>, Vec<usize>);

/// For each visit the items it serves and the jobs that do it; what earlier jobs serve moves to the earlier visit.
fn split(problem: &Problem, free: &Problem, parts: Vec<Vec<usize>>) -> Result<Vec<Parted>, Unsolved> {
    let mut out: Vec<Parted> = Vec::new();
    for mut items in parts {
        for (done, set) in &mut out {
            let (served, rest): (Vec<usize>, Vec<usize>) =
                items.into_iter().partition(|i| problem.serves(set, &problem.items[*i]));
            done.extend(served);
            done.sort_unstable();
            items = rest;
        }
        items.sort_unstable();
        let set =
            cheapest(if out.is_empty() { problem } else { free }, &Goal { must: items.clone(), ..Goal::default() })?;
        out.push((items, set));
    }
    Ok(out)
}

fn repeated(problem: &Problem, visits: &[Parted]) -> Vec<RepeatedStep> {
    let each: Vec<BTreeSet<usize>> =
        visits.iter().map(|(_, set)| problem.steps_of(set).into_iter().collect()).collect();
    let all: BTreeSet<usize> = each.iter().flatten().copied().collect();
    let times = |n: usize| each.iter().filter(|s| s.contains(&n)).count() - 1;
    let twice = all.into_iter().filter(|n| times(*n) > 0);
    let out = twice.map(|n| RepeatedStep {
        name: problem.book.operations[problem.steps[n].operation].name.clone(),
        position: problem.steps[n].site.position(),
        times: times(n),
        price: problem.steps[n].cost.price().times(times(n).into()),
    });
    out.collect()
}

fn servable(problem: &Problem, item: usize) -> bool {
    !problem.items[item].needs.is_empty()
}

fn served(problem: &Problem, set: &[usize], items: &[usize]) -> usize {
    items.iter().filter(|i| problem.serves(set, &problem.items[**i])).count()
}

fn abouts(problem: &Problem, items: &[usize]) -> Vec<About> {
    items.iter().map(|i| About::of(problem.items[*i].finding)).collect()
}

fn job_refs(problem: &Problem, set: &[usize]) -> Vec<JobRef> {
    let of = |n: &usize| {
        let what = problem.instances[*n].what;
        let job = &problem.book.jobs[what.job];
        JobRef { job: job.id.clone(), name: job.name.clone(), position: what.site.position() }
    };
    set.iter().map(of).collect()
}
