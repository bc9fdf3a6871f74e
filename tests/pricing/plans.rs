//! Plans worked out by hand.

use hoistnote::findings::Finding;
use hoistnote::lexicon::UrgencyId;
use hoistnote::pricing::{Problem, RateBook, Tier, VisitPlan, Wishes, over_visits, within_budget};
use rust_decimal::Decimal;

use super::{book, defect, with_urgency};
use crate::rate_book::{self as entry, HEAD};

/// Lift 30 shared by all; pump 100, belt 50, joint 20, lamp 10 (not on the lift).
fn shop() -> RateBook {
    let part = |id: &str, price: u32| format!("parts = [{{ name = {id:?}, price = {price} }}]");
    let lifted = |id: &str, price| entry::job(id, id, id, &format!("operations = [\"lift\"]\n{}", part(id, price)));
    let entries = [
        HEAD.into(),
        entry::operation("lift", "lift", "0.5", ""),
        lifted("pump", 100),
        lifted("belt", 50),
        lifted("joint", 20),
        entry::job("lamp", "lamp", "lamp", &part("lamp", 10)),
    ];
    book(&entries.concat())
}

fn findings() -> Vec<Finding> {
    let graded =
        [("pump", UrgencyId::Stop), ("belt", UrgencyId::Now), ("joint", UrgencyId::Soon), ("lamp", UrgencyId::Watch)];
    graded.iter().map(|(part, u)| with_urgency(defect(part, part, &[]), Some(*u))).collect()
}

#[test]
fn money_goes_to_what_presses_first() {
    // all of it: 30 + 100 + 50 + 20 + 10 = 210
    let table: [(i64, &[&str], &str, Option<i64>); 7] = [
        (210, &["pump", "belt", "joint", "lamp"], "210.00", None),
        (209, &["pump", "belt", "joint"], "200.00", None),
        (199, &["pump", "belt", "lamp"], "190.00", None),
        (180, &["pump", "belt"], "180.00", None),
        // the belt does not fit: what is left does what it can, in order
        (179, &["pump", "joint", "lamp"], "160.00", None),
        (130, &["pump"], "130.00", None),
        // what must not be driven with is never traded away
        (50, &["pump"], "130.00", Some(80)),
    ];
    let (book, findings) = (shop(), findings());
    let refs: Vec<&Finding> = findings.iter().collect();
    let problem = Problem::new(&book, &refs, &Wishes::default());
    for (budget, done, total, short) in table {
        let plan = within_budget(&problem, Decimal::from(budget)).unwrap_or_else(|e| panic!("{e}"));
        let served: Vec<&str> = plan.done.iter().map(|a| a.finding.as_str()).collect();
        assert_eq!(served, done, "{budget}");
        assert_eq!(plan.totals.total.high.to_string(), total, "{budget}");
        assert_eq!(plan.stop_not_covered.map(|s| s.normalize()), short.map(Decimal::from), "{budget}");
        assert_eq!(plan.put_off.len(), 4 - done.len());
    }
}

fn visits(n: usize) -> VisitPlan {
    let (book, findings) = (shop(), findings());
    let refs: Vec<&Finding> = findings.iter().collect();
    over_visits(&Problem::new(&book, &refs, &Wishes::default()), n).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn splitting_repeats_the_lift() {
    let plan = visits(2);
    let totals: Vec<String> = plan.visits.iter().map(|v| v.totals.total.high.to_string()).collect();
    // 30 + 100 + 50, then 30 + 20 + 10
    assert_eq!(totals, ["180.00", "60.00"]);
    assert_eq!(plan.splitting_costs.high.to_string(), "30.00");
    let repeated: Vec<(&str, usize, String)> =
        plan.repeated.iter().map(|r| (r.name.as_str(), r.times, r.price.high.to_string())).collect();
    assert_eq!(repeated, [("lift", 1, "30.00".to_string())]);
    // the joint done at once spares the second lift; the lamp needs none
    let better: Vec<(&str, String)> =
        plan.better_now.iter().map(|b| (b.about.finding.as_str(), b.saves.high.to_string())).collect();
    assert_eq!(better, [("joint", "30.00".to_string())]);
}

#[test]
fn a_third_visit_takes_what_may_wait_longest() {
    let plan = visits(3);
    let done: Vec<Vec<Tier>> = plan.visits.iter().map(|v| v.done.iter().map(|a| a.urgency).collect()).collect();
    assert_eq!(done, [vec![Tier::Stop, Tier::Now], vec![Tier::Soon], vec![Tier::Watch]]);
    assert_eq!(plan.total.high.to_string(), "240.00");
}
