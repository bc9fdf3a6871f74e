//! What each decision does to the list.

use hoistnote::findings::ReviewState;
use hoistnote::lexicon::{Position, UrgencyId, Verdict};
use hoistnote::review::{Edit, Figure, Marked};

use super::{Checked, DEMO, Review, change, finding};

const BOTH: &str = "Brake hoses, both sides at the front, are cracked, replace them.\nBattery is fine.\n";

#[test]
fn accept_and_correct() -> Checked {
    let mut r = Review::of(DEMO);
    let id = r.id("brake-hose");
    let list = r.edit(&Edit::Accept { id: id.clone() })?;
    assert_eq!(list.find(&id).map(|f| f.1.state), Some(ReviewState::Accepted));
    assert!(r.edit(&Edit::Accept { id: id.clone() }).is_err(), "accepted once");
    let mut c = change();
    (c.part, c.verdict, c.urgency) = (Some("brake pads".into()), Some(Verdict::Sound), Some(Some(UrgencyId::Soon)));
    c.wording = Some("The pads will do until spring.".into());
    let list = r.edit(&Edit::Correct { id: id.clone(), change: c, reason: String::new() })?;
    let f = finding(&list, &id);
    assert_eq!((f.verdict, f.urgency), (Verdict::Sound, Some(UrgencyId::Soon)));
    assert_eq!(f.component.name, "brake pad");
    let review = f.review.clone().ok_or("no review")?;
    assert_eq!(
        (review.state, review.wording.as_deref()),
        (ReviewState::Corrected, Some("The pads will do until spring."))
    );
    assert!(!f.evidence.is_empty(), "the words stay");
    Ok(())
}

#[test]
fn a_corrected_figure_is_held_against_its_limit() -> Checked {
    let mut r = Review::of("Left front tire is at eight thirty-seconds, good.\n");
    let id = r.id("tire");
    assert!(!finding(&r.list(), &id).fails_limit());
    let mut c = change();
    c.measurements = Figure::parse("1/32 in").map(|f| vec![f]);
    let list = r.edit(&Edit::Correct { id: id.clone(), change: c, reason: String::new() })?;
    assert!(
        finding(&list, &id).fails_limit(),
        "49 CFR 393.75: less than 4/32 in on a front wheel of a bus or truck, 2/32 elsewhere"
    );
    assert!(finding(&list, &id).urgency.is_some());
    Ok(())
}

#[test]
fn drop_needs_a_reason_and_keeps_what_was_dropped() -> Checked {
    let mut r = Review::of(DEMO);
    let id = r.id("brake-hose");
    assert!(r.edit(&Edit::Drop { id: id.clone(), reason: "  ".into() }).is_err());
    let list = r.edit(&Edit::Drop { id: id.clone(), reason: "said of another van".into() })?;
    assert!(list.find(&id).is_none());
    assert_eq!(
        list.dropped.iter().map(|d| (d.finding.id.as_str(), d.reason.as_str())).collect::<Vec<_>>(),
        [(id.as_str(), "said of another van")]
    );
    let list = r.edit(&Edit::Undo)?;
    assert!(list.find(&id).is_some() && list.dropped.is_empty());
    Ok(())
}

#[test]
fn split_by_place_and_merge_back() -> Checked {
    let mut r = Review::of(BOTH);
    let id = r.id("brake-hose");
    let before = finding(&r.list(), &id).clone();
    assert_eq!(before.position, [Position::Front, Position::Left, Position::Right]);
    let list = r.edit(&Edit::Split { id: id.clone() })?;
    let hoses: Vec<_> = list.document.findings.iter().filter(|f| f.component.id == "brake-hose").collect();
    let places: Vec<_> = hoses.iter().map(|f| f.position.clone()).collect();
    assert_eq!(places, [[Position::Front, Position::Left], [Position::Front, Position::Right]]);
    assert!(hoses.iter().all(|f| f.evidence == before.evidence && f.conditions == before.conditions));
    let ids: Vec<String> = hoses.iter().map(|f| f.id.clone()).collect();
    let list = r.edit(&Edit::Merge { ids })?;
    let whole = finding(&list, &id);
    assert_eq!((&whole.position, &whole.evidence), (&before.position, &before.evidence));
    assert_eq!(list.document.findings.len(), 2);
    Ok(())
}

/// What is graver wins, so that merging hides nothing.
#[test]
fn merging_keeps_the_graver() -> Checked {
    let mut r = Review::of("Brake hose left front is cracked, do not drive it.\nBattery is fine.\n");
    let (hose, battery) = (r.id("brake-hose"), r.id("battery"));
    assert_eq!(finding(&r.list(), &hose).urgency, Some(UrgencyId::Stop));
    let list = r.edit(&Edit::Merge { ids: vec![battery.clone(), hose] })?;
    let f = finding(&list, &battery);
    assert_eq!((f.verdict, f.urgency), (Verdict::Defect, Some(UrgencyId::Stop)));
    assert_eq!(f.evidence.iter().map(|e| e.utterance).max(), Some(2));
    Ok(())
}

