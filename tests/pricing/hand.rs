//! Estimates worked out by hand in the figures of the fictional depot: the sums stand beside each case.

use hoistnote::findings::{Alternative, Component};
use hoistnote::lexicon::{ActionId, ConditionId, Position, UrgencyId, Verdict};
use hoistnote::pricing::{self, RateBook, Tier, Wishes, WithoutJob};

use super::{book, defect, estimate, job, jobs, total, with_urgency};
use crate::rate_book::{self as entry, HEAD};
use Position::{Front, Left, Lower, Rear, Right, Upper};

/// Lift 6.00, wheel off 12.00 each, align 60.00. Bushing 48 + 20; joint 30 + 40; whole arm 36 + 70.
fn front_end() -> RateBook {
    let at_a_wheel = "operations = [\"wheel-off\", \"align\"]";
    let single = |part: &str, hours: &str, price: u32| {
        let parts = format!("parts = [{{ name = {part:?}, price = {price} }}]");
        entry::job(part, part, part, &format!("per = \"place\"\n{at_a_wheel}\nhours = {hours}\n{parts}"))
    };
    let arm = r#"{ part = "arm" }, { part = "bushing", at = ["lower"] }, { part = "joint", at = ["lower"] }"#;
    let arm_lines = "per = \"corner\"\nhours = 0.6\nparts = [{ name = \"arm\", price = 70 }]";
    let entries = [
        HEAD.into(),
        entry::operation("lift", "lift", "0.1", ""),
        entry::operation("wheel-off", "wheel off", "0.2", "per = \"corner\"\nneeds = [\"lift\"]"),
        entry::operation("align", "align", "1", "needs = [\"lift\"]"),
        single("bushing", "0.8", 20),
        single("joint", "0.5", 40),
        entry::job_covering("arm", "whole arm", arm, &format!("{arm_lines}\n{at_a_wheel}")),
    ];
    book(&entries.concat())
}

#[test]
fn one_finding_takes_the_cheapest_job() {
    // bushing: 6 + 12 + 60 + 48 + 20 = 146; the whole arm: 6 + 12 + 60 + 36 + 70 = 184
    let e = estimate(&front_end(), &[defect("a", "bushing", &[Front, Left, Lower])], &Wishes::default());
    assert_eq!((jobs(&e), total(&e)), (vec!["bushing"], "146.00".into()));
    let other = &e.choices[0].others[0];
    assert_eq!(
        (other.job.as_str(), other.difference.high.to_string().as_str(), other.offered),
        ("arm", "38.00", false)
    );
}

#[test]
fn one_job_serves_two_findings() {
    // apart: 78 + 68 + 70 = 216; the whole arm does both: 184
    let findings = [defect("a", "bushing", &[Front, Left, Lower]), defect("b", "joint", &[Front, Left, Lower])];
    let e = estimate(&front_end(), &findings, &Wishes::default());
    assert_eq!((jobs(&e), total(&e)), (vec!["arm"], "184.00".into()));
    assert_eq!(e.jobs[0].findings.len(), 2);
}

#[test]
fn what_has_no_price_at_all_is_no_total_of_nothing() {
    let none = estimate(&front_end(), &[defect("a", "lamp", &[])], &Wishes::default());
    let table = pricing::table(&none, 80);
    assert!(table.contains("0 jobs, price to be asked in all; 1 item is without a price"), "{table}");
    assert_eq!(pricing::total(&none), "price to be asked USD");
    let nothing = estimate(&front_end(), &[], &Wishes::default());
    assert!(pricing::table(&nothing, 80).contains("Nothing is left to be done"));
    assert_eq!(pricing::total(&nothing), "0.00 USD");
}

