//! Owns the choice of jobs made small: what is settled without a solver, and the pieces of the rest that have nothing to do with one
//! another. Every reduction keeps a cheapest set.

use std::collections::{BTreeMap, BTreeSet};
use std::iter::Sum;
use std::ops::Add;

use rust_decimal::Decimal;

use super::problem::{Cost, Problem};
use super::solve::Goal;

/// What one set is better than another by: parts without a price first, then money.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Worth {
    pub without_price: usize,
    pub money: Decimal,
}

impl Add for Worth {
    type Output = Worth;
    fn add(self, other: Worth) -> Worth {
        Worth { without_price: self.without_price + other.without_price, money: self.money + other.money }
    }
}

impl Sum for Worth {
    fn sum<I: Iterator<Item = Worth>>(all: I) -> Worth {
        all.fold(Worth::default(), Worth::add)
    }
}

/// Items of which so many must be served.
#[derive(Debug, Clone)]
pub(super) struct Wanted {
    /// Each with its needs, each of these with the jobs that meet it.
    pub items: Vec<Vec<Vec<usize>>>,
    pub count: usize,
}

/// A job that may be chosen.
#[derive(Debug, Clone)]
pub(super) struct Open {
    /// With the steps that it alone needs.
    pub worth: Worth,
    /// Steps that others need too.
    pub steps: BTreeSet<usize>,
}

/// What makes a step needed.
#[derive(Debug, Clone, Copy)]
pub(super) enum By {
    Job(usize),
    Step(usize),
}

/// Jobs that compete, what they must serve, and the steps they share. Jobs and steps are indexes into [`Problem`].
#[derive(Debug, Clone, Default)]
pub(super) struct Cover {
    /// Jobs that belong to a cheapest set.
    pub taken: BTreeSet<usize>,
    /// Jobs that remain to be decided on.
    pub jobs: BTreeMap<usize, Open>,
    /// Steps that remain, by what they cost.
    pub steps: BTreeMap<usize, Worth>,
    /// What must be done: the jobs that do it.
    pub needs: BTreeSet<Vec<usize>>,
    /// What must be done of several.
    pub wanted: Vec<Wanted>,
}

impl Cover {
    /// The choice that reaches a goal, with all settled that is none. `worth` is what a cost counts.
    pub fn new(problem: &Problem, goal: &Goal, worth: impl Fn(&Cost) -> Worth) -> Cover {
        let pinned = problem.instances.iter().enumerate().filter(|(_, i)| i.pinned).map(|(n, _)| n);
        let needs_of = |item: &usize| problem.items[*item].needs.iter().map(|(_, jobs)| jobs.clone());
        let wanted = goal.at_least.iter().map(|(items, count)| Wanted {
            items: items.iter().map(|i| needs_of(i).collect()).collect(),
            count: *count,
        });
        let job = |n: usize| {
            let i = &problem.instances[n];
            (n, Open { worth: worth(&i.cost), steps: i.steps.iter().copied().collect() })
        };
        let mut out = Cover {
            taken: pinned.chain(goal.with.iter().copied()).collect(),
            jobs: (0..problem.instances.len()).map(job).collect(),
            steps: problem.steps.iter().enumerate().map(|(n, s)| (n, worth(&s.cost))).collect(),
            needs: goal.must.iter().flat_map(needs_of).collect(),
            wanted: wanted.collect(),
        };
        out.count_served();
        for job in out.taken.clone() {
            out.take(job);
        }
        out.settle();
        out
    }

    /// Settles what is no choice until nothing more comes of it.
    fn settle(&mut self) {
        loop {
            while let Some(only) = self.needs.iter().find(|jobs| jobs.len() == 1).map(|jobs| jobs[0]) {
                self.take(only);
            }
            self.drop_implied_needs();
            self.forget_idle();
            self.own_steps();
            if !self.drop_beaten() {
                break;
            }
        }
    }

    /// A job is done: its steps cost nothing more, and what it serves is served.
    fn take(&mut self, job: usize) {
        self.taken.insert(job);
        if let Some(open) = self.jobs.remove(&job) {
            for step in &open.steps {
                self.steps.remove(step);
                self.jobs.values_mut().for_each(|j| {
                    j.steps.remove(step);
                });
            }
        }
        self.needs.retain(|jobs| !jobs.contains(&job));
        let of_wanted = self.wanted.iter_mut().flat_map(|w| &mut w.items);
        of_wanted.for_each(|needs| needs.retain(|jobs| !jobs.contains(&job)));
        self.count_served();
    }

