//! Owns the finding of the cheapest set of jobs: weighted set cover with shared set-up, as a mixed-integer problem, and the
//! exact reckoning of what comes out.

use std::collections::{BTreeMap, BTreeSet};

use good_lp::{
    Expression, ProblemVariables, Solution as _, SolverModel, Variable, constraint, solvers::SolutionStatus,
    solvers::microlp::microlp, variable,
};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::book::Base;
use super::money::Amount;
use super::problem::{Cost, Problem};
use super::totals;

/// What is asked of a set of jobs.
#[derive(Debug, Clone, Default)]
pub struct Goal {
    /// Items that must be served.
    pub must: Vec<usize>,
    /// Of each of these lists of items, at least so many must be served.
    pub at_least: Vec<(Vec<usize>, usize)>,
    /// Jobs that must be done, beside those that were pinned.
    pub with: Vec<usize>,
}

/// The solver could not settle it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the cheapest set of jobs could not be worked out ({0}); forbid some of the jobs that compete")]
pub struct Unsolved(String);

/// What is made least.
#[derive(Clone, Copy)]
enum Least {
    /// Parts in use whose price is not known.
    WithoutPrice,
    /// The total, with the share for supplies and taxes.
    TotalWithShare,
    /// The total without supplies: they are at their cap whatever is chosen.
    TotalAtCap,
}

/// Jobs of the cheapest set that reaches the goal, as ascending indexes into [`Problem::instances`]. A part without a known price
/// counts as dearer than any with one: sets that need fewest of them are looked at alone.
///
/// # Errors
/// The solver gave up, or what it says does not hold when it is reckoned exactly.
pub fn cheapest(problem: &Problem, goal: &Goal) -> Result<Vec<usize>, Unsolved> {
    let mut model = Model::new(problem, goal);
    if model.open.iter().any(|n| model.lacks_price(*n)) {
        let fewest = model.solve(Least::WithoutPrice)?;
        model.at_most_without_price = Some(problem.cost_of(&fewest).without_price);
    }
    let chosen = model.least_total()?;
    let reached = goal.must.iter().all(|i| problem.serves(&chosen, &problem.items[*i]))
        && goal
            .at_least
            .iter()
            .all(|(items, n)| items.iter().filter(|i| problem.serves(&chosen, &problem.items[**i])).count() >= *n);
    if reached { Ok(chosen) } else { Err(Unsolved("its answer misses the goal".into())) }
}

/// How many jobs are left to be decided on once all that is no choice is settled.
pub fn undecided(problem: &Problem, goal: &Goal) -> usize {
    Model::new(problem, goal).open.len()
}

struct Model<'p, 'b, 'f> {
    problem: &'p Problem<'b, 'f>,
    goal: &'p Goal,
    /// Jobs without which the goal can't be reached.
    fixed: BTreeSet<usize>,
    /// Jobs that remain to be decided on.
    open: Vec<usize>,
    /// Needs that remain, each with the open jobs that do it.
    needs: BTreeSet<Vec<usize>>,
    /// Needs of which only so many must be met, likewise.
    wanted: BTreeSet<Vec<usize>>,
    at_most_without_price: Option<usize>,
}

