//! The forms an estimate is shown in.

use hoistnote::findings::{Document, Evidence, Role, SCHEMA, SourceInfo, UtteranceOut, Vehicle};
use hoistnote::lexicon::{Position, UrgencyId};
use hoistnote::pricing::{self, Estimate, Problem, RateBook, Visit, Wishes};
use scraper::{Html, Selector};

use super::{Checked, book, defect, with_urgency};
use crate::rate_book::{self as entry, HEAD};
use crate::reports::{pin, schema::breaks};

const SAID: &str = "<script>alert(1)</script> pads & =2+3";

/// Words, names and prices that try to be more than text.
fn hostile() -> (RateBook, Document) {
    let pads = r#"operations = ["lift"]
hours = 0.25
parts = [{ name = "\"pad\" <img src=x>", quantity = 2, price = 3.5, price_to = 4, instead = [{ name = "<u>", price = 9 }] }]"#;
    let belt = "operations = [\"lift\"]\nparts = [{ name = \"belt\" }]";
    let entries = [
        "name = \"<b>shop</b>\"\n".into(),
        HEAD.into(),
        entry::operation("lift", "lift & lower", "0.5", ""),
        entry::job("pad", "=pads <i>", "pad", pads),
        entry::job("belt", "belt", "belt", belt),
    ];
    let book = book(&entries.concat());
    let mut pad = with_urgency(defect("aaaa1", "pad", &[Position::Left]), Some(UrgencyId::Stop));
    pad.evidence.push(Evidence {
        utterance: 1,
        start: 0,
        end: SAID.len(),
        start_ms: Some(1000),
        end_ms: None,
        role: Role::Component,
        text: SAID.into(),
    });
    let findings = vec![pad, defect("bbbb2", "belt", &[]), defect("cccc3", "pump", &[])];
    let document = Document {
        schema: SCHEMA.into(),
        source: SourceInfo { path: "walk.txt".into(), format: "notes".into(), sha256: String::new() },
        vehicle: Vehicle { odometer: None, identification: Some("unit <14>".into()) },
        utterances: vec![UtteranceOut { n: 1, start_ms: Some(1000), end_ms: None, speaker: None, text: SAID.into() }],
        findings,
        general_talk: Vec::new(),
        withdrawn: Vec::new(),
        unplaced: Vec::new(),
        cautions: vec!["<em>care</em>".into()],
    };
    (book, document)
}

fn hostile_estimate() -> (Estimate, Document) {
    let (book, document) = hostile();
    let visit = Visit {
        vehicle: document.vehicle.clone(),
        sources: vec![document.source.path.clone()],
        answers: Vec::new(),
        findings: document.findings.iter().collect(),
        open: 0,
        cautions: document.cautions.clone(),
    };
    let mut e = pricing::estimate(&book, &visit, &Wishes::default()).unwrap_or_else(|e| panic!("{e}"));
    let problem = Problem::new(&book, &visit.findings, &Wishes::default());
    e.budget = pricing::within_budget(&problem, 40.into()).ok();
    e.visits = pricing::over_visits(&problem, 2).ok();
    (e, document)
}

#[test]
fn the_table_is_as_it_was() {
    let (e, _) = hostile_estimate();
    pin("estimate_table", &pricing::table(&e, 80));
}

#[test]
fn the_page_shows_words_as_words() -> Checked {
    let (e, document) = hostile_estimate();
    let page = pricing::page(&e, &[document]);
    let html = Html::parse_document(&page);
    assert!(html.errors.is_empty(), "{:?}", html.errors);
    let count = |css: &str| Selector::parse(css).map(|s| html.select(&s).count()).unwrap_or(usize::MAX);
    for css in ["script", "img", "b", "i", "u", "em", "link", "iframe", "a"] {
        assert_eq!(count(css), 0, "{css}");
    }
    assert!(!page.contains("http:") && !page.contains("https:") && !page.contains("url("));
    assert_eq!((count("article"), count("section.stop article"), count("p.answer")), (2, 1, 2));
    let text: String = html.root_element().text().collect();
    assert!(text.contains(SAID) && text.contains("unit <14>") && text.contains("price to be asked"));
    Ok(())
}

#[test]
fn doubt_is_shown_to_every_reader() {
    const WARNING: &str = "Not yet reviewed: 2 still to be looked at";
    const MARK: &str = "uncertain: read the words";
    let (mut e, document) = hostile_estimate();
    let shown = |e: &Estimate| [pricing::page(e, std::slice::from_ref(&document)), pricing::table(e, 200)];
    e.jobs.iter_mut().flat_map(|j| &mut j.findings).for_each(|f| f.uncertain = false);
    e.unpriced.iter_mut().for_each(|u| u.about.uncertain = false);
    assert!(shown(&e).iter().all(|text| !text.contains("Not yet reviewed") && !text.contains(MARK)));
    e.open = 2;
    assert!(shown(&e).iter().all(|text| text.contains(WARNING) && !text.contains(MARK)));
    e.jobs[0].findings[0].uncertain = true;
    assert!(shown(&e).iter().all(|text| text.matches(MARK).count() == 1));
}

#[test]
fn rows_add_up_and_are_defused() -> Checked {
    let (e, _) = hostile_estimate();
    let csv = pricing::csv(&e)?;
    // RFC 4180, 2.1: records end with CRLF
    assert!(csv.ends_with("\r\n") && csv.matches('\n').count() == csv.matches("\r\n").count());
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let head = reader.headers()?.clone();
    let at = |name: &str| head.iter().position(|h| h == name).ok_or("no such column");
    let (line, amount, name) = (at("line")?, at("amount_high")?, at("name")?);
    let (mut sum, mut total) = (rust_decimal::Decimal::ZERO, None);
    for row in reader.records() {
        let row = row?;
        assert!(!row[name].starts_with('='), "{row:?}");
        match (&row[line], row[amount].parse::<rust_decimal::Decimal>()) {
            ("total", Ok(value)) => total = Some(value),
            ("subtotal", _) => {}
            (_, Ok(value)) => sum += value,
            (kind, Err(_)) => assert!(matches!(kind, "without price" | "part"), "{row:?}"),
        }
    }
    assert_eq!(Some(sum), total);
    assert_eq!(total, Some(e.totals.total.high));
    Ok(())
}

#[test]
fn json_keeps_to_its_schema() -> Checked {
    let (e, _) = hostile_estimate();
    let schema: serde_json::Value = serde_json::from_str(&pricing::schema()?)?;
    let value: serde_json::Value = serde_json::from_str(&pricing::json(&e)?)?;
    breaks(&value, &schema, &schema, "estimate")?;
    let back: Estimate = serde_json::from_value(value)?;
    assert_eq!(back, e);
    let kept = include_str!("../../samples/estimate.schema.json").replace("\r\n", "\n");
    assert!(
        pricing::schema()? == kept,
        "the types changed: run `hoistnote schema price > samples/estimate.schema.json`"
    );
    Ok(())
}