    /// An item that needs nothing more is one of those that are to be served.
    fn count_served(&mut self) {
        for wanted in &mut self.wanted {
            let before = wanted.items.len();
            wanted.items.retain(|needs| !needs.is_empty());
            wanted.count = wanted.count.saturating_sub(before - wanted.items.len());
        }
        self.wanted.retain(|w| w.count > 0);
    }

    /// A job is never needed in a cheapest set.
    fn drop_job(&mut self, job: usize) {
        self.jobs.remove(&job);
        let without = |jobs: &Vec<usize>| jobs.iter().copied().filter(|j| *j != job).collect::<Vec<_>>();
        self.needs = self.needs.iter().map(without).collect();
        let of_wanted = self.wanted.iter_mut().flat_map(|w| &mut w.items).flatten();
        of_wanted.for_each(|jobs| jobs.retain(|j| *j != job));
    }

    fn all_needs(&self) -> impl Iterator<Item = &Vec<usize>> {
        self.needs.iter().chain(self.wanted.iter().flat_map(|w| &w.items).flatten())
    }

    /// Jobs that serve nothing any more, and steps that nobody needs.
    fn forget_idle(&mut self) {
        let serving: BTreeSet<usize> = self.all_needs().flatten().copied().collect();
        self.jobs.retain(|n, _| serving.contains(n));
        let used: BTreeSet<usize> = self.jobs.values().flat_map(|j| j.steps.iter().copied()).collect();
        self.steps.retain(|s, _| used.contains(s));
    }

    /// A step that a single job needs is part of that job; steps that the same jobs need are one.
    fn own_steps(&mut self) {
        let mut users: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (n, job) in &self.jobs {
            job.steps.iter().for_each(|s| users.entry(*s).or_default().push(*n));
        }
        let mut first: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
        for (step, users) in users {
            let Some(worth) = self.steps.get(&step).copied() else { continue };
            let one = first.get(&users).copied();
            match (users.as_slice(), one) {
                ([only], _) => {
                    if let Some(job) = self.jobs.get_mut(only) {
                        job.worth = job.worth + worth;
                    }
                }
                (_, Some(one)) => {
                    if let Some(sum) = self.steps.get_mut(&one) {
                        *sum = *sum + worth;
                    }
                }
                _ if worth > Worth::default() => {
                    first.insert(users, step);
                    continue;
                }
                _ => {}
            }
            self.steps.remove(&step);
            self.jobs.values_mut().for_each(|j| {
                j.steps.remove(&step);
            });
        }
    }

    /// A need that every job meets which meets another need says nothing beside that one.
    fn drop_implied_needs(&mut self) {
        let all: Vec<BTreeSet<usize>> = self.needs.iter().map(|n| n.iter().copied().collect()).collect();
        let implied = |jobs: &Vec<usize>| {
            let jobs: BTreeSet<usize> = jobs.iter().copied().collect();
            all.iter().any(|other| other.len() < jobs.len() && other.is_subset(&jobs))
        };
        self.needs = std::mem::take(&mut self.needs).into_iter().filter(|n| !implied(n)).collect();
    }

