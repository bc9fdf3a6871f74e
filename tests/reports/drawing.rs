//! The drawing: every finding at its place, readable by eyes, scripts and screen readers.

use std::collections::BTreeSet;

use hoistnote::findings::{Component, Document, Finding};
use hoistnote::lexicon::{Lexicon, Outline, Position, UrgencyId, Verdict};
use hoistnote::report::{Marks, drawing, outline_of};
use scraper::{Html, Selector};

use super::made;
use super::snapshots::pin;
use crate::phenomena::INTERPRETER;

use Position::{Front, Left, Rear, Right};

type Checked = Result<(), Box<dyn std::error::Error>>;

const OUTLINES: [Outline; 4] = [Outline::Car, Outline::Van, Outline::Truck, Outline::Trailer];

fn lexicon() -> Result<&'static Lexicon, &'static str> {
    Ok(INTERPRETER.as_ref().ok_or("the built-in lexicon does not compile")?.lexicon())
}

fn selector(text: &str) -> Result<Selector, String> {
    Selector::parse(text).map_err(|e| format!("{text}: {e}"))
}

fn one(part: &str, system: &str, position: &[Position]) -> Document {
    let component = Component { id: part.into(), name: part.into(), system: system.into(), aliases: vec![] };
    let finding = Finding { component, position: position.to_vec(), ..made::document().findings[0].clone() };
    Document { findings: vec![finding], ..made::document() }
}

/// Places that a part at a position is drawn at.
fn places(part: &str, system: &str, position: &[Position]) -> Result<Vec<String>, Box<dyn std::error::Error>> {
    let svg = Html::parse_fragment(&drawing(&one(part, system, position), lexicon()?, Outline::Car, Marks::Still));
    let at = selector("[data-place]")?;
    let mut out: Vec<String> = svg.select(&at).filter_map(|e| e.attr("data-place")).map(str::to_string).collect();
    out.sort_unstable();
    Ok(out)
}

#[test]
fn position_and_part_decide_the_place() -> Checked {
    let table: [(&str, &str, &[Position], &[&str]); 16] = [
        ("brake-pad", "brakes", &[Front, Left], &["wheels-front-left"]),
        ("brake-pad", "brakes", &[Rear, Right], &["wheels-rear-right"]),
        ("brake-pad", "brakes", &[Front, Left, Right], &["wheels-front-left", "wheels-front-right"]),
        (
            "tire",
            "wheels and tires",
            &[Front, Rear, Left, Right],
            &["wheels-front-left", "wheels-front-right", "wheels-rear-left", "wheels-rear-right"],
        ),
        ("leaf-spring", "suspension", &[Rear], &["wheels-rear"]),
        ("brake-pad", "brakes", &[], &["not-said"]),
        // parts of a system of the wheels that sit elsewhere
        ("brake-fluid", "brakes", &[], &["engine"]),
        ("brake-pedal", "brakes", &[], &["cabin"]),
        ("headlight", "lights", &[Front, Left], &["outside-front-left"]),
        ("battery", "electrical", &[Front], &["engine"]),
        ("windshield", "glass-wipers", &[], &["glass-front"]),
        ("wiper-blade", "glass-wipers", &[Left, Right], &["glass-front"]),
        ("back-glass", "glass-wipers", &[], &["glass-rear"]),
        ("muffler", "exhaust", &[Rear], &["underbody-rear"]),
        ("seat", "interior", &[Front, Right], &["cabin-front-right"]),
        // a part that the lexicon does not know
        ("thing", "", &[Rear, Left], &["outside-rear-left"]),
    ];
    for (part, system, position, expected) in table {
        assert_eq!(places(part, system, position)?, expected, "{part} at {position:?}");
    }
    Ok(())
}

#[test]
fn snapshots() -> Checked {
    let document = made::document();
    for outline in OUTLINES {
        let svg = drawing(&document, lexicon()?, outline, Marks::Pressable).replace("><", ">\n<");
        pin(&format!("drawing_{}", format!("{outline:?}").to_lowercase()), &svg);
    }
    Ok(())
}

