//! Owns what a technician sees while talking: what was heard last, what it was taken for, the list so far, and what nobody spoke of.

use textwrap::core::display_width;

use crate::checklist::Coverage;
use crate::findings::Document;
use crate::report::{self, Group};

use super::growth::{News, line};

/// Things that the last words did, kept in sight.
const NEWS: usize = 6;
/// Nothing can be shown on less.
const LEAST: (usize, usize) = (30, 12);

/// All that is shown at one moment.
#[derive(Debug)]
pub struct Moment<'m> {
    /// The list so far.
    pub document: &'m Document,
    /// What the last words did, the newest last.
    pub news: &'m [News],
    /// What nobody spoke of yet.
    pub gaps: Option<&'m Coverage>,
    /// Words that are not settled.
    pub soon: &'m str,
    /// The last line that was settled.
    pub last: &'m str,
    /// Lines that are on the disk.
    pub kept: usize,
    /// Milliseconds since the start.
    pub now_ms: u64,
}

/// The moment in at most so many rows of so many columns.
pub fn screen(m: &Moment<'_>, columns: usize, rows: usize) -> Vec<String> {
    let (columns, rows) = (columns.max(LEAST.0), rows.max(LEAST.1));
    let mut out = vec![head(m), summary(m), String::new()];
    out.push(if m.last.is_empty() { "Nothing heard yet.".into() } else { format!("\"{}\"", report::shown(m.last)) });
    out.push(if m.soon.is_empty() { String::new() } else { format!("… {}", report::shown(m.soon)) });
    out.extend(m.news.iter().rev().take(NEWS).map(|n| format!("{} {}", n.what.sign(), n.words)));
    let left = rows.saturating_sub(out.len());
    let gaps = m.gaps.map(|c| gaps(c, columns)).unwrap_or_default();
    // the list has what the gaps leave, and no less than half
    let for_list = left.saturating_sub(gaps.len() + 2).max(left / 2);
    out.extend(listed(m.document, for_list));
    let left = rows.saturating_sub(out.len());
    if let (Some(coverage), true) = (m.gaps, left >= 3) {
        let more = gaps.len() > left - 2;
        out.push(String::new());
        let end = if more { ", the first of them" } else { "" };
        out.push(format!("NOT SPOKEN OF YET ({} of {}{end})", coverage.gaps.len(), coverage.points));
        out.extend(gaps.into_iter().take(left - 2));
    }
    out.truncate(rows);
    out.into_iter().map(|l| cut(&l, columns)).collect()
}

fn head(m: &Moment<'_>) -> String {
    let vehicle = m.document.vehicle.identification.as_deref().unwrap_or("vehicle not named yet");
    let kept = report::count(m.kept, "line", "lines");
    format!("{}   {}   {kept} on the disk", report::shown(vehicle), report::time(m.now_ms))
}

fn summary(m: &Moment<'_>) -> String {
    let groups = report::grouped(m.document);
    let counts: Vec<String> = groups.iter().map(|(g, f)| format!("{} {}", f.len(), g.title().to_lowercase())).collect();
    if counts.is_empty() { "nothing found yet".into() } else { counts.join(", ") }
}

/// Findings, the newest first: the one whose words came last.
fn listed(document: &Document, rows: usize) -> Vec<String> {
    let mut findings: Vec<_> = document.findings.iter().collect();
    findings.sort_by_key(|f| std::cmp::Reverse(f.evidence.iter().map(|e| e.utterance).max()));
    if findings.is_empty() || rows < 3 {
        return Vec::new();
    }
    let mut out = vec![String::new(), format!("FOUND ({})", findings.len())];
    let fits = if findings.len() + 2 > rows { rows - 3 } else { findings.len() };
    let sign = |f: &crate::findings::Finding| if Group::of(f) == Group::Stop { '!' } else { ' ' };
    out.extend(findings.iter().take(fits).map(|f| format!("{} {}", sign(f), line(f))));
    if fits < findings.len() {
        out.push(format!("  and {} before", findings.len() - fits));
    }
    out
}

/// What nobody spoke of, heading by heading.
fn gaps(coverage: &Coverage, columns: usize) -> Vec<String> {
    let mut headings: Vec<(&str, Vec<String>)> = Vec::new();
    for gap in &coverage.gaps {
        match headings.last_mut().filter(|h| h.0 == gap.heading) {
            Some((_, names)) => names.push(report::gap(gap)),
            None => headings.push((&gap.heading, vec![report::gap(gap)])),
        }
    }
    let options = textwrap::Options::new(columns).initial_indent("  ").subsequent_indent("    ");
    let worded = headings.iter().map(|(heading, names)| format!("{}: {}", report::shown(heading), names.join(", ")));
    worded
        .flat_map(|text| textwrap::wrap(&text, &options).into_iter().map(|l| l.into_owned()).collect::<Vec<_>>())
        .collect()
}

/// At most so many columns.
fn cut(text: &str, columns: usize) -> String {
    if display_width(text) <= columns {
        return text.to_string();
    }
    let mut out = String::new();
    let mut used = 1;
    for c in text.chars() {
        used += display_width(c.encode_utf8(&mut [0; 4]));
        if used > columns {
            break;
        }
        out.push(c);
    }
    out.push('…');
    out
}
