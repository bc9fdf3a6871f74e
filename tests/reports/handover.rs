//! What is handed over: whole outputs, nothing said acts as markup, and what is not to be driven with can't be hidden.

use hoistnote::checklist::coverage;
use hoistnote::findings::{Document, Finding};
use hoistnote::lexicon::{Lexicon, Outline, UrgencyId, Verdict};
use hoistnote::report::{
    Handover, Photo, SetAside, Standing, customer_report, markdown_of_gaps, table_of_gaps, work_list_html,
    work_list_text,
};
use proptest::prelude::{TestCaseError, prop, prop_assert_eq, proptest};
use scraper::{Html, Selector};

use super::made;
use super::snapshots::pin;
use crate::phenomena::INTERPRETER;

type Checked = Result<(), Box<dyn std::error::Error>>;

/// One black pixel.
const PIXEL: &str = "data:image/gif;base64,R0lGODlhAQABAIAAAAAAAAAAACH5BAAAAAAALAAAAAABAAEAAAICRAEAOw==";
/// Text that would act on a page that does not escape it.
const EVIL: &str =
    "\"'><script>alert(1)</script><img src=x onerror=alert(2)>&amp;</style></title></svg>\u{202e}\u{1b}[2J";

fn lexicon() -> Result<&'static Lexicon, &'static str> {
    Ok(INTERPRETER.as_ref().ok_or("the built-in lexicon does not compile")?.lexicon())
}

/// Everything that can be handed over, by hand.
fn whole<'d>(document: &'d Document, lexicon: &'d Lexicon) -> Result<Handover<'d>, Box<dyn std::error::Error>> {
    let light = lexicon.guidance.checklist("light").ok_or("no checklist light")?;
    let mut before: Finding = document.findings[0].clone();
    before.urgency = Some(UrgencyId::Stop);
    let mut photo = Photo::new(PIXEL, "the pad")?;
    photo.finding = Some("a1b2c30002".into());
    photo.at_ms = Some(64_000);
    Ok(Handover {
        standing: Standing::Reviewed,
        outline: Outline::Van,
        shop: Some("Larkfield depot (invented)".into()),
        when: Some("3 March 2031".into()),
        notes: [("a1b2c40003".to_string(), "We can do this on Thursday.".to_string())].into(),
        photos: vec![photo, Photo::new(PIXEL, "")?],
        coverage: Some(coverage(document, light)),
        set_aside: vec![SetAside { finding: before, reason: "The oil was spilt on it.".into() }],
        ..Handover::not_reviewed(document, lexicon)
    })
}

fn selector(text: &str) -> Result<Selector, String> {
    Selector::parse(text).map_err(|e| format!("{text}: {e}"))
}

fn texts(page: &Html, css: &str) -> Result<Vec<String>, String> {
    Ok(page.select(&selector(css)?).map(|e| e.text().collect::<String>()).collect())
}

/// Pages by name, one tag a line, so that a snapshot shows what changed.
fn lines(page: &str) -> String {
    let body = page.split("</style>").nth(1).unwrap_or(page);
    body.replace("><", ">\n<")
}

#[test]
fn snapshots() -> Checked {
    let document = made::document();
    let h = whole(&document, lexicon()?)?;
    pin("handover_customer", &lines(&customer_report(&h)));
    pin("handover_work_html", &lines(&work_list_html(&h)));
    pin("handover_work_text", &work_list_text(&h, 80));
    let gaps = h.coverage.as_ref().ok_or("no coverage")?;
    pin("gaps_table", &table_of_gaps(gaps, 80));
    pin("gaps_markdown", &markdown_of_gaps(gaps));
    let empty = made::empty();
    pin("handover_empty", &lines(&customer_report(&Handover::not_reviewed(&empty, lexicon()?))));
    Ok(())
}

/// The HTML standard's own parser (html5ever) reads every page without one parse error.
#[test]
fn pages_are_well_formed() -> Checked {
    let (document, empty, evil) = (made::document(), made::empty(), evil());
    for document in [&document, &empty, &evil] {
        let h = whole_or_bare(document)?;
        for page in [customer_report(&h), work_list_html(&h)] {
            let parsed = Html::parse_document(&page);
            assert!(parsed.errors.is_empty(), "{:?}", parsed.errors);
            assert!(page.starts_with("<!DOCTYPE html>"));
            assert_eq!(parsed.select(&selector("main h1")?).count(), 1);
            let mut ids: Vec<&str> = parsed.select(&selector("[id]")?).filter_map(|e| e.attr("id")).collect();
            let n = ids.len();
            ids.sort_unstable();
            ids.dedup();
            assert_eq!(ids.len(), n, "an id stands twice");
            for link in parsed.select(&selector("a")?).filter_map(|e| e.attr("href")) {
                assert!(link.strip_prefix('#').is_some_and(|id| ids.contains(&id)), "{link} leads nowhere");
            }
        }
    }
    Ok(())
}

