//! Owns the finding of the cheapest set of jobs: weighted set cover with shared set-up. What [`super::cover`] leaves open goes to a
//! mixed-integer solver, piece by piece; what comes out is reckoned exactly.

use std::collections::BTreeMap;

use good_lp::{
    Expression, ProblemVariables, Solution as _, SolverModel, Variable, constraint, solvers::SolutionStatus,
    solvers::microlp::microlp, variable, variable::VariableDefinition,
};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::book::Base;
use super::cover::{By, Cover, Worth};
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

/// Which total is made least: supplies are the lesser of a share and a cap, so the least total is the lesser of two.
#[derive(Clone, Copy)]
enum Least {
    /// With the share for supplies.
    WithShare,
    /// Without supplies: they are at their cap whatever is chosen.
    AtCap,
}

/// Jobs of the cheapest set that reaches the goal, as ascending indexes into [`Problem::instances`]. A part without a known price
/// counts as dearer than any with one: sets that need fewest of them are looked at alone.
///
/// # Errors
/// The solver gave up, or what it says does not hold when it is reckoned exactly.
pub fn cheapest(problem: &Problem, goal: &Goal) -> Result<Vec<usize>, Unsolved> {
    let has_cap = problem.book.supplies.as_ref().is_some_and(|s| s.cap.is_some());
    let mut halves = vec![Half::new(problem, goal, Least::WithShare)];
    if has_cap {
        halves.push(Half::new(problem, goal, Least::AtCap));
        for half in &mut halves {
            half.floor = half.relaxed()?;
        }
        // what promises more is solved first: then the other often need not be
        halves.sort_by(|a, b| a.floor.total_cmp(&b.floor));
    }
    let total = |set: &[usize]| totals::exact(problem.book, problem.cost_of(set));
    let mut best: Option<(Decimal, Vec<usize>)> = None;
    for half in &halves {
        if best.as_ref().is_some_and(|(total, _)| half.floor > to_f64(*total) - MATTERS) {
            continue;
        }
        let set = half.solve()?;
        let worth = total(&set);
        if best.as_ref().is_none_or(|(total, _)| worth < *total) {
            best = Some((worth, set));
        }
    }
    let chosen = best.map(|b| b.1).unwrap_or_default();
    let reached = goal.must.iter().all(|i| problem.serves(&chosen, &problem.items[*i]))
        && goal
            .at_least
            .iter()
            .all(|(items, n)| items.iter().filter(|i| problem.serves(&chosen, &problem.items[**i])).count() >= *n);
    if reached { Ok(chosen) } else { Err(Unsolved("its answer misses the goal".into())) }
}

/// Less than this is the solver's own noise.
const MATTERS: f64 = 1e-6;

/// The choice with one of the two totals.
struct Half {
    taken: Vec<usize>,
    pieces: Vec<Cover>,
    /// What the taken jobs cost, and what is paid whatever is chosen.
    paid: Decimal,
    /// No set costs less.
    floor: f64,
}

impl Half {
    fn new(problem: &Problem, goal: &Goal, least: Least) -> Half {
        let cover = Cover::new(problem, goal, |c| worth(problem, c, least));
        let taken: Vec<usize> = cover.taken.iter().copied().collect();
        let cap = problem.book.supplies.as_ref().and_then(|s| s.cap).filter(|_| matches!(least, Least::AtCap));
        let at_cap = cap.unwrap_or_default() * problem.book.with_taxes(Base::Supplies);
        let paid = worth(problem, &problem.cost_of(&taken), least).money + at_cap;
        Half { taken, pieces: cover.pieces(), paid, floor: f64::NEG_INFINITY }
    }

    /// The least total where jobs may be done in part: no more than that of any set.
    fn relaxed(&self) -> Result<f64, Unsolved> {
        let mut out = to_f64(self.paid);
        for piece in &self.pieces {
            // the cheapest of few parts without a price can't be told from the money alone
            if piece.lacks_price() {
                return Ok(f64::NEG_INFINITY);
            }
            out += Model::new(piece, variable().min(0).max(1)).solve(money)?.objective;
        }
        Ok(out)
    }

    fn solve(&self) -> Result<Vec<usize>, Unsolved> {
        let mut chosen = self.taken.clone();
        for piece in &self.pieces {
            chosen.extend(solve(piece)?);
        }
        chosen.sort_unstable();
        Ok(chosen)
    }
}

