//! Owns the choice to be made: findings, the jobs that could serve them, the shared steps these need, and what each costs.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::fmt;

use rust_decimal::Decimal;

use crate::findings::Finding;
use crate::lexicon::Position;

use super::book::{PartChoice, PartLine, RateBook, Work};
use super::money::{Amount, Rounding, rounded};
use super::need::{self, Candidate, Need, Tier, Treatment};
use super::site::{Per, Site};

/// What the writer settled beforehand.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Wishes {
    /// Jobs that must be done.
    pub pinned: Vec<JobAt>,
    /// Jobs that must not.
    pub forbidden: Vec<JobAt>,
    /// Ids of optional parts, or of parts in the stead of the usual ones.
    pub taken: Vec<String>,
}

/// A job, everywhere or at one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobAt {
    /// Id of the job.
    pub job: String,
    /// Place; empty: wherever it comes up.
    pub at: Vec<Position>,
}

impl JobAt {
    /// Reads `control-arm` or, for one place, `control-arm@front,left`.
    ///
    /// # Errors
    /// The word that is no place.
    pub fn parse(text: &str) -> Result<JobAt, String> {
        let (job, place) = text.split_once('@').unwrap_or((text, ""));
        let word = |w: &str| Position::ALL.iter().copied().find(|p| p.as_str() == w).ok_or_else(|| w.to_string());
        let at = place.split([',', ' ']).filter(|w| !w.is_empty()).map(word).collect::<Result<_, _>>()?;
        Ok(JobAt { job: job.trim().to_string(), at })
    }

    fn is(&self, id: &str, site: Site) -> bool {
        self.job == id && site.fits(&self.at)
    }
}

/// A part line as it is priced.
#[derive(Debug, Clone, PartialEq)]
pub struct PricedPart<'b> {
    /// The line of the book.
    pub line: &'b PartLine,
    /// What is used of it.
    pub choice: &'b PartChoice,
    /// Whether it is used: optional ones only if taken.
    pub used: bool,
    /// Quantity times price, rounded by the rule of the book; `None` where the price is not known.
    pub amount: Option<Amount>,
}

/// What something costs before supplies and taxes.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Cost {
    /// Labour.
    pub labour: Decimal,
    /// Parts that are used and have a price.
    pub parts: Amount,
    /// Parts that are used and have none.
    pub without_price: usize,
}

/// A job at a place.
#[derive(Debug, Clone)]
pub struct Instance<'b> {
    /// Which job, where.
    pub what: Candidate,
    /// Its own cost, without shared steps.
    pub cost: Cost,
    /// Its parts.
    pub parts: Vec<PricedPart<'b>>,
    /// Indexes into [`Problem::steps`]: all that it needs, directly or not.
    pub steps: Vec<usize>,
    /// The writer wants it.
    pub pinned: bool,
}

/// An operation at a place: done once for all jobs that need it.
#[derive(Debug, Clone)]
pub struct Step<'b> {
    /// Index into [`RateBook::operations`].
    pub operation: usize,
    /// Where.
    pub site: Site,
    /// Its cost.
    pub cost: Cost,
    /// What it uses up.
    pub parts: Vec<PricedPart<'b>>,
}

/// A finding that asks for work.
#[derive(Debug, Clone)]
pub struct Item<'f> {
    /// The finding.
    pub finding: &'f Finding,
    /// Each piece of work, with indexes into [`Problem::instances`] of the jobs that do it; never empty lists.
    pub needs: Vec<(Need, Vec<usize>)>,
    /// Pieces of work that no job does; the flag tells that one would but was forbidden.
    pub without_job: Vec<(Need, bool)>,
}

/// The whole choice.
#[derive(Debug, Clone)]
pub struct Problem<'b, 'f> {
    /// The shop's book.
    pub book: &'b RateBook,
    /// Findings that ask for work, most pressing first, in an order of their own.
    pub items: Vec<Item<'f>>,
    /// Findings that are only to be watched.
    pub watched: Vec<&'f Finding>,
    /// Jobs that could serve.
    pub instances: Vec<Instance<'b>>,
    /// Steps that these could need.
    pub steps: Vec<Step<'b>>,
    /// Wishes for jobs that serve none of the findings.
    pub idle_wishes: Vec<JobAt>,
}