#[test]
fn add_from_marked_words() -> Checked {
    let mut r = Review::of("The doohickey behind the grille hums.\nBattery is fine.\n");
    let mut c = change();
    c.part = Some("grille doohickey".into());
    let marked = |words: &str| vec![Marked { line: 1, words: words.into() }];
    assert!(r.edit(&Edit::Add { words: marked("not said"), change: c.clone() }).is_err());
    assert!(r.edit(&Edit::Add { words: vec![Marked { line: 9, words: String::new() }], change: c.clone() }).is_err());
    let list = r.edit(&Edit::Add { words: marked("doohickey behind the grille"), change: c })?;
    let f = list.document.findings.iter().find(|f| f.component.id == "grille-doohickey").ok_or("not added")?;
    let e = f.evidence.first().ok_or("no words")?;
    assert_eq!(&list.document.utterances[0].text[e.start..e.end], "doohickey behind the grille");
    assert_eq!(f.review.as_ref().map(|r| r.state), Some(ReviewState::Added));
    assert!(list.loose.iter().all(|l| l.line != 1 || l.is_settled), "the words have their part now");
    Ok(())
}

/// Nothing is handed over before what is doubtful was looked at.
#[test]
fn handing_over_waits_for_what_is_open() -> Checked {
    let mut r = Review::of(DEMO);
    assert!(r.list().open() > 0);
    assert!(r.edit(&Edit::HandOver).is_err());
    let list = r.list();
    for (f, _) in list.document.findings.iter().zip(&list.items).filter(|(_, i)| i.is_open()) {
        r.edit(&Edit::Pass { id: f.id.clone() })?;
        assert!(r.edit(&Edit::Pass { id: f.id.clone() }).is_err(), "passed over once");
    }
    for l in &list.loose {
        assert!(r.edit(&Edit::HandOver).is_err(), "line {} is still open", l.line);
        r.edit(&Edit::PassWords { line: l.line, reason: String::new() })?;
        assert!(r.edit(&Edit::PassWords { line: l.line, reason: String::new() }).is_err(), "passed over once");
    }
    let list = r.edit(&Edit::HandOver)?;
    assert_eq!((list.open(), list.handed_over), (0, Some(r.entries.len())));
    let list = r.edit(&Edit::Undo)?;
    assert_eq!(list.handed_over, None);
    Ok(())
}

/// "Not to be driven with" can be taken back only with a reason, and the customer is told.
#[test]
fn a_stop_is_never_worded_away() -> Checked {
    let mut r = Review::of("Brake hose left front is cracked through, do not drive it.\n");
    let id = r.id("brake-hose");
    assert_eq!(finding(&r.list(), &id).urgency, Some(UrgencyId::Stop));
    let mut c = change();
    c.urgency = Some(Some(UrgencyId::Watch));
    assert!(r.edit(&Edit::Correct { id: id.clone(), change: c.clone(), reason: String::new() }).is_err());
    let list = r.edit(&Edit::Correct { id: id.clone(), change: c, reason: "said of the old hose".into() })?;
    let told = |list: &hoistnote::review::FinalList| {
        list.document.cautions.iter().any(|c| c.contains("not to be driven") && c.contains("said of the old hose"))
    };
    assert!(told(&list) && list.lifted.len() == 1);
    r.edit(&Edit::Undo)?;
    let list = r.edit(&Edit::Drop { id: id.clone(), reason: "said of the old hose".into() })?;
    assert!(told(&list) && list.lifted.len() == 1);
    Ok(())
}

#[test]
fn edits_that_mean_nothing_are_refused() {
    let mut r = Review::of(BOTH);
    let id = r.id("battery");
    let table = [
        Edit::Accept { id: "ffff".into() },
        Edit::Accept { id: String::new() },
        Edit::Correct { id: id.clone(), change: change(), reason: String::new() },
        Edit::Merge { ids: vec![id.clone()] },
        Edit::Merge { ids: vec![id.clone(), id.clone()] },
        Edit::Add { words: vec![], change: change() },
        Edit::PassWords { line: 0, reason: String::new() },
        Edit::PassDecision { line: 1 },
        Edit::Note { id, text: "x".repeat(5000) },
        Edit::Undo,
        Edit::Redo,
    ];
    for edit in table {
        assert!(r.edit(&edit).is_err(), "{edit:?}");
    }
    assert!(r.entries.is_empty());
}