#[test]
fn hours_differ_by_place() {
    // a wheel 12.00 in front and 30.00 behind; the pump 60.00, in front on the left 24.00
    let by_place = "per = \"corner\"\nhours_at = [{ at = [\"rear\"], hours = 0.5 }]";
    let pump = "per = \"corner\"\noperations = [\"wheel-off\"]\nhours = 1\nhours_at = [{ at = [\"front\", \"left\"], hours = 0.4 }]";
    let entries = [
        HEAD.into(),
        entry::operation("wheel-off", "wheel off", "0.2", by_place),
        entry::job("pump", "pump", "pump", pump),
    ];
    let book = book(&entries.concat());
    let table: [(&[Position], &str); 6] = [
        (&[Front, Left], "36.00"),
        (&[Front, Right], "72.00"),
        (&[Rear, Left], "90.00"),
        (&[Front, Rear, Left], "126.00"),
        // what was not said of the place counts as nothing special
        (&[Left], "72.00"),
        (&[], "72.00"),
    ];
    for (place, expected) in table {
        assert_eq!(total(&estimate(&book, &[defect("a", "pump", place)], &Wishes::default())), expected, "{place:?}");
    }
}

#[test]
fn upper_parts_are_not_served_by_the_lower_arm() {
    // 6 + 12 + 60 + two bushing jobs of 68
    let findings = [defect("a", "bushing", &[Front, Left, Upper]), defect("b", "bushing", &[Front, Left, Lower])];
    let e = estimate(&front_end(), &findings, &Wishes::default());
    assert_eq!((jobs(&e), total(&e)), (vec!["bushing", "bushing"], "214.00".into()));
}

#[test]
fn steps_are_counted_once_and_places_apart() {
    // lift 6 and align 60 once, wheel off twice 24, two joints of 70
    let e = estimate(&front_end(), &[defect("a", "joint", &[Front, Left, Right])], &Wishes::default());
    assert_eq!(total(&e), "230.00");
    let saved: Vec<(&str, String)> = e.steps.iter().map(|s| (s.name.as_str(), s.saved.high.to_string())).collect();
    let mut saved = saved;
    saved.sort();
    assert_eq!(
        saved,
        [("align", "60.00".into()), ("lift", "6.00".into()), ("wheel off", "0".into()), ("wheel off", "0".into())]
    );
}

#[test]
fn pinning_and_forbidding_show_their_price() {
    let findings = [defect("a", "bushing", &[Front, Left, Lower])];
    let pinned = Wishes { pinned: vec![job("arm")], ..Wishes::default() };
    let forbidden = Wishes { forbidden: vec![job("bushing")], ..Wishes::default() };
    // the bushing instead of the arm: 146 - 184
    let e = estimate(&front_end(), &findings, &pinned);
    let other = &e.choices[0].others[0];
    assert_eq!((other.job.as_str(), other.difference.high.to_string().as_str()), ("bushing", "-38.00"));
    let table = hoistnote::pricing::table(&e, 200);
    assert!(table.contains("is as you wished") && !table.contains("is the cheapest in all"), "{table}");
    for wishes in [pinned, forbidden] {
        let e = estimate(&front_end(), &findings, &wishes);
        assert_eq!((jobs(&e), total(&e)), (vec!["arm"], "184.00".into()));
        let w = e.wishes.unwrap_or_else(|| panic!("no price of the choice"));
        assert_eq!((w.free_total.high.to_string(), w.difference.high.to_string()), ("146.00".into(), "38.00".into()));
    }
}

#[test]
fn repairs_the_technician_offered_are_shown_as_such() {
    let mut f = defect("a", "bushing", &[Front, Left, Lower]);
    let arm = Component { id: "arm".into(), name: "arm".into(), system: String::new(), aliases: Vec::new() };
    f.alternatives.push(Alternative { component: arm, action: ActionId::Replace });
    let e = estimate(&front_end(), &[f], &Wishes::default());
    assert!(e.choices[0].others[0].offered);
}

#[test]
fn what_has_no_job_is_listed_and_not_counted() {
    let stop = with_urgency(defect("a", "pump", &[]), Some(UrgencyId::Stop));
    let mut align = defect("b", "joint", &[Front, Left, Lower]);
    align.actions = vec![ActionId::Replace, ActionId::Clean];
    let forbidden = Wishes { forbidden: vec![job("bushing"), job("arm")], ..Wishes::default() };
    let e = estimate(&front_end(), &[align, stop, defect("c", "bushing", &[Front, Left, Lower])], &forbidden);
    let lacks: Vec<(&str, Option<ActionId>, WithoutJob)> =
        e.unpriced.iter().map(|u| (u.about.finding.as_str(), u.action, u.reason)).collect();
    assert_eq!(
        lacks,
        [
            ("a", Some(ActionId::Replace), WithoutJob::NotInBook),
            ("c", Some(ActionId::Replace), WithoutJob::Forbidden),
            ("b", Some(ActionId::Clean), WithoutJob::NotInBook),
        ]
    );
    assert_eq!(jobs(&e), ["joint"]);
    assert_eq!(e.stop_left_out().iter().map(|a| a.finding.as_str()).collect::<Vec<_>>(), ["a"]);
}