impl<'b, 'f> Problem<'b, 'f> {
    /// Sets up the choice for these findings.
    pub fn new(book: &'b RateBook, findings: &[&'f Finding], wishes: &Wishes) -> Problem<'b, 'f> {
        let mut findings = findings.to_vec();
        findings.sort_by(|a, b| need::order_key(a).cmp(&need::order_key(b)));
        let watched = findings.iter().copied().filter(|f| Treatment::of(f) == Treatment::Watched).collect();
        let working: Vec<&Finding> = findings.into_iter().filter(|f| Treatment::of(f) == Treatment::Work).collect();

        let is = |list: &[JobAt], c: &Candidate| list.iter().any(|w| w.is(&book.jobs[c.job].id, c.site));
        let mut serving: BTreeSet<Candidate> = BTreeSet::new();
        let mut asked: Vec<Vec<(Need, Vec<Candidate>, bool)>> = Vec::new();
        for finding in &working {
            let mut of_finding = Vec::new();
            for n in need::needs(finding) {
                let all = need::candidates(book, finding, n);
                let kept: Vec<Candidate> = all.iter().copied().filter(|c| !is(&wishes.forbidden, c)).collect();
                let was_forbidden = kept.len() < all.len();
                serving.extend(&kept);
                of_finding.push((n, kept, was_forbidden));
            }
            asked.push(of_finding);
        }
        let order: Vec<Candidate> = serving.into_iter().collect();
        let index: BTreeMap<Candidate, usize> = order.iter().enumerate().map(|(n, c)| (*c, n)).collect();

        let pricer = Pricer { book, taken: &wishes.taken };
        let mut steps = Steps::default();
        let instances = order
            .iter()
            .map(|what| {
                let job = &book.jobs[what.job];
                let parts = pricer.parts(&job.parts);
                Instance {
                    what: *what,
                    cost: pricer.cost(&job.work, what.site, &parts),
                    parts,
                    steps: steps.closure(book, what),
                    pinned: is(&wishes.pinned, what),
                }
            })
            .collect::<Vec<_>>();
        let steps = steps
            .order
            .iter()
            .map(|(operation, site)| {
                let op = &book.operations[*operation];
                let parts = pricer.parts(&op.parts);
                Step { operation: *operation, site: *site, cost: pricer.cost(&op.work, *site, &parts), parts }
            })
            .collect();
        let items = working
            .iter()
            .zip(asked)
            .map(|(finding, of_finding)| {
                let (with, without): (Vec<_>, Vec<_>) = of_finding.into_iter().partition(|(_, c, _)| !c.is_empty());
                Item {
                    finding,
                    needs: with.into_iter().map(|(n, c, _)| (n, c.iter().map(|c| index[c]).collect())).collect(),
                    without_job: without.into_iter().map(|(n, _, forbidden)| (n, forbidden)).collect(),
                }
            })
            .collect();
        let idle = |w: &&JobAt| !order.iter().any(|c| w.is(&book.jobs[c.job].id, c.site));
        let idle_wishes = wishes.pinned.iter().filter(idle).cloned().collect();
        Problem { book, items, watched, instances, steps, idle_wishes }
    }

    /// The same choice with nothing pinned.
    pub fn unpinned(&self) -> Problem<'b, 'f> {
        self.without_pins(&(0..self.instances.len()).collect())
    }

    /// The same choice with these of its instances not pinned.
    pub fn without_pins(&self, which: &BTreeSet<usize>) -> Problem<'b, 'f> {
        let mut out = self.clone();
        let freed = out.instances.iter_mut().enumerate().filter(|(n, _)| which.contains(n));
        freed.for_each(|(_, i)| i.pinned = false);
        out
    }

    /// Steps that these jobs need together, each once.
    pub fn steps_of(&self, chosen: &[usize]) -> Vec<usize> {
        let steps: BTreeSet<usize> = chosen.iter().flat_map(|n| self.instances[*n].steps.iter().copied()).collect();
        steps.into_iter().collect()
    }

    /// Cost of these jobs with the steps they need.
    pub fn cost_of(&self, chosen: &[usize]) -> Cost {
        let steps = self.steps_of(chosen);
        let jobs = chosen.iter().map(|n| self.instances[*n].cost);
        jobs.chain(steps.iter().map(|n| self.steps[*n].cost)).fold(Cost::default(), Cost::plus)
    }

    /// Items of which a job does something.
    pub fn served_by(&self, job: usize) -> impl Iterator<Item = &Item<'f>> {
        self.items.iter().filter(move |i| i.needs.iter().any(|(_, able)| able.contains(&job)))
    }

    /// How pressing a job is: as the most pressing item of which it does something.
    pub fn urgency_of(&self, job: usize) -> Tier {
        self.served_by(job).map(|i| Tier::of(i.finding)).min().unwrap_or(Tier::Watch)
    }

    /// Whether these jobs do all that can be done for an item.
    pub fn serves(&self, chosen: &[usize], item: &Item) -> bool {
        item.needs.iter().all(|(_, jobs)| jobs.iter().any(|j| chosen.contains(j)))
    }
}

