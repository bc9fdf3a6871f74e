//! Extracting again with other words known keeps what still applies and lists what does not.

use hoistnote::dictation;
use hoistnote::findings::ReviewState;
use hoistnote::interpretation::{Interpreter, Settings};
use hoistnote::lexicon::{Lexicon, UrgencyId, builtin};
use hoistnote::review::{Edit, Extraction, FinalList};

use super::{Checked, Review, change, interpreter};

const SAID: &str = "Left front now. The clamper is seized, replace it.\nBattery tested fine.\nHorn works.\n";

/// The same words under a lexicon with these lines laid on top.
fn again(r: &Review, text: &str, more: &str) -> Result<FinalList, Box<dyn std::error::Error>> {
    let mut raw = builtin()?;
    raw.add("ours/parts.toml", more)?;
    let better = Interpreter::new(Lexicon::compile(raw)?);
    let d = dictation::read("walk.txt", text.as_bytes())?;
    let extraction = Extraction::join("visit", vec![better.document(&d, Settings::default())], Vec::new());
    Ok(extraction.final_list(&r.entries, interpreter(), Settings::default()))
}

#[test]
fn what_still_applies_is_kept() -> Checked {
    let mut r = Review::of(SAID);
    let (battery, horn) = (r.id("battery"), r.id("horn"));
    let mut c = change();
    c.urgency = Some(Some(UrgencyId::Soon));
    r.edit(&Edit::Accept { id: horn })?;
    r.edit(&Edit::Correct { id: battery, change: c, reason: String::new() })?;
    let list = again(&r, SAID, "system = \"brakes\"\n[[part]]\nid = \"brake-caliper\"\nalso = [\"the clamper\"]\n")?;
    assert_eq!(list.stale, []);
    let state = |part: &str| {
        let found = list.document.findings.iter().find(|f| f.component.id == part)?;
        Some((found.review.as_ref()?.state, found.urgency))
    };
    assert!(list.document.findings.iter().any(|f| f.component.id == "brake-caliper"), "the new word is read");
    assert_eq!(state("horn"), Some((ReviewState::Accepted, None)));
    assert_eq!(state("battery"), Some((ReviewState::Corrected, Some(UrgencyId::Soon))));
    Ok(())
}

/// The part has another id now, and so has the finding; the words are the same.
#[test]
fn a_part_that_is_read_otherwise_is_found_by_its_words() -> Checked {
    let mut r = Review::of(SAID);
    let id = r.id("battery");
    r.edit(&Edit::Note { id: id.clone(), text: "customer asked twice".into() })?;
    r.edit(&Edit::Accept { id })?;
    let list = again(
        &r,
        SAID,
        "system = \"electrical\"\n[[part]]\nid = \"battery\"\nretire = true\n[[part]]\nid = \"yard-battery\"\nname = \"battery\"\n",
    )?;
    let f = list.document.findings.iter().find(|f| f.component.id == "yard-battery").ok_or("not read")?;
    assert_eq!(f.review.as_ref().and_then(|r| r.note.as_deref()), Some("customer asked twice"));
    let stale: Vec<usize> = list.stale.iter().map(|s| s.line).collect();
    assert_eq!(stale, [2], "accepting one part is not accepting another");
    assert_eq!(f.review.as_ref().map(|r| r.state), Some(ReviewState::Open));
    assert!(list.open() > 0);
    Ok(())
}

#[test]
fn what_applies_to_nothing_is_listed_and_can_be_passed() -> Checked {
    let mut r = Review::of(SAID);
    let horn = r.id("horn");
    r.edit(&Edit::Drop { id: horn, reason: "not asked for".into() })?;
    let list = again(&r, "Battery tested fine.\n", "system = \"brakes\"\n")?;
    assert_eq!(list.stale.iter().map(|s| (s.line, s.is_passed)).collect::<Vec<_>>(), [(1, false)]);
    let decision = hoistnote::review::decide(&Edit::PassDecision { line: 1 }, &list, interpreter().lexicon())?;
    r.entries.push(super::line(decision));
    let list = again(&r, "Battery tested fine.\n", "system = \"brakes\"\n")?;
    assert_eq!(list.stale.iter().map(|s| (s.line, s.is_passed)).collect::<Vec<_>>(), [(1, true)]);
    Ok(())
}

/// A wording for the customer does not hide that the words are now read as a defect.
#[test]
fn a_correction_is_kept_and_what_it_left_alone_is_looked_at_again() -> Checked {
    let mut r = Review::of("Brake hose left front is fine.\n");
    let id = r.id("brake-hose");
    let mut c = change();
    c.wording = Some("All hoses are in order.".into());
    r.edit(&Edit::Correct { id, change: c, reason: String::new() })?;
    assert_eq!(r.list().open(), 0);
    let list =
        again(&r, "Brake hose left front is fine.\nNo, sorry, that brake hose is cracked.\n", "system = \"brakes\"\n")?;
    let hose = list.document.findings.iter().find(|f| f.component.id == "brake-hose").ok_or("no hose")?;
    assert_eq!(hose.verdict, hoistnote::lexicon::Verdict::Defect);
    let review = hose.review.as_ref().ok_or("no review")?;
    assert_eq!((review.state, review.wording.as_deref()), (ReviewState::Open, Some("All hoses are in order.")));
    assert_eq!(
        list.stale.iter().map(|s| (s.line, s.finding.as_deref())).collect::<Vec<_>>(),
        [(1, Some(hose.id.as_str()))]
    );
    assert!(list.open() >= 1);
    Ok(())
}

/// A finding that is graver now is not dropped by an old decision.
#[test]
fn a_drop_does_not_hide_what_became_graver() -> Checked {
    let mut r = Review::of("Brake hose left front is cracked.\n");
    let id = r.id("brake-hose");
    r.edit(&Edit::Drop { id, reason: "said of another van".into() })?;
    let later = "Brake hose left front is cracked.\nDo not drive it with that brake hose, it's not going out.\n";
    let list = again(&r, later, "system = \"brakes\"\n")?;
    let hose = list.document.findings.iter().find(|f| f.component.id == "brake-hose");
    assert_eq!(hose.and_then(|f| f.urgency), Some(UrgencyId::Stop), "{:?}", list.document.findings);
    assert_eq!(list.stale.len(), 1);
    Ok(())
}