#[test]
fn what_asks_for_nothing_is_not_priced() {
    let mut sound = with_urgency(defect("a", "joint", &[]), None);
    sound.verdict = Verdict::Sound;
    let mut watched = with_urgency(defect("b", "joint", &[]), Some(UrgencyId::Watch));
    watched.actions = vec![ActionId::Monitor];
    let mut graver = with_urgency(defect("c", "joint", &[Front, Left]), Some(UrgencyId::Now));
    graver.actions = vec![ActionId::Monitor];
    let e = estimate(&front_end(), &[sound, watched, graver], &Wishes::default());
    assert_eq!(e.watched.iter().map(|a| a.finding.as_str()).collect::<Vec<_>>(), ["b"]);
    assert_eq!(e.jobs.iter().flat_map(|j| &j.findings).map(|a| a.finding.as_str()).collect::<Vec<_>>(), ["c"]);
}

/// 25.00 an hour; parts 3 × 3.335, 10.005 and 20.005; supplies 10% of labour, at most 2.00; taxes 7.25% and 1%.
fn awkward(round: &str) -> RateBook {
    let head = format!(
        r#"
currency = "USD"
round = "{round}"
[supplies]
percent = 10
of = ["labour"]
cap = 2
[[labour]]
id = "m"
rate = 25
[[tax]]
name = "goods"
percent = 7.25
on = ["parts", "supplies"]
[[tax]]
name = "work"
percent = 1
on = ["labour"]
"#
    );
    let pads =
        "hours = 0.333\nparts = [{ name = \"pad\", quantity = 3, price = 3.335 }, { name = \"clip\", price = 10.005 }]";
    let belt = "hours = 0.5\nparts = [{ name = \"belt\", price = 20.005 }]";
    book(&(head + &entry::job("pad", "pads", "pad", pads) + &entry::job("belt", "belt", "belt", belt)))
}

#[test]
fn rounding_is_by_line_or_by_total() {
    let findings = [defect("a", "pad", &[]), defect("b", "belt", &[])];
    // by line: labour 8.325→8.33, 12.50; parts 10.005→10.01, 10.005→10.01, 20.005→20.01
    let e = estimate(&awkward("line"), &findings, &Wishes::default());
    let t = &e.totals;
    assert_eq!((t.labour.to_string(), t.parts.high.to_string()), ("20.83".into(), "40.03".into()));
    // supplies 2.083, capped at 2.00; goods 7.25% of 42.03 = 3.047175; work 1% of 20.83 = 0.2083
    assert_eq!(t.supplies.high.to_string(), "2.00");
    assert_eq!(t.taxes.iter().map(|x| x.amount.high.to_string()).collect::<Vec<_>>(), ["3.05", "0.21"]);
    assert_eq!(total(&e), "66.12");
    // by total: labour 20.825→20.83; parts 40.015→40.02; goods 7.25% of 42.02 = 3.04645
    let e = estimate(&awkward("total"), &findings, &Wishes::default());
    assert_eq!((e.totals.labour.to_string(), e.totals.parts.high.to_string()), ("20.83".into(), "40.02".into()));
    assert_eq!(total(&e), "66.11");
}

#[test]
fn below_the_cap_supplies_are_a_share() {
    // labour 8.33, supplies 0.833→0.83
    let e = estimate(&awkward("line"), &[defect("a", "pad", &[])], &Wishes::default());
    assert_eq!(e.totals.supplies.high.to_string(), "0.83");
}

