//! What must hold for any rate book: the cheapest set against every other set, and what money must not do.

use hoistnote::findings::Finding;
use hoistnote::lexicon::{Position, UrgencyId};
use hoistnote::pricing::{self, Goal, Problem, RateBook, Wishes, cheapest, exact};
use proptest::prelude::*;
use rust_decimal::Decimal;

use crate::rate_book as entry;

use super::{PARTS, book, defect, estimate, with_urgency};

/// More jobs than this are not tried out in every combination.
const MOST: usize = 12;

/// An operation: hundredths of hours, what it is done for, whether it needs the one before it.
fn operation() -> impl Strategy<Value = (u32, usize, bool)> {
    (0u32..200, 0usize..4, any::<bool>())
}

#[derive(Debug, Clone)]
struct JobSpec {
    parts: Vec<usize>,
    per: usize,
    operations: Vec<usize>,
    hours: u32,
    price: Option<(u32, u32)>,
}

fn job() -> impl Strategy<Value = JobSpec> {
    let price = prop_oneof![1 => Just(None), 6 => (0u32..20_000, 0u32..5_000).prop_map(Some)];
    let parts = prop::collection::vec(0usize..5, 1..4);
    (parts, 0usize..4, prop::collection::vec(0usize..4, 0..3), 0u32..300, price)
        .prop_map(|(parts, per, operations, hours, price)| JobSpec { parts, per, operations, hours, price })
}

const PER: [&str; 4] = ["vehicle", "end", "corner", "place"];

fn hundredths(n: u32) -> String {
    format!("{}.{:02}", n / 100, n % 100)
}

/// The text of a book with taxes, supplies with or without a cap, and both ways of rounding.
fn book_text(operations: &[(u32, usize, bool)], jobs: &[JobSpec], cap: Option<u32>, by_line: bool) -> String {
    let round = if by_line { "line" } else { "total" };
    let cap = cap.map(|c| format!("cap = {}\n", hundredths(c))).unwrap_or_default();
    let mut out = format!(
        "currency = \"USD\"\nround = \"{round}\"\n[supplies]\npercent = 8.5\nof = [\"labour\", \"parts\"]\n{cap}\
         [[labour]]\nid = \"m\"\nrate = 91.37\n[[tax]]\nname = \"a\"\npercent = 7.25\non = [\"parts\", \"supplies\"]\n\
         [[tax]]\nname = \"b\"\npercent = 2.5\non = [\"labour\"]\n"
    );
    for (n, (hours, per, needs)) in operations.iter().enumerate() {
        let needs = if *needs && n > 0 { format!("needs = [\"o{}\"]\n", n - 1) } else { String::new() };
        let id = format!("o{n}");
        out += &entry::operation(&id, &id, &hundredths(*hours), &format!("per = \"{}\"\n{needs}", PER[*per]));
    }
    for (n, job) in jobs.iter().enumerate() {
        let covers: Vec<String> = job.parts.iter().map(|p| format!("{{ part = \"{}\" }}", PARTS[*p])).collect();
        let needs: Vec<String> =
            job.operations.iter().filter(|o| **o < operations.len()).map(|o| format!("\"o{o}\"")).collect();
        let price = job
            .price
            .map(|(low, more)| format!(", price = {}, price_to = {}", hundredths(low), hundredths(low + more)));
        let id = format!("j{n}");
        let lines = format!(
            "per = \"{}\"\noperations = [{}]\nhours = {}\nparts = [{{ name = \"p{n}\"{} }}]",
            PER[job.per],
            needs.join(", "),
            hundredths(job.hours),
            price.unwrap_or_default()
        );
        out += &entry::job_covering(&id, &id, &covers.join(", "), &lines);
    }
    out
}

fn any_book() -> impl Strategy<Value = RateBook> {
    let operations = prop::collection::vec(operation(), 1..5);
    let jobs = prop::collection::vec(job(), 1..7);
    let cap = prop_oneof![Just(None), (0u32..6_000).prop_map(Some)];
    (operations, jobs, cap, any::<bool>()).prop_map(|(o, j, cap, line)| book(&book_text(&o, &j, cap, line)))
}