fn whole_or_bare(document: &Document) -> Result<Handover<'_>, Box<dyn std::error::Error>> {
    if document.findings.is_empty() {
        return Ok(Handover::not_reviewed(document, lexicon()?));
    }
    whole(document, lexicon()?)
}

/// A document in which everything that is text is [`EVIL`].
fn evil() -> Document {
    let mut d = made::document();
    d.source.path = EVIL.into();
    d.vehicle.identification = Some(EVIL.into());
    d.cautions = vec![EVIL.into()];
    d.utterances.iter_mut().for_each(|u| {
        u.text = EVIL.into();
        u.speaker = Some(EVIL.into());
    });
    d.unplaced.iter_mut().for_each(|u| {
        u.text = EVIL.into();
        u.reason = EVIL.into();
    });
    for (n, f) in d.findings.iter_mut().enumerate() {
        f.id = format!("{n}{EVIL}");
        f.component.id = EVIL.into();
        f.component.name = EVIL.into();
        f.component.system = EVIL.into();
        f.evidence.iter_mut().for_each(|e| e.text = EVIL.into());
        f.measurements.iter_mut().filter_map(|m| m.limit.as_mut()).for_each(|l| {
            l.rule = EVIL.into();
            l.source = EVIL.into();
        });
        f.alternatives.iter_mut().for_each(|a| a.component.name = EVIL.into());
    }
    d
}

#[test]
fn nothing_said_acts() -> Checked {
    let document = evil();
    let mut h = whole(&document, lexicon()?)?;
    let ids = document.findings.iter().map(|f| f.id.clone());
    h.notes = ids.map(|id| (id, EVIL.to_string())).collect();
    h.shop = Some(EVIL.into());
    h.when = Some(EVIL.into());
    h.photos = vec![Photo::new(PIXEL, EVIL)?];
    h.photos[0].finding = Some(EVIL.into());
    h.set_aside.iter_mut().for_each(|s| s.reason = EVIL.into());
    if let Some(c) = &mut h.coverage {
        c.name = EVIL.into();
        c.source = EVIL.into();
        c.gaps.iter_mut().for_each(|g| {
            g.name = EVIL.into();
            g.heading = EVIL.into();
        });
    }
    for standing in [Standing::Reviewed, Standing::NotReviewed] {
        h.standing = standing;
        for page in [customer_report(&h), work_list_html(&h)] {
            let parsed = Html::parse_document(&page);
            let acts = "script, iframe, object, embed, form, base, link, foreignObject, image, use, animate, set";
            assert_eq!(parsed.select(&selector(acts)?).count(), 0);
            assert_eq!(parsed.select(&selector("style")?).count(), 1);
            for element in parsed.select(&selector("*")?) {
                for (name, value) in element.value().attrs() {
                    assert!(!name.starts_with("on"), "{name}={value}");
                    let fine = match name {
                        "href" => value.starts_with('#'),
                        "src" => value == PIXEL,
                        _ => true,
                    };
                    assert!(fine, "{name}={value}");
                }
            }
            assert!(texts(&parsed, "body")?.concat().contains("<script>alert(1)</script>"), "the words are gone");
            assert!(!page.contains('\u{1b}') && !page.contains('\u{202e}'));
        }
        assert!(!work_list_text(&h, 80).contains('\u{1b}'));
    }
    Ok(())
}

/// Whatever is left out and however it is worded, what is not to be driven with stands first, with its words.
#[test]
fn what_is_not_to_be_driven_with_cannot_be_hidden() -> Checked {
    let document = made::document();
    let mut h = whole(&document, lexicon()?)?;
    h.left_out = document.findings.iter().map(|f| f.id.clone()).collect();
    let soothing = "All fine, drive on.";
    h.notes = document.findings.iter().map(|f| (f.id.clone(), soothing.to_string())).collect();
    h.set_aside.clear();
    let page = Html::parse_document(&customer_report(&h));
    let first = texts(&page, "main section")?.into_iter().next().ok_or("no section")?;
    for words in [
        "This vehicle is not to be driven",
        "Brake pad, left front",
        "Not to be driven until this is put right.",
        "don't send it out like that",
        "2 mm, which fails the published limit",
        soothing,
    ] {
        assert!(first.contains(words), "{words} is not in {first}");
    }
    assert_eq!(texts(&page, "article.finding")?.len(), 1, "the others are left out as was asked");
    assert!(texts(&page, ".summary")?.concat().contains("8 points are left out here"));
    assert_eq!(page.select(&selector(".drawing [data-finding]")?).count(), 1);
    let list = work_list_text(&h, 80);
    assert!(list.contains("NOT TO BE DRIVEN") && list.contains("ball joint"), "the shop's list is whole: {list}");
    Ok(())
}

