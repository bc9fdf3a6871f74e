//! CSV against RFC 4180, section 2, and against spreadsheets that run what they read.

use hoistnote::findings::Document;
use hoistnote::report;

use super::made;

type Checked = Result<(), Box<dyn std::error::Error>>;

fn text(document: &Document) -> Result<String, csv::Error> {
    Ok(report::csv_header()? + &report::csv(document)?)
}

fn records(text: &str) -> Result<Vec<csv::StringRecord>, csv::Error> {
    csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes()).records().collect()
}

/// A document whose cells hold everything that needs quoting.
fn awkward() -> Document {
    let mut document = made::document();
    document.source.path = "a,b \"c\".vtt".into();
    document.vehicle.identification = Some("unit \"14\", van".into());
    document
}

/// RFC 4180, 2.1 and 2.2: each record is a line ended by CRLF, the last one too as we write it; no bare CR or LF between.
#[test]
fn records_end_in_crlf() -> Checked {
    let text = text(&awkward())?;
    assert!(text.ends_with("\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert_eq!(text.matches('\r').count(), text.matches("\r\n").count());
    assert_eq!(text.matches("\r\n").count(), 1 + made::document().findings.len());
    Ok(())
}

/// RFC 4180, 2.3: the header has the form of a record, and as many fields as the others.
/// RFC 4180, 2.4: every line has the same number of fields; the last is not followed by a comma.
#[test]
fn header_and_records_have_the_same_number_of_fields() -> Checked {
    let records = records(&text(&awkward())?)?;
    let fields = records.first().map_or(0, csv::StringRecord::len);
    assert_eq!(fields, 17);
    assert!(records.iter().all(|r| r.len() == fields));
    assert_eq!(records.first().and_then(|r| r.get(fields - 1)), Some("component_id"));
    Ok(())
}

/// RFC 4180, 2.5 and 2.6: fields with quotes, commas or line breaks are quoted. 2.7: quotes within are doubled.
#[test]
fn fields_are_quoted_and_quotes_doubled() -> Checked {
    let text = text(&awkward())?;
    assert!(text.contains("\r\n\"a,b \"\"c\"\".vtt\",\"unit \"\"14\"\", van\","), "{text}");
    Ok(())
}

/// What is written is what is read back.
#[test]
fn cells_survive_the_round_trip() -> Checked {
    let document = awkward();
    let records = records(&text(&document)?)?;
    for (record, finding) in records.iter().skip(1).zip(&document.findings) {
        assert_eq!(record.get(0), Some(document.source.path.as_str()));
        assert_eq!(record.get(1), document.vehicle.identification.as_deref());
        assert_eq!(record.get(2), Some(finding.id.as_str()));
        assert_eq!(record.get(3), Some(finding.verdict.as_str()));
        assert_eq!(record.get(13), Some(finding.confidence.to_string().as_str()));
    }
    Ok(())
}

/// No cell begins with a character by which a spreadsheet takes it for a formula, wherever the words come from.
#[test]
fn no_cell_is_run_as_a_formula() -> Checked {
    for evil in ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", "＝1+1"] {
        let mut document = made::document();
        document.source.path = evil.into();
        document.vehicle.identification = Some(evil.into());
        document.utterances.iter_mut().for_each(|u| u.text = evil.into());
        document.findings.iter_mut().for_each(|f| {
            f.id = evil.into();
            f.component.id = evil.into();
            f.component.name = evil.into();
            f.component.system = evil.into();
        });
        let records = records(&text(&document)?)?;
        for cell in records.iter().skip(1).flatten() {
            let first = cell.trim_start().chars().next().unwrap_or('x');
            assert!(!"=+-@＝＋－＠".contains(first), "{evil:?} gives {cell:?}");
        }
    }
    Ok(())
}
