//! Answers in the log and the follow-ups they make.

use hoistnote::findings::Document;
use hoistnote::history::{self, AnswerLine, FollowUp, Horizon, HorizonFrom};
use hoistnote::pricing::Answer;
use hoistnote::review::Entry;
use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::{Checked, document, interpreter};
use crate::reports::pin;

/// A line of the log, as it comes back from the file.
fn line(when: &str, answer: Answer, horizon: Option<&str>, d: &Document, n: usize) -> Entry {
    let when: Timestamp = when.parse().unwrap_or_else(|e| panic!("{e}"));
    let horizon = horizon.map(|h| Horizon::parse(h).unwrap_or_else(|| panic!("{h}")));
    let line = AnswerLine::new(when, answer, horizon, &d.findings[n], d, interpreter().lexicon());
    Entry::parse(&serde_json::to_string(&line).unwrap_or_else(|e| panic!("{e}")))
}

fn list(entries: &[Entry]) -> Vec<FollowUp> {
    history::follow_ups("visit", entries, &TimeZone::UTC)
}

const NOON: &str = "2026-03-02T12:00:00Z";

#[test]
fn horizons_are_given_said_or_usual() {
    let table = [
        ("serpentine belt cracked, it will do two more weeks", None, HorizonFrom::Said, Some("2026-03-16")),
        ("serpentine belt cracked, it will do two more weeks", Some("10d"), HorizonFrom::Given, Some("2026-03-12")),
        ("serpentine belt cracked, do it soon", None, HorizonFrom::Usual, Some("2026-03-30")),
        ("serpentine belt cracked, do it soon", Some("1m"), HorizonFrom::Given, Some("2026-04-02")),
        ("serpentine belt cracked, do it soon", Some("500mi"), HorizonFrom::Given, None),
    ];
    for (notes, given, from, due) in table {
        let d = document(&format!("unit 14, 71,400 miles\n{notes}"));
        let found = list(&[line(NOON, Answer::Later, given, &d, 0)]);
        let [f] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!((f.horizon_from, f.due.as_deref()), (from, due), "{notes} {given:?}");
    }
}

#[test]
fn a_distance_is_added_to_the_odometer_in_its_own_unit() {
    let d = document("unit 14, 71,400 miles\nserpentine belt cracked");
    let found = list(&[line(NOON, Answer::Later, Some("800km"), &d, 0)]);
    let run = found[0].due_odometer.as_ref().map(|o| (o.value * 10.0).round() / 10.0);
    // 800 / 1.609344
    assert_eq!(run, Some(71_897.1));
}

#[test]
fn the_last_answer_counts() {
    let d = document("serpentine belt cracked\nlf shock leaking");
    let entries = [
        line(NOON, Answer::Decline, None, &d, 0),
        line(NOON, Answer::Later, None, &d, 1),
        line("2026-03-03T12:00:00Z", Answer::Approve, None, &d, 0),
        Entry::parse("{\"what\":\"something else\"}"),
        Entry::parse("{\"what\":\"customer\",\"answer\":\"later\"}"),
        Entry::parse("no JSON"),
    ];
    let found = list(&entries);
    assert_eq!(found.iter().map(|f| f.finding.as_str()).collect::<Vec<_>>(), [d.findings[1].id.as_str()]);
}

#[test]
fn answers_hold_on_to_their_finding_when_its_id_changes() {
    let d = document("lf shock leaking\nrr shock leaking");
    let answers = history::answers(&[line(NOON, Answer::Decline, None, &d, 0)]);
    let mut again = d.clone();
    again.findings.iter_mut().for_each(|f| f.id = format!("x{}", f.id));
    let on = |n: usize| history::answer_on(&answers, &again.findings[n], &again).map(|a| a.answer);
    assert_eq!((on(0), on(1)), (Some(Answer::Decline), None));
}

#[test]
fn what_must_not_be_driven_comes_first() {
    let d = document("serpentine belt cracked, watch it\nlf tire worn n/g, do not drive\nlf shock leaking, do it soon");
    let entries: Vec<Entry> = (0..d.findings.len()).map(|n| line(NOON, Answer::Decline, None, &d, n)).collect();
    let mut found = list(&entries);
    history::in_order(&mut found);
    assert_eq!(
        found.iter().map(|f| f.part.as_str()).collect::<Vec<_>>(),
        ["tire", "shock absorber", "serpentine belt"]
    );
}

#[test]
fn the_calendar_has_an_event_or_a_to_do_for_each() -> Checked {
    let d = document("unit 14, 71,400 miles\nserpentine belt cracked, watch it\nlf shock leaking, do it soon");
    let entries = [line(NOON, Answer::Later, Some("500mi"), &d, 0), line(NOON, Answer::Decline, None, &d, 1)];
    let mut found = list(&entries);
    history::in_order(&mut found);
    pin("follow_ups_ics", &history::calendar(&found).replace("\r\n", "\n"));
    pin("follow_ups_csv", &history::csv(&found)?.replace("\r\n", "\n"));
    Ok(())
}