fn any_findings() -> impl Strategy<Value = Vec<Finding>> {
    use Position::{Front, Left, Lower, Rear, Right};
    let places: [&[Position]; 6] =
        [&[], &[Front], &[Front, Left], &[Rear, Left, Right], &[Front, Right, Lower], &[Rear]];
    let urgency = prop_oneof![
        Just(Some(UrgencyId::Stop)),
        Just(Some(UrgencyId::Now)),
        Just(Some(UrgencyId::Soon)),
        Just(None),
        Just(Some(UrgencyId::Watch)),
    ];
    let one = (0usize..6, 0usize..6, urgency);
    prop::collection::vec(one, 1..6).prop_map(move |all| {
        let made = all.into_iter().enumerate();
        made.map(|(n, (part, place, urgency))| {
            with_urgency(defect(&format!("f{n}"), PARTS[part], places[place]), urgency)
        })
        .collect()
    })
}

/// Parts without a price, then the total before rounding: what makes one set better than another.
fn worth(problem: &Problem, set: &[usize]) -> (usize, Decimal) {
    let cost = problem.cost_of(set);
    (cost.without_price, exact(problem.book, cost))
}

/// The best of all sets that serve every item, tried out one by one.
fn tried_out(problem: &Problem) -> Option<(usize, Decimal)> {
    let n = problem.instances.len();
    let sets = (0u32..1 << n).map(|bits| (0..n).filter(|i| bits >> i & 1 == 1).collect::<Vec<usize>>());
    sets.filter(|set| problem.items.iter().all(|i| problem.serves(set, i))).map(|set| worth(problem, &set)).min()
}