impl Cost {
    /// Both together.
    pub fn plus(self, other: Cost) -> Cost {
        Cost {
            labour: self.labour + other.labour,
            parts: self.parts + other.parts,
            without_price: self.without_price + other.without_price,
        }
    }
}

impl fmt::Display for JobAt {
    /// As [`JobAt::parse`] reads it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.job)?;
        self.at.iter().enumerate().try_for_each(|(n, p)| {
            f.write_str(if n == 0 { "@" } else { "," })?;
            f.write_str(p.as_str())
        })
    }
}

struct Pricer<'b, 'w> {
    book: &'b RateBook,
    taken: &'w [String],
}

impl<'b> Pricer<'b, '_> {
    fn parts(&self, lines: &'b [PartLine]) -> Vec<PricedPart<'b>> {
        let is_taken = |c: &&PartChoice| self.taken.contains(&c.id);
        let priced = |line: &'b PartLine| {
            let taken = std::iter::once(&line.usual).chain(&line.instead).find(is_taken);
            let choice = taken.unwrap_or(&line.usual);
            let amount = choice.price.map(|p| self.line(p.times(line.quantity)));
            PricedPart { line, choice, used: !line.optional || taken.is_some(), amount }
        };
        lines.iter().map(priced).collect()
    }

    fn line(&self, amount: Amount) -> Amount {
        match self.book.rounding {
            Rounding::Line => amount.rounded(self.book.digits),
            Rounding::Total => amount,
        }
    }

    fn cost(&self, work: &Work, site: Site, parts: &[PricedPart]) -> Cost {
        let labour = work.hours_for(site) * self.book.labour[work.labour].rate;
        let used = || parts.iter().filter(|p| p.used);
        Cost {
            labour: match self.book.rounding {
                Rounding::Line => rounded(labour, self.book.digits),
                Rounding::Total => labour,
            },
            parts: used().filter_map(|p| p.amount).sum(),
            without_price: used().filter(|p| p.amount.is_none()).count(),
        }
    }
}

/// Steps as they come up.
#[derive(Default)]
struct Steps {
    order: Vec<(usize, Site)>,
    index: BTreeMap<(usize, Site), usize>,
}

impl Steps {
    /// All steps that a job needs.
    fn closure(&mut self, book: &RateBook, what: &Candidate) -> Vec<usize> {
        let mut seen = BTreeSet::new();
        let mut open: VecDeque<(usize, Site, Per)> = VecDeque::new();
        let job = &book.jobs[what.job];
        open.extend(job.operations.iter().map(|op| (*op, what.site, job.per)));
        while let Some((op, site, per)) = open.pop_front() {
            let operation = &book.operations[op];
            for at in site.spread(per, operation.per) {
                let next = self.order.len();
                let n = *self.index.entry((op, at)).or_insert(next);
                if n == next {
                    self.order.push((op, at));
                }
                if seen.insert(n) {
                    open.extend(operation.needs.iter().map(|need| (*need, at, operation.per)));
                }
            }
        }
        seen.into_iter().collect()
    }
}