/// Every finding has its mark, also where hundreds are at one place; each place names itself; nothing clickable stands within
/// something clickable (WAI-ARIA 1.2: children of a button are presentational).
#[test]
fn every_finding_can_be_reached() -> Checked {
    let template = made::document();
    let mut document = template.clone();
    for n in 0..300 {
        let mut f = template.findings[n % template.findings.len()].clone();
        f.id = format!("many{n}");
        f.position = if n < 120 { vec![Front, Left] } else { f.position };
        document.findings.push(f);
    }
    for (marks, inner) in [(Marks::Still, "[role=img]"), (Marks::Linked, "a[href]"), (Marks::Pressable, "g.mark")] {
        let svg = Html::parse_fragment(&drawing(&document, lexicon()?, Outline::Truck, marks));
        let marked = selector("[data-finding]")?;
        let seen: BTreeSet<&str> =
            svg.select(&marked).filter_map(|e| e.attr("data-finding")).flat_map(str::split_whitespace).collect();
        assert!(document.findings.iter().all(|f| seen.contains(f.id.as_str())));
        let (places, titles) = (selector(".place")?, selector(":scope > title")?);
        for place in svg.select(&places) {
            let title: Option<String> = place.select(&titles).next().map(|t| t.text().collect());
            let name = place.attr("aria-label").map(str::to_string).or(title);
            assert!(name.is_some_and(|n| n.contains(": ")), "{marks:?}: a place has no name");
        }
        assert!(svg.select(&selector(inner)?).next().is_some(), "{marks:?}");
        let nested = selector("[role=button] a, [role=button] [tabindex], [role=button] [role]")?;
        assert_eq!(svg.select(&nested).count(), 0);
        assert_eq!(svg.select(&selector("svg > title, svg > desc")?).count(), 2);
    }
    Ok(())
}

/// How pressing it is can be told without color: by shape, and by a word in the drawing itself.
#[test]
fn urgency_shows_by_shape_and_word() -> Checked {
    let cases = [
        (Verdict::Defect, Some(UrgencyId::Stop), "not to be driven"),
        (Verdict::Defect, Some(UrgencyId::Now), "needs doing now"),
        (Verdict::Defect, Some(UrgencyId::Soon), "soon"),
        (Verdict::Defect, Some(UrgencyId::Watch), "keep an eye on"),
        (Verdict::Defect, None, "urgency not said"),
        (Verdict::Sound, None, "fine"),
    ];
    let mut shapes = BTreeSet::new();
    for (verdict, urgency, word) in cases {
        let mut document = one("tire", "wheels and tires", &[Front, Left]);
        document.findings[0].verdict = verdict;
        document.findings[0].urgency = urgency;
        let svg = Html::parse_fragment(&drawing(&document, lexicon()?, Outline::Car, Marks::Still));
        let words: Vec<String> = svg.select(&selector("text.word")?).map(|e| e.text().collect()).collect();
        assert_eq!(words, [word]);
        let shape = svg.select(&selector(".mark .shape")?).next().ok_or("no shape")?;
        let look = |name: &str| shape.attr(name).unwrap_or_default().to_string();
        shapes.insert((
            shape.value().name().to_string(),
            look("fill"),
            look("stroke-dasharray"),
            look("stroke-width"),
            look("r"),
        ));
    }
    assert_eq!(shapes.len(), cases.len(), "two of them look alike: {shapes:?}");
    Ok(())
}

#[test]
fn the_outline_goes_by_what_the_vehicle_is_called() -> Checked {
    let table = [
        ("Unit 14, high-roof van.", Outline::Van),
        ("Unit 3, a small hatchback.", Outline::Car),
        ("Tractor 22 with trailer 7.", Outline::Truck),
        ("Trailer 7 behind tractor 22.", Outline::Trailer),
        ("Caravan park run, unit 5.", Outline::Car),
    ];
    for (said, outline) in table {
        let mut document = made::empty();
        document.utterances.iter_mut().for_each(|u| u.text = "nothing".into());
        document.utterances[0].text = said.into();
        assert_eq!(outline_of(&document, lexicon()?), outline, "{said}");
    }
    let mut document = one("brake-chamber", "air-brakes", &[]);
    document.vehicle.identification = None;
    document.utterances.iter_mut().for_each(|u| u.text = "nothing".into());
    assert_eq!(outline_of(&document, lexicon()?), Outline::Truck);
    Ok(())
}