proptest! {
    /// For any list, any choice of what is left out and any wording: every point not to be driven with is in the first section,
    /// and nothing else that was not left out is missing.
    #[test]
    fn what_is_not_to_be_driven_with_is_never_missing(
        urgencies in prop::collection::vec(0..5_usize, 9),
        verdicts in prop::collection::vec(0..4_usize, 9),
        out in prop::collection::vec(prop::bool::ANY, 9),
        wording in "\\PC{0,40}",
    ) {
        let mut document = made::document();
        for (f, (u, v)) in document.findings.iter_mut().zip(urgencies.iter().zip(&verdicts)) {
            f.urgency = UrgencyId::ALL.get(*u).copied();
            f.verdict = Verdict::ALL[*v];
        }
        let fail = |e: &dyn std::fmt::Display| TestCaseError::fail(e.to_string());
        let mut h = Handover::not_reviewed(&document, lexicon().map_err(|e| fail(&e))?);
        h.left_out = document.findings.iter().zip(&out).filter(|(_, out)| **out).map(|(f, _)| f.id.clone()).collect();
        h.notes = document.findings.iter().map(|f| (f.id.clone(), wording.clone())).collect();
        let page = Html::parse_document(&customer_report(&h));
        let ids = |css: &str| -> Result<Vec<String>, TestCaseError> {
            let selector = selector(css).map_err(|e| fail(&e))?;
            Ok(page.select(&selector).filter_map(|e| e.attr("id")).map(str::to_string).collect())
        };
        let (alarm, all) = (ids("main > header + section.alarm [id]")?, ids("main section [id]")?);
        for f in &document.findings {
            let id = format!("finding-{}", f.id);
            let stop = f.urgency == Some(UrgencyId::Stop);
            prop_assert_eq!(alarm.contains(&id), stop);
            prop_assert_eq!(all.contains(&id), stop || !h.left_out.contains(&f.id));
        }
    }
}

/// Taken off on review, it is still told, with the reason.
#[test]
fn what_was_set_aside_is_told() -> Checked {
    let document = made::document();
    let mut h = whole(&document, lexicon()?)?;
    let page = Html::parse_document(&customer_report(&h));
    let aside = texts(&page, "section.aside")?.concat();
    assert!(aside.contains("set aside on review") && aside.contains("Shock absorber, all four"), "{aside}");
    assert!(aside.contains("The oil was spilt on it.") && aside.contains("Shocks all round"), "{aside}");
    h.set_aside[0].finding.urgency = Some(UrgencyId::Soon);
    let page = Html::parse_document(&customer_report(&h));
    assert_eq!(texts(&page, "section.aside")?.len(), 0, "the rest is the writer's own affair");
    Ok(())
}

#[test]
fn a_list_that_nobody_read_says_so() -> Checked {
    let document = made::document();
    let mut h = Handover::not_reviewed(&document, lexicon()?);
    assert!(customer_report(&h).contains("Not yet reviewed."));
    assert!(customer_report(&h).contains("@bottom-left { content: \"Not yet reviewed\"; }"));
    assert!(work_list_text(&h, 80).contains("Not yet reviewed"));
    assert!(customer_report(&h).contains("The program is not sure"));
    h.standing = Standing::Reviewed;
    assert!(!customer_report(&h).contains("ot yet reviewed") && !customer_report(&h).contains("not sure"));
    Ok(())
}

/// One walk round: stations in order, each once, and every piece of work at each of its stations.
#[test]
fn the_work_list_goes_round_once() -> Checked {
    let document = made::document();
    let h = Handover::not_reviewed(&document, lexicon()?);
    let page = Html::parse_document(&work_list_html(&h));
    let stations = texts(&page, ".station h2")?;
    let walk = ["Left front", "Front and engine", "Right front", "Right rear", "Left rear", "Underneath"];
    let seen: Vec<&str> = stations.iter().map(String::as_str).filter(|s| walk.contains(s)).collect();
    assert_eq!(seen, walk, "{stations:?}");
    let shocks = texts(&page, ".job")?.into_iter().filter(|j| j.contains("Shock absorber")).count();
    assert_eq!(shocks, 4, "one box at each wheel");
    Ok(())
}