fn refs(findings: &[Finding]) -> Vec<&Finding> {
    findings.iter().collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn no_set_is_cheaper(book in any_book(), findings in any_findings()) {
        let problem = Problem::new(&book, &refs(&findings), &Wishes::default());
        prop_assume!(problem.instances.len() <= MOST);
        let set = cheapest(&problem, &Goal::all(&problem)).map_err(|e| TestCaseError::fail(e.to_string()))?;
        prop_assert!(problem.items.iter().all(|i| problem.serves(&set, i)));
        prop_assert_eq!(Some(worth(&problem, &set)), tried_out(&problem));
    }

    #[test]
    fn a_budget_serves_as_many_as_any_set_does(book in any_book(), findings in any_findings(), budget in 0u32..60_000) {
        let problem = Problem::new(&book, &refs(&findings), &Wishes::default());
        prop_assume!(problem.instances.len() <= MOST && problem.instances.iter().all(|i| i.cost.without_price == 0));
        let budget = Decimal::new(budget.into(), 2);
        let plan = pricing::within_budget(&problem, budget).map_err(|e| TestCaseError::fail(e.to_string()))?;
        if let Some(short) = plan.stop_not_covered {
            prop_assert_eq!(plan.totals.total.high - short, budget);
            prop_assert!(plan.done.iter().any(|a| a.urgency == pricing::Tier::Stop));
            return Ok(());
        }
        prop_assert!(plan.totals.total.high <= budget);
        let served = |set: &[usize]| -> Vec<usize> {
            let of = |tier| problem.items.iter().filter(move |i| pricing::Tier::of(i.finding) == tier && !i.needs.is_empty());
            pricing::Tier::ALL.iter().map(|t| of(*t).filter(|i| problem.serves(set, i)).count()).collect()
        };
        let n = problem.instances.len();
        let sets = (0u32..1 << n).map(|bits| (0..n).filter(|i| bits >> i & 1 == 1).collect::<Vec<usize>>());
        // before rounding, so that a cent won by rounding does not count
        let fits = sets.filter(|set| exact(&book, problem.cost_of(set)) <= budget);
        let stops = problem.items.iter().filter(|i| pricing::Tier::of(i.finding) == pricing::Tier::Stop && !i.needs.is_empty()).count();
        let best = fits.map(|set| served(&set)).filter(|s| s[0] == stops).max().unwrap_or_default();
        let done = |tier| plan.done.iter().filter(|a| a.urgency == tier).count();
        let mine: Vec<usize> = pricing::Tier::ALL.iter().map(|t| done(*t)).collect();
        // sums are rounded to the cent, five of them
        let close = plan.totals.total.high + Decimal::new(5, 2) >= budget;
        prop_assert!(mine >= best || close, "{:?} against {:?}", mine, best);
    }

    #[test]
    fn the_order_of_findings_changes_nothing(book in any_book(), findings in any_findings(), turn in 0usize..6) {
        let one = estimate(&book, &findings, &Wishes::default());
        let mut turned = findings.clone();
        turned.reverse();
        turned.rotate_left(turn % findings.len());
        prop_assert_eq!(one, estimate(&book, &turned, &Wishes::default()));
    }

    #[test]
    fn another_finding_never_makes_it_cheaper(book in any_book(), findings in any_findings()) {
        let worth_of = |n: usize| {
            let problem = Problem::new(&book, &refs(&findings[..n]), &Wishes::default());
            let set = cheapest(&problem, &Goal::all(&problem));
            set.map(|s| worth(&problem, &s)).map_err(|e| TestCaseError::fail(e.to_string()))
        };
        let mut before = worth_of(0)?;
        for n in 1..=findings.len() {
            let now = worth_of(n)?;
            prop_assert!(now >= before, "{:?} after {:?}", now, before);
            before = now;
        }
    }

    #[test]
    fn sums_hold_to_the_last_digit(book in any_book(), findings in any_findings()) {
        let e = estimate(&book, &findings, &Wishes::default());
        let t = &e.totals;
        let parts = t.parts + t.supplies + t.taxes.iter().map(|x| x.amount).sum();
        prop_assert_eq!(t.total, pricing::Amount::exact(t.labour) + parts);
        let jobs: pricing::Amount = e.jobs.iter().map(|j| j.price).sum();
        let shared: pricing::Amount = e.steps.iter().filter(|s| s.jobs.len() > 1).map(|s| s.price).sum();
        let lines = jobs + shared;
        let by_urgency: pricing::Amount = e.by_urgency.iter().map(|s| s.price).sum();
        prop_assert_eq!(by_urgency, lines);
        let goods = pricing::Amount::exact(t.labour) + t.parts;
        match book.rounding {
            pricing::Rounding::Line => prop_assert_eq!(lines, goods),
            pricing::Rounding::Total => prop_assert!((lines.high - goods.high).abs() <= Decimal::new(1, 2)),
        }
        // nothing said is dropped: each finding that asks for work has a job or is listed without one
        for f in &findings {
            let priced = e.jobs.iter().any(|j| j.findings.iter().any(|a| a.finding == f.id));
            prop_assert!(priced || e.unpriced.iter().any(|u| u.about.finding == f.id), "{} is lost", f.id);
        }
    }

    #[test]
    fn splitting_never_saves(book in any_book(), findings in any_findings()) {
        let problem = Problem::new(&book, &refs(&findings), &Wishes::default());
        let plan = pricing::over_visits(&problem, 2).map_err(|e| TestCaseError::fail(e.to_string()))?;
        let done: usize = plan.visits.iter().map(|v| v.done.len()).sum();
        prop_assert_eq!(done, problem.items.iter().filter(|i| !i.needs.is_empty()).count());
        let lacking: usize = plan.visits.iter().map(|v| v.totals.parts_without_price).sum();
        prop_assume!(lacking == 0);
        // a cent for each rounded sum of each visit
        prop_assert!(plan.splitting_costs.high >= Decimal::new(-5, 2), "{:?}", plan.splitting_costs);
    }
}
