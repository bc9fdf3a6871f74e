//! Visits compared: what became of each part, and its wear.

use hoistnote::findings::Document;
use hoistnote::history::{self, Became, Comparison, Mark, VisitAt};
use hoistnote::review::Figure;
use jiff::civil::Date;

use super::{Checked, document};
use crate::reports::{pin, schema::breaks};

fn compared(visits: &[(&Document, Option<Date>)], limits: &[(String, Figure)]) -> Comparison {
    let visits: Vec<VisitAt> = visits.iter().map(|(document, day)| VisitAt { document, day: *day }).collect();
    history::compare(&visits, limits)
}

/// Notes then, notes now, and what became of the parts: "part: became".
#[test]
fn parts_meet_their_fate() {
    type Fates<'f> = &'f [(&'f str, Became)];
    let table: [(&str, &str, Fates); 9] = [
        ("lf shock leaking, replace now", "lf shock leaking, replace now", &[("shock absorber", Became::Same)]),
        ("lf shock seeping, keep an eye on it", "lf shock leaking, replace now", &[("shock absorber", Became::Worse)]),
        ("lf shock leaking, replace now", "lf shock seeping, keep an eye on it", &[("shock absorber", Became::Better)]),
        ("lf shock leaking", "lf shock ok", &[("shock absorber", Became::Gone)]),
        (
            "lf shock leaking",
            "rr shock leaking",
            &[("shock absorber", Became::New), ("shock absorber", Became::NoLongerMentioned)],
        ),
        ("lf shock ok", "lf shock leaking", &[("shock absorber", Became::New)]),
        ("lf shock leaking", "battery ok", &[("shock absorber", Became::NoLongerMentioned)]),
        ("lf shock leaking", "lf shock not checked", &[("shock absorber", Became::Unchecked)]),
        ("battery ok", "battery ok", &[]),
    ];
    for (then, now, expected) in table {
        let (a, b) = (document(then), document(now));
        let c = compared(&[(&a, None), (&b, None)], &[]);
        let found: Vec<(&str, Became)> = c.changes.iter().map(|ch| (ch.part.as_str(), ch.became)).collect();
        assert_eq!(found, expected, "{then} / {now}");
    }
}

#[test]
fn a_place_left_unsaid_is_the_one_that_can_be_meant() {
    let (a, b) = (document("lr shock leaking"), document("shock leaking"));
    let c = compared(&[(&a, None), (&b, None)], &[]);
    assert_eq!(c.changes.iter().map(|ch| ch.became).collect::<Vec<_>>(), [Became::Same]);
}

#[test]
fn the_gravest_finding_of_a_place_counts() {
    let (a, b) = (document("all four tires ok\nlf tire cut n/g"), document("lf tire ok"));
    let c = compared(&[(&a, None), (&b, None)], &[]);
    assert_eq!(c.changes.iter().map(|ch| ch.became).collect::<Vec<_>>(), [Became::Gone]);
}

/// Worked out by hand: 9, 7, 5 mm at 100 days and 5,000 mi each fall on a line, so the spread is nothing.
#[test]
fn wear_is_told_by_time_and_by_distance() {
    let visits: Vec<Document> = [(40, 9), (45, 7), (50, 5)]
        .iter()
        .map(|(run, mm)| document(&format!("unit 14, {run},000 miles\nlf brake pads {mm} mm")))
        .collect();
    let day = |n: i64| Date::constant(2026, 1, 1).checked_add(jiff::ToSpan::days(n)).ok();
    let at: Vec<(&Document, Option<Date>)> = visits.iter().enumerate().map(|(n, d)| (d, day(100 * n as i64))).collect();
    let limit = Figure::parse("3 mm").map(|f| vec![("brake-pad".to_string(), f)]).unwrap_or_default();
    let c = compared(&at, &limit);
    let [wear] = c.wear.as_slice() else { panic!("{:?}", c.wear) };
    let (time, run) = (wear.by_time.as_ref(), wear.by_distance.as_ref());
    let (Some(time), Some(run)) = (time, run) else { panic!("{wear:?}") };
    // 2 mm in 100 days: 0.02 × 30.436875 a month; 2 mm in 5,000 mi
    assert!((time.rate + 0.608_737_5).abs() < 1e-9 && (run.rate + 0.4).abs() < 1e-9, "{time:?} {run:?}");
    let (Some(t), Some(r)) = (&time.meets, &run.meets) else { panic!("{wear:?}") };
    // 3 mm after 300 days, at 55,000 mi
    assert_eq!(t.at, Mark::Day("2026-10-28".into()));
    let Mark::Odometer(o) = &r.at else { panic!("{r:?}") };
    assert_eq!(o.value, 55_000.0);
    assert_eq!(t.between, Some((Some(t.at.clone()), Some(t.at.clone()))));
}

#[test]
fn what_was_not_past_its_limit_at_the_last_visit_meets_it_no_earlier() {
    // the line meets 12.22 V behind the last visit, but its range begins before; 12.24 V it meets before
    let visits: Vec<Document> = [(40, "12.8"), (45, "12.6"), (50, "12.4"), (55, "12.25")]
        .iter()
        .map(|(run, volts)| document(&format!("unit 14, {run},000 miles\nbattery {volts} volts")))
        .collect();
    let days = [(2026, 1), (2026, 4), (2026, 7), (2026, 10)].map(|(year, month)| Date::constant(year, month, 1));
    let at: Vec<(&Document, Option<Date>)> = visits.iter().zip(days).map(|(d, day)| (d, Some(day))).collect();
    for limit in ["12.22V", "12.24V"] {
        let limit: Vec<_> = Figure::parse(limit).map(|f| ("battery".to_string(), f)).into_iter().collect();
        let c = compared(&at, &limit);
        let [wear] = c.wear.as_slice() else { panic!("{:?}", c.wear) };
        let trends = [&wear.by_time, &wear.by_distance];
        let met: Vec<_> = trends.into_iter().flatten().filter_map(|t| t.meets.as_ref()).collect();
        let lows: Vec<_> = met.iter().filter_map(|m| m.between.as_ref()?.0.as_ref()).collect();
        assert_eq!((met.len(), lows.len()), (2, 2), "{wear:?}");
        for mark in met.iter().map(|m| &m.at).chain(lows) {
            match mark {
                Mark::Day(day) => assert!(day.as_str() >= "2026-10-01", "{mark:?}"),
                Mark::Odometer(o) => assert!(o.value >= 55_000.0, "{mark:?}"),
            }
        }
    }
}

#[test]
fn two_visits_give_no_uncertainty_and_no_days_no_dates() {
    let (a, b) =
        (document("unit 14, 40,000 miles\nbattery 12.7 volts"), document("unit 14, 45,000 miles\nbattery 12.5 volts"));
    let c = compared(
        &[(&a, None), (&b, None)],
        &Figure::parse("12.2V").map(|f| ("battery".to_string(), f)).into_iter().collect::<Vec<_>>(),
    );
    let [wear] = c.wear.as_slice() else { panic!("{:?}", c.wear) };
    assert!(wear.by_time.is_none());
    let meets = wear.by_distance.as_ref().and_then(|t| t.meets.as_ref());
    assert!(meets.is_some_and(|m| m.between.is_none()), "{wear:?}");
    assert!(c.cautions.iter().any(|x| x.contains("day of a visit is not known")));
}

#[test]
fn what_gets_thicker_meets_no_limit() {
    let (a, b) =
        (document("unit 14, 40,000 miles\nlf brake pads 3 mm"), document("unit 14, 45,000 miles\nlf brake pads 10 mm"));
    let c = compared(&[(&a, None), (&b, None)], &[]);
    let meets = c.wear.iter().filter_map(|w| w.by_distance.as_ref()).filter(|t| t.meets.is_some()).count();
    assert_eq!((c.wear.len(), meets), (1, 0));
}

#[test]
fn json_keeps_to_its_schema() -> Checked {
    let (a, b) = (
        document("unit 14, 40,000 miles\nlf brake pads thin, 4 mm\nlf shock leaking"),
        document("unit 14, 45,000 km\nlf brake pads 3 mm"),
    );
    let c = compared(&[(&a, Some(Date::constant(2026, 1, 1))), (&b, Some(Date::constant(2026, 5, 1)))], &[]);
    let schema: serde_json::Value = serde_json::from_str(&history::schema()?)?;
    let value: serde_json::Value = serde_json::from_str(&history::json(&c)?)?;
    breaks(&value, &schema, &schema, "comparison")?;
    assert_eq!(serde_json::from_value::<Comparison>(value)?, c);
    let kept = include_str!("../../samples/comparison.schema.json").replace("\r\n", "\n");
    assert!(
        history::schema()? == kept,
        "the types changed: run `hoistnote schema compare > samples/comparison.schema.json`"
    );
    pin("comparison_table", &history::table(&c, 80));
    Ok(())
}