/// How many jobs are left to be decided on once all that is no choice is settled.
pub fn undecided(problem: &Problem, goal: &Goal) -> usize {
    Cover::new(problem, goal, |c| worth(problem, c, Least::WithShare)).jobs.len()
}

/// What a cost adds to the total.
fn worth(problem: &Problem, cost: &Cost, least: Least) -> Worth {
    let book = problem.book;
    let share = match (least, &book.supplies) {
        (Least::WithShare, Some(rule)) => {
            rule.share(Amount::exact(cost.labour), cost.parts).high * book.with_taxes(Base::Supplies)
        }
        _ => Decimal::ZERO,
    };
    let goods = cost.labour * book.with_taxes(Base::Labour) + cost.parts.high * book.with_taxes(Base::Parts);
    Worth { without_price: cost.without_price, money: goods + share }
}

/// The best jobs of a piece: fewest parts without a price, and of these sets the cheapest.
fn solve(piece: &Cover) -> Result<Vec<usize>, Unsolved> {
    let mut model = Model::new(piece, variable().binary());
    if piece.lacks_price() {
        let count = |w: &Worth| w.without_price.to_f64().unwrap_or(f64::MAX);
        let fewest = piece.worth_of(&model.clone().solve(count)?.jobs).without_price;
        model.rules.push(constraint!(model.sum(count) <= fewest.to_f64().unwrap_or(f64::MAX)));
    }
    Ok(model.solve(money)?.jobs)
}

fn money(worth: &Worth) -> f64 {
    to_f64(worth.money)
}

/// A piece as a mixed-integer problem: a binary variable a job, and one a step that is at least each job that needs it.
#[derive(Clone)]
struct Model<'c> {
    vars: ProblemVariables,
    jobs: BTreeMap<usize, (Variable, &'c Worth)>,
    steps: BTreeMap<usize, (Variable, &'c Worth)>,
    rules: Vec<good_lp::Constraint>,
}

/// What the solver says.
struct Solved {
    jobs: Vec<usize>,
    objective: f64,
}

impl<'c> Model<'c> {
    /// `job` is what the variable of each job may be.
    fn new(piece: &'c Cover, job: VariableDefinition) -> Model<'c> {
        let mut vars = ProblemVariables::new();
        let jobs: BTreeMap<usize, _> =
            piece.jobs.iter().map(|(n, j)| (*n, (vars.add(job.clone()), &j.worth))).collect();
        // pushed down by its cost and up by the jobs: whole numbers come out without asking for them
        let steps: BTreeMap<usize, _> =
            piece.steps.iter().map(|(s, w)| (*s, (vars.add(variable().min(0).max(1)), w))).collect();
        let any_of = |able: &[usize]| able.iter().filter_map(|n| jobs.get(n)).map(|j| j.0).sum::<Expression>();
        let mut rules: Vec<good_lp::Constraint> =
            piece.needs.iter().map(|able| constraint!(any_of(able) >= 1)).collect();
        for (step, by) in piece.links() {
            let by = match by {
                By::Job(n) => jobs.get(&n),
                By::Step(n) => steps.get(&n),
            };
            rules.extend(steps.get(&step).zip(by).map(|((step, _), (by, _))| constraint!(*step >= *by)));
        }
        for wanted in &piece.wanted {
            let mut served = Expression::default();
            for needs in &wanted.items {
                let item = vars.add(variable().min(0).max(1));
                served += item;
                rules.extend(needs.iter().map(|able| constraint!(item <= any_of(able))));
            }
            rules.push(constraint!(served >= wanted.count.to_f64().unwrap_or(f64::MAX)));
        }
        Model { vars, jobs, steps, rules }
    }

    fn sum(&self, of: impl Fn(&Worth) -> f64) -> Expression {
        self.jobs.values().chain(self.steps.values()).map(|(v, w)| *v * of(w)).sum()
    }

    fn solve(self, of: impl Fn(&Worth) -> f64) -> Result<Solved, Unsolved> {
        let aim = self.sum(of);
        let mut model = self.vars.minimise(aim.clone()).using(microlp);
        for rule in self.rules {
            model.add_constraint(rule);
        }
        let solution = model.solve().map_err(|e| Unsolved(e.to_string()))?;
        if !matches!(solution.status(), SolutionStatus::Optimal) {
            return Err(Unsolved("it ran out of time".into()));
        }
        let jobs = self.jobs.iter().filter(|(_, (v, _))| solution.value(*v) > 0.5).map(|(n, _)| *n).collect();
        Ok(Solved { jobs, objective: solution.eval(aim) })
    }
}

fn to_f64(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::MAX)
}