impl<'p, 'b, 'f> Model<'p, 'b, 'f> {
    /// Settles beforehand what is no choice: jobs that are wanted, the only job for a need, and jobs that another beats in all.
    fn new(problem: &'p Problem<'b, 'f>, goal: &'p Goal) -> Model<'p, 'b, 'f> {
        let pinned = problem.instances.iter().enumerate().filter(|(_, i)| i.pinned).map(|(n, _)| n);
        let fixed: BTreeSet<usize> = pinned.chain(goal.with.iter().copied()).collect();
        let jobs_of = |item: &usize| problem.items[*item].needs.iter().map(|(_, jobs)| jobs.clone());
        let needs: BTreeSet<Vec<usize>> = goal.must.iter().flat_map(jobs_of).collect();
        let wanted = goal.at_least.iter().flat_map(|(items, _)| items).flat_map(jobs_of).collect();
        let mut out = Model { problem, goal, fixed, open: Vec::new(), needs, wanted, at_most_without_price: None };
        out.settle();
        out
    }

    fn settle(&mut self) {
        let mut beaten: BTreeSet<usize> = BTreeSet::new();
        loop {
            let only = self.needs.iter().filter(|jobs| jobs.len() == 1).map(|jobs| jobs[0]);
            self.fixed.extend(only);
            let rest = |needs: &BTreeSet<Vec<usize>>| -> BTreeSet<Vec<usize>> {
                let open = needs.iter().filter(|jobs| !jobs.iter().any(|j| self.fixed.contains(j)));
                open.map(|jobs| jobs.iter().copied().filter(|j| !beaten.contains(j)).collect()).collect()
            };
            (self.needs, self.wanted) = (rest(&self.needs), rest(&self.wanted));
            let before = beaten.len();
            beaten.extend(self.beaten());
            if beaten.len() == before {
                break;
            }
        }
        let open: BTreeSet<usize> = self.needs.iter().chain(&self.wanted).flatten().copied().collect();
        self.open = open.into_iter().collect();
    }

    /// Jobs that another one beats: it does all they do, costs no more of anything, and needs no other steps.
    fn beaten(&self) -> BTreeSet<usize> {
        let fixed: Vec<usize> = self.fixed.iter().copied().collect();
        let done: BTreeSet<usize> = self.problem.steps_of(&fixed).into_iter().collect();
        let mut does: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
        for (n, jobs) in self.needs.iter().chain(&self.wanted).enumerate() {
            for job in jobs {
                does.entry(*job).or_default().insert(n);
            }
        }
        let cost = |n: usize| self.problem.instances[n].cost;
        let no_dearer = |a: Cost, b: Cost| {
            a.labour <= b.labour && a.parts.high <= b.parts.high && a.without_price <= b.without_price
        };
        let no_steps_more = |a: usize, b: usize| {
            let of = &self.problem.instances[b].steps;
            self.problem.instances[a].steps.iter().all(|s| done.contains(s) || of.contains(s))
        };
        let beats =
            |a: usize, b: usize| no_dearer(cost(a), cost(b)) && does[&b].is_subset(&does[&a]) && no_steps_more(a, b);
        let all: Vec<&Vec<usize>> = self.needs.iter().chain(&self.wanted).collect();
        let mut out = BTreeSet::new();
        for (job, needs) in &does {
            // whoever does all it does, does the first of it
            let rivals = needs.first().map(|n| all[*n]).into_iter().flatten();
            let beaten = rivals.filter(|r| *r != job && !out.contains(*r)).any(|r| {
                // of two that are alike the first stays
                beats(*r, *job) && (r < job || !beats(*job, *r))
            });
            if beaten {
                out.insert(*job);
            }
        }
        out
    }

    /// The lesser of two totals: supplies are the lesser of a share and a cap, so the least total is the lesser of the least with the
    /// share and the least with the cap.
    fn least_total(&self) -> Result<Vec<usize>, Unsolved> {
        let with_share = self.solve(Least::TotalWithShare)?;
        if self.problem.book.supplies.as_ref().is_none_or(|s| s.cap.is_none()) || self.open.is_empty() {
            return Ok(with_share);
        }
        let at_cap = self.solve(Least::TotalAtCap)?;
        let total = |set: &[usize]| totals::exact(self.problem.book, self.problem.cost_of(set));
        Ok(if total(&at_cap) < total(&with_share) { at_cap } else { with_share })
    }

    fn lacks_price(&self, instance: usize) -> bool {
        let i = &self.problem.instances[instance];
        i.cost.without_price > 0 || i.steps.iter().any(|s| self.problem.steps[*s].cost.without_price > 0)
    }

    fn solve(&self, least: Least) -> Result<Vec<usize>, Unsolved> {
        let fixed: Vec<usize> = self.fixed.iter().copied().collect();
        if self.open.is_empty() {
            return Ok(fixed);
        }
        let mut vars = ProblemVariables::new();
        let jobs: Vec<(usize, Variable)> = self.open.iter().map(|n| (*n, vars.add(variable().binary()))).collect();
        let var = |n: usize| jobs.binary_search_by_key(&n, |(j, _)| *j).ok().map(|at| jobs[at].1);
        let done: BTreeSet<usize> = self.problem.steps_of(&fixed).into_iter().collect();
        let steps: BTreeSet<usize> =
            self.problem.steps_of(&self.open).into_iter().filter(|s| !done.contains(s)).collect();
        // pushed down by its cost and up by the jobs: whole numbers come out without asking for them
        let steps: Vec<(usize, Variable)> =
            steps.into_iter().map(|s| (s, vars.add(variable().min(0).max(1)))).collect();
        let mut rules = Vec::new();
        for need in &self.needs {
            rules.push(constraint!(need.iter().filter_map(|n| var(*n)).sum::<Expression>() >= 1));
        }
        for (step, s) in &steps {
            for (_, j) in jobs.iter().filter(|(n, _)| self.problem.instances[*n].steps.contains(step)) {
                rules.push(constraint!(*s >= *j));
            }
        }
        for (items, count) in &self.goal.at_least {
            let mut served = Expression::default();
            for item in items {
                let z = vars.add(variable().min(0).max(1));
                served += z;
                for (_, able) in &self.problem.items[*item].needs {
                    if !able.iter().any(|n| self.fixed.contains(n)) {
                        rules.push(constraint!(z <= able.iter().filter_map(|n| var(*n)).sum::<Expression>()));
                    }
                }
            }
            rules.push(constraint!(served >= to_f64(Decimal::from(*count))));
        }
        let costs: Vec<(Variable, Cost)> = jobs
            .iter()
            .map(|(n, v)| (*v, self.problem.instances[*n].cost))
            .chain(steps.iter().map(|(s, v)| (*v, self.problem.steps[*s].cost)))
            .collect();
        let unpriced: Expression = costs.iter().map(|(v, c)| *v * to_f64(Decimal::from(c.without_price))).sum();
        let before = self.problem.cost_of(&fixed);
        if let Some(most) = self.at_most_without_price {
            rules.push(constraint!(unpriced.clone() <= to_f64(Decimal::from(most - before.without_price))));
        }
        let aim = match least {
            Least::WithoutPrice => unpriced,
            Least::TotalWithShare => self.total(&costs, true),
            Least::TotalAtCap => self.total(&costs, false),
        };
        let mut model = vars.minimise(aim).using(microlp);
        for rule in rules {
            model.add_constraint(rule);
        }
        let solution = model.solve().map_err(|e| Unsolved(e.to_string()))?;
        if !matches!(solution.status(), SolutionStatus::Optimal) {
            return Err(Unsolved("it ran out of time".into()));
        }
        let mut chosen = fixed;
        chosen.extend(jobs.iter().filter(|(_, v)| solution.value(*v) > 0.5).map(|(n, _)| *n));
        chosen.sort_unstable();
        Ok(chosen)
    }

    /// What the open jobs add to the total.
    fn total(&self, costs: &[(Variable, Cost)], with_share: bool) -> Expression {
        let book = self.problem.book;
        let (labour, parts) = (book.with_taxes(Base::Labour), book.with_taxes(Base::Parts));
        let supplies = book.with_taxes(Base::Supplies);
        let share = |c: &Cost| match &book.supplies {
            Some(rule) if with_share => rule.share(Amount::exact(c.labour), c.parts).high * supplies,
            _ => Decimal::ZERO,
        };
        costs.iter().map(|(v, c)| *v * to_f64(c.labour * labour + c.parts.high * parts + share(c))).sum()
    }
}

fn to_f64(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::MAX)
}
