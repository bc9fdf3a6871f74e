//! Whole outputs, pinned. After a change that is meant, read the new ones and accept them (`cargo insta review`).

use hoistnote::report;

use super::made;

/// Pins a text under a name in `tests/snapshots`, without colours.
pub fn pin(name: &str, text: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    let plain = anstream::adapter::strip_str(text).to_string();
    settings.bind(|| insta::assert_snapshot!(name, plain));
}

#[test]
fn table_at_80_columns() {
    pin("table_80", &report::table(&made::document(), 80));
}

#[test]
fn table_at_44_columns() {
    pin("table_44", &report::table(&made::document(), 44));
}

#[test]
fn table_without_findings() {
    pin("table_empty", &report::table(&made::empty(), 80));
}

#[test]
fn markdown() {
    pin("markdown", &report::markdown(&made::document()));
}

#[test]
fn csv() -> Result<(), Box<dyn std::error::Error>> {
    pin("csv", &format!("{}{}", report::csv_header()?, report::csv(&made::document())?));
    Ok(())
}

#[test]
fn json() -> Result<(), Box<dyn std::error::Error>> {
    pin("json", &report::json(&made::document())?);
    Ok(())
}

#[test]
fn why() {
    let document = made::document();
    let Some(pads) = document.findings.iter().find(|f| f.component.id == "brake-pad") else { panic!("no pads") };
    pin("why", &report::why(&document, pads, 80));
}

/// No line is wider than the terminal, whatever its width.
#[test]
fn tables_keep_to_their_width() {
    for width in [40, 50, 80, 120] {
        let table = anstream::adapter::strip_str(&report::table(&made::document(), width)).to_string();
        for line in table.lines() {
            assert!(line.chars().count() <= width, "{width}: {line}");
        }
    }
}

/// Nothing that is said or found is left out of the reports for people.
#[test]
fn every_finding_and_every_aside_is_shown() {
    let document = made::document();
    for text in [report::table(&document, 120), report::markdown(&document)] {
        let text = anstream::adapter::strip_str(&text).to_string();
        for f in &document.findings {
            assert!(text.contains(&report::short_id(&document, &f.id)), "{}", f.id);
        }
        for shown in ["coolant hose", "mirror, right", "Something rattles back there.", "Made by hand for the tests."] {
            assert!(text.contains(shown), "{shown}");
        }
    }
}

/// What is said can't steer a terminal.
#[test]
fn control_characters_never_get_through() {
    let mut document = made::document();
    let evil = "\u{1b}[2J\u{7}\u{9b}31m";
    document.source.path = evil.into();
    document.vehicle.identification = Some(evil.into());
    document.cautions = vec![evil.into()];
    document.utterances.iter_mut().for_each(|u| u.text = evil.into());
    document.unplaced.iter_mut().for_each(|u| u.text = evil.into());
    document.findings.iter_mut().for_each(|f| {
        f.component.name = evil.into();
        f.why = vec![evil.into()];
    });
    let texts = document.findings.iter().map(|f| report::why(&document, f, 80));
    for text in texts.chain([report::table(&document, 80), report::markdown(&document)]) {
        assert!(!text.contains("[2J\u{7}") && !text.contains('\u{9b}') && !text.contains("\u{1b}[2J"), "{text:?}");
    }
}
