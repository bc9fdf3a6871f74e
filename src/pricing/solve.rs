//! Owns the finding of the cheapest set of jobs: weighted set cover with shared set-up, as a mixed-integer problem, and the
//! exact reckoning of what comes out.

use std::collections::BTreeSet;

use good_lp::{
    Expression, ProblemVariables, Solution as _, SolverModel, Variable, constraint, solvers::SolutionStatus,
    solvers::microlp::microlp, variable,
};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::book::Base;
use super::money::Amount;
use super::problem::{Cost, Problem};

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
    /// The total, with supplies and taxes.
    Total,
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
    let chosen = model.solve(Least::Total)?;
    let reached = goal.must.iter().all(|i| problem.serves(&chosen, &problem.items[*i]))
        && goal
            .at_least
            .iter()
            .all(|(items, n)| items.iter().filter(|i| problem.serves(&chosen, &problem.items[**i])).count() >= *n);
    if reached { Ok(chosen) } else { Err(Unsolved("its answer misses the goal".into())) }
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
    at_most_without_price: Option<usize>,
}

impl<'p, 'b, 'f> Model<'p, 'b, 'f> {
    /// Settles beforehand what is no choice: jobs that are wanted, and the only job for a need.
    fn new(problem: &'p Problem<'b, 'f>, goal: &'p Goal) -> Model<'p, 'b, 'f> {
        let pinned = problem.instances.iter().enumerate().filter(|(_, i)| i.pinned).map(|(n, _)| n);
        let mut fixed: BTreeSet<usize> = pinned.chain(goal.with.iter().copied()).collect();
        let all = || goal.must.iter().flat_map(|i| problem.items[*i].needs.iter().map(|(_, jobs)| jobs));
        fixed.extend(all().filter(|jobs| jobs.len() == 1).map(|jobs| jobs[0]));
        let met = |jobs: &&Vec<usize>| jobs.iter().any(|j| fixed.contains(j));
        let needs: BTreeSet<Vec<usize>> = all().filter(|jobs| !met(jobs)).cloned().collect();
        let wanted = goal.at_least.iter().flat_map(|(items, _)| items);
        let wanted = wanted.flat_map(|i| problem.items[*i].needs.iter().flat_map(|(_, jobs)| jobs));
        let open: BTreeSet<usize> = needs.iter().flatten().chain(wanted).copied().collect();
        let open = open.difference(&fixed).copied().collect();
        Model { problem, goal, fixed, open, needs, at_most_without_price: None }
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
            Least::Total => self.total(&costs, before, &mut vars, &mut rules),
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

    /// What the open jobs add to the total. Supplies are the lesser of a share and a cap: a switch says which.
    fn total(
        &self,
        costs: &[(Variable, Cost)],
        before: Cost,
        vars: &mut ProblemVariables,
        rules: &mut Vec<good_lp::Constraint>,
    ) -> Expression {
        let book = self.problem.book;
        let (labour, parts) = (book.with_taxes(Base::Labour), book.with_taxes(Base::Parts));
        let mut aim: Expression =
            costs.iter().map(|(v, c)| *v * to_f64(c.labour * labour + c.parts.high * parts)).sum();
        let Some(rule) = &book.supplies else {
            return aim;
        };
        let share = |c: &Cost| rule.share(Amount::exact(c.labour), c.parts).high;
        let start = share(&before);
        let most = start + costs.iter().map(|(_, c)| share(c)).sum::<Decimal>();
        let sum: Expression = costs.iter().map(|(v, c)| *v * to_f64(share(c))).sum();
        let rate = to_f64(book.with_taxes(Base::Supplies));
        match rule.cap {
            Some(cap) if start >= cap => {}
            Some(cap) if most > cap => {
                let supplies = vars.add(variable().min(0));
                let capped = vars.add(variable().binary());
                rules.push(constraint!(supplies >= sum + to_f64(start) - capped * to_f64(most - cap)));
                rules.push(constraint!(supplies >= capped * to_f64(cap)));
                aim += supplies * rate;
            }
            _ => aim += sum * rate,
        }
        aim
    }
}

fn to_f64(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::MAX)
}