/// A dear pad with a price, a cheap one without; a lamp without any; an optional clip and another belt.
fn absent() -> RateBook {
    let known = r#"parts = [{ name = "pad", price = 90, price_to = 120 }, { id = "clip", name = "clip", price = 5, optional = true }]"#;
    let belt = r#"parts = [{ name = "belt", quantity = 2, price = 10, instead = [{ id = "belt-long", name = "long belt", price = 13 }] }]"#;
    let entries = [
        HEAD.into(),
        entry::job("pad-known", "pads", "pad", known),
        entry::job("pad-unknown", "pads, to be asked", "pad", "parts = [{ name = \"pad of another kind\" }]"),
        entry::job("lamp", "lamp", "lamp", "hours = 0.5\nparts = [{ name = \"lamp\" }]"),
        entry::job("belt", "belt", "belt", belt),
    ];
    book(&entries.concat())
}

#[test]
fn absent_prices_are_absent_and_not_zero() {
    let book = absent();
    let e = estimate(&book, &[defect("a", "pad", &[]), defect("b", "lamp", &[])], &Wishes::default());
    assert_eq!(jobs(&e), ["lamp", "pad-known"]);
    assert_eq!(e.totals.parts_without_price, 1);
    let lamp = e.jobs.iter().find(|j| j.job == "lamp").unwrap_or_else(|| panic!("no lamp"));
    assert_eq!((lamp.parts[0].price, lamp.parts[0].amount), (None, None));
    // 30.00 for the lamp's labour, a range for the pads
    assert_eq!((e.totals.total.low.to_string(), total(&e)), ("120.00".into(), "150.00".into()));
}

#[test]
fn optional_and_other_parts_are_taken_by_their_id() {
    let book = absent();
    let findings = [defect("a", "pad", &[]), defect("b", "belt", &[])];
    assert_eq!(total(&estimate(&book, &findings, &Wishes::default())), "140.00");
    let wishes = Wishes { taken: vec!["clip".into(), "belt-long".into()], ..Wishes::default() };
    let e = estimate(&book, &findings, &wishes);
    // 5.00 for the clip, 2 × 3.00 for the longer belts
    assert_eq!(total(&e), "151.00");
    let belt = e.jobs.iter().find(|j| j.job == "belt").unwrap_or_else(|| panic!("no belt"));
    assert_eq!(belt.parts[0].instead[0].difference.map(|d| d.high.to_string()).as_deref(), Some("-6"));
}

#[test]
fn where_no_work_was_named_only_work_that_puts_right_counts() {
    let covers = |more: &str| format!("{{ part = \"rotor\"{more} }}");
    let clean = covers(r#", actions = ["clean"], conditions = ["contaminated"]"#);
    let adjust = covers(r#", actions = ["adjust"]"#);
    let entries = [
        HEAD.into(),
        entry::job("replace", "replace", "rotor", "hours = 2"),
        entry::job_covering("clean", "clean", &clean, "hours = 1"),
        entry::job_covering("adjust", "adjust", &adjust, "hours = 0.1"),
    ];
    let book = book(&entries.concat());
    use ConditionId::{Contaminated, Crack, Worn};
    let table: [(&[ConditionId], &[ActionId], &str); 6] = [
        (&[Worn], &[], "replace"),
        (&[], &[], "replace"),
        (&[Contaminated], &[], "clean"),
        // cleaning would leave the crack
        (&[Contaminated, Crack], &[], "replace"),
        (&[Worn], &[ActionId::Adjust], "adjust"),
        (&[Contaminated], &[ActionId::Replace], "replace"),
    ];
    for (conditions, actions, expected) in table {
        let mut f = defect("a", "rotor", &[Rear]);
        f.actions = actions.to_vec();
        f.conditions = conditions.iter().map(|id| hoistnote::findings::Condition { id: *id, degree: None }).collect();
        assert_eq!(jobs(&estimate(&book, &[f], &Wishes::default())), [expected], "{conditions:?} {actions:?}");
    }
}

#[test]
fn places_that_were_not_said_are_told() {
    let e = estimate(&front_end(), &[defect("a", "arm", &[Front])], &Wishes::default());
    assert_eq!(e.jobs[0].place_open, ["left or right"]);
    assert_eq!(e.by_urgency[0].urgency, Tier::Now);
}