    /// Takes out every job whose work others do for no more, whatever else is chosen. Tells whether there was one.
    fn drop_beaten(&mut self) -> bool {
        let needs: Vec<BTreeSet<usize>> = self.all_needs().map(|jobs| jobs.iter().copied().collect()).collect();
        let mut does: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
        for (n, jobs) in needs.iter().enumerate() {
            jobs.iter().for_each(|job| {
                does.entry(*job).or_default().insert(n);
            });
        }
        // the dearest first: of two that are alike the first of the book stays
        let mut order: Vec<usize> = self.jobs.keys().copied().collect();
        order.sort_by_key(|n| std::cmp::Reverse((self.jobs[n].worth, *n)));
        let mut gone: BTreeSet<usize> = BTreeSet::new();
        for job in order {
            let open = &self.jobs[&job];
            // what another job costs at most where this one's steps are paid for
            let beside = |n: &usize| -> Worth {
                let rival = &self.jobs[n];
                rival.worth + rival.steps.difference(&open.steps).map(|s| self.steps[s]).sum()
            };
            let rivals = |need: &usize| needs[*need].iter().filter(|n| **n != job && !gone.contains(*n));
            let served = &does[&job];
            let by_one = served
                .first()
                .is_some_and(|first| rivals(first).any(|r| beside(r) <= open.worth && served.is_subset(&does[r])));
            let by_several = || {
                let mut left = served.clone();
                let mut spent = Worth::default();
                while let Some(need) = left.first() {
                    let Some((worth, rival)) = rivals(need).map(|r| (beside(r), *r)).min() else { return false };
                    spent = spent + worth;
                    if spent > open.worth {
                        return false;
                    }
                    left = left.difference(&does[&rival]).copied().collect();
                }
                true
            };
            if by_one || by_several() {
                gone.insert(job);
            }
        }
        gone.iter().for_each(|job| self.drop_job(*job));
        !gone.is_empty()
    }

    /// What is left, in pieces that share neither a need nor a step.
    pub fn pieces(&self) -> Vec<Cover> {
        let mut groups: Vec<BTreeSet<usize>> = Vec::new();
        let of_wanted: BTreeSet<usize> =
            self.wanted.iter().flat_map(|w| &w.items).flatten().flatten().copied().collect();
        let users =
            self.steps.keys().map(|s| self.jobs.iter().filter(|(_, j)| j.steps.contains(s)).map(|(n, _)| *n).collect());
        let together = self.needs.iter().map(|n| n.iter().copied().collect()).chain([of_wanted.clone()]).chain(users);
        for mut one in together.filter(|g: &BTreeSet<usize>| !g.is_empty()) {
            groups.retain(|g| {
                let apart = g.is_disjoint(&one);
                if !apart {
                    one.extend(g);
                }
                apart
            });
            groups.push(one);
        }
        let piece = |group: BTreeSet<usize>| {
            let jobs: BTreeMap<usize, Open> = group.iter().map(|n| (*n, self.jobs[n].clone())).collect();
            let steps = self.steps.iter().filter(|(s, _)| jobs.values().any(|j| j.steps.contains(s)));
            Cover {
                taken: BTreeSet::new(),
                steps: steps.map(|(s, w)| (*s, *w)).collect(),
                needs: self.needs.iter().filter(|n| group.contains(&n[0])).cloned().collect(),
                wanted: if of_wanted.is_disjoint(&group) { Vec::new() } else { self.wanted.clone() },
                jobs,
            }
        };
        groups.into_iter().map(piece).collect()
    }

    /// Whether a part without a price may be chosen or not.
    pub fn lacks_price(&self) -> bool {
        self.jobs.values().map(|j| j.worth).chain(self.steps.values().copied()).any(|w| w.without_price > 0)
    }

    /// What makes each step needed: jobs, and in the stead of many jobs a step that only jobs need which need this one too. Few of
    /// these say as much as every job with each of its steps.
    pub fn links(&self) -> Vec<(usize, By)> {
        let mut users: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
        for (n, job) in &self.jobs {
            job.steps.iter().for_each(|s| {
                users.entry(*s).or_default().insert(*n);
            });
        }
        let mut out = Vec::new();
        for (step, all) in &users {
            let mut left = all.clone();
            let mut within: Vec<_> = users.iter().filter(|(_, u)| u.len() < all.len() && u.is_subset(all)).collect();
            within.sort_by_key(|(_, u)| std::cmp::Reverse(u.len()));
            for (other, its) in within {
                if its.intersection(&left).count() > 1 {
                    left.retain(|n| !its.contains(n));
                    out.push((*step, By::Step(*other)));
                }
            }
            out.extend(left.into_iter().map(|n| (*step, By::Job(n))));
        }
        out
    }

    /// What some of its jobs cost with their steps.
    pub fn worth_of(&self, chosen: &[usize]) -> Worth {
        let jobs = || chosen.iter().filter_map(|n| self.jobs.get(n));
        let steps: BTreeSet<&usize> = jobs().flat_map(|j| &j.steps).collect();
        jobs().map(|j| j.worth).chain(steps.into_iter().map(|s| self.steps[s])).sum()
    }
}
