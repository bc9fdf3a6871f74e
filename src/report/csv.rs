//! Owns the rows for spreadsheets: RFC 4180, one finding a row, no cell that a spreadsheet would run.

use crate::findings::{Document, Finding};

use super::{quote, sheet, wording};

/// Heads of the columns, named as in the findings document.
const COLUMNS: [&str; 17] = [
    "path",
    "vehicle",
    "id",
    "verdict",
    "urgency",
    "component",
    "system",
    "position",
    "conditions",
    "measurements",
    "limits_failed",
    "actions",
    "alternatives",
    "confidence",
    "at",
    "words",
    "component_id",
];

/// The row of column names.
///
/// # Errors
/// What the csv crate reports.
pub fn csv_header() -> Result<String, csv::Error> {
    rows([COLUMNS.map(str::to_string)])
}

/// A row for each finding, without the column names.
///
/// # Errors
/// What the csv crate reports.
pub fn csv(document: &Document) -> Result<String, csv::Error> {
    rows(document.findings.iter().map(|f| row(document, f)))
}

/// Records in RFC 4180 form; cells that a spreadsheet would run are defused.
///
/// # Errors
/// What the csv crate reports.
pub fn rows<const N: usize>(rows: impl IntoIterator<Item = [String; N]>) -> Result<String, csv::Error> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row.map(defused))?;
    }
    let bytes = writer.into_inner().map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn row(document: &Document, f: &Finding) -> [String; COLUMNS.len()] {
    let list = |items: Vec<String>| items.join("; ");
    let quotes = quote::quotes(document, &f.evidence);
    let failed = f.measurements.iter().filter_map(|m| m.limit.as_ref()).filter(|l| l.passed_limit);
    let others = f.alternatives.iter().map(|a| format!("{} {}", wording::action(a.action), sheet::part(&a.component)));
    let position: Vec<&str> = f.position.iter().map(|p| p.as_str()).collect();
    [
        document.source.path.clone(),
        document.vehicle.identification.clone().unwrap_or_default(),
        f.id.clone(),
        f.verdict.as_str().to_string(),
        f.urgency.map(|u| u.as_str().to_string()).unwrap_or_default(),
        sheet::part(&f.component),
        f.component.system.clone(),
        position.join(" "),
        list(f.conditions.iter().map(wording::condition).collect()),
        list(f.measurements.iter().map(|m| wording::quantity(m.value, m.unit)).collect()),
        list(failed.map(|l| format!("{} ({})", wording::quantity(l.value, l.unit), l.rule)).collect()),
        list(f.actions.iter().map(|a| wording::action(*a).to_string()).collect()),
        list(others.collect()),
        f.confidence.to_string(),
        list(quotes.iter().map(|q| q.at.clone()).collect()),
        quotes.iter().map(|q| q.words.as_str()).collect::<Vec<_>>().join(" / "),
        f.component.id.clone(),
    ]
}

/// A cell that a spreadsheet would take for a formula gets an apostrophe before it; plain negative numbers stay as they are.
fn defused(cell: String) -> String {
    let runs = |c: char| matches!(c, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠');
    let risky = cell.starts_with(runs) || cell.trim_start().starts_with(runs);
    if risky && !is_negative_number(&cell) { format!("'{cell}") } else { cell }
}

fn is_negative_number(cell: &str) -> bool {
    let Some(digits) = cell.strip_prefix('-') else {
        return false;
    };
    digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && digits.matches('.').count() <= 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_defused_and_numbers_kept() {
        let table = [
            ("=1+2", "'=1+2"),
            ("+44", "'+44"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("-2+3", "'-2+3"),
            ("-", "'-"),
            ("-12.5", "-12.5"),
            ("-3", "-3"),
            ("-1.2.3", "'-1.2.3"),
            ("\t=1", "'\t=1"),
            ("\r=1", "'\r=1"),
            ("  =1", "'  =1"),
            ("＝1", "'＝1"),
            ("pads = thin", "pads = thin"),
            ("2 mm", "2 mm"),
            ("", ""),
        ];
        for (cell, expected) in table {
            assert_eq!(defused(cell.to_string()), expected);
        }
    }
}
