//! Owns the report for people at a terminal: wrapped to a width, coloured with restraint.
//!
//! The text always carries its colours; whoever prints it strips them where they are not wanted.

use std::fmt::Write;

use anstyle::{AnsiColor, Style};
use textwrap::core::display_width;

use crate::checklist::Coverage;
use crate::findings::Document;

use super::quote::Quote;
use super::sheet::{Aside, Entry, Group, Sheet};
use super::wording;

/// Narrower than this nothing can be read.
const NARROWEST: usize = 40;
/// Columns that text is set in under its finding.
const INDENT: &str = "     ";
/// Columns that a quote's time takes.
const TIME: usize = 8;

const BOLD: Style = Style::new().bold();
const DIM: Style = Style::new().dimmed();
/// The one colour, for what must not be driven with; urgency is told by words and order.
const ALARM: Style = AnsiColor::Red.on_default().bold();

/// The findings of a document, worst first, in lines of at most `width` columns.
pub fn table(document: &Document, width: usize) -> String {
    let mut out = Page { width: width.max(NARROWEST), text: String::new() };
    let sheet = Sheet::of(document);
    out.paragraph(&sheet.title, BOLD, "", "");
    out.paragraph(&sheet.source, DIM, "", "");
    out.paragraph(&sheet.summary, Style::new(), "", "");
    for (group, entries) in &sheet.groups {
        out.heading(group.title(), Some(entries.len()), colour(*group));
        for (i, entry) in entries.iter().enumerate() {
            // what asks for a decision gets air around it, the rest is a list
            if i > 0 && *group <= Group::OtherDefect {
                out.text.push('\n');
            }
            out.entry(entry);
        }
    }
    for (title, asides) in &sheet.asides {
        out.heading(title, None, BOLD);
        for aside in asides {
            out.aside(aside);
        }
    }
    if !sheet.cautions.is_empty() {
        out.heading("Before you rely on this list", None, BOLD);
        for caution in &sheet.cautions {
            out.paragraph(caution, Style::new(), "  - ", "    ");
        }
    }
    out.text
}

/// The points of a checklist that nobody spoke of, to stand below [`table`].
pub fn table_of_gaps(coverage: &Coverage, width: usize) -> String {
    let mut out = Page { width: width.max(NARROWEST), text: String::new() };
    out.heading("Not spoken of", Some(coverage.gaps.len()), BOLD);
    out.paragraph(&wording::checklist(coverage), DIM, "", "");
    let mut heading = "";
    for gap in &coverage.gaps {
        if gap.heading != heading {
            heading = &gap.heading;
            out.paragraph(&wording::shown(heading), BOLD, "  ", "  ");
        }
        out.paragraph(&wording::gap(gap), Style::new(), "   - ", INDENT);
    }
    out.text
}

fn colour(group: Group) -> Style {
    if group == Group::Stop { ALARM } else { BOLD }
}

/// Lines written so far and the width they keep to.
pub(super) struct Page {
    pub(super) width: usize,
    pub(super) text: String,
}

impl Page {
    /// Text wrapped behind indents; each line is styled by itself.
    pub(super) fn paragraph(&mut self, text: &str, style: Style, first: &str, rest: &str) {
        let room = self.width.saturating_sub(display_width(first).max(display_width(rest))).max(20);
        for (i, line) in textwrap::wrap(text, room).iter().enumerate() {
            let indent = if i == 0 { first } else { rest };
            let _ = writeln!(self.text, "{indent}{style}{line}{style:#}");
        }
    }

    pub(super) fn heading(&mut self, title: &str, count: Option<usize>, style: Style) {
        let title = title.to_uppercase();
        let count = count.map(|n| format!(" ({n})")).unwrap_or_default();
        self.text.push('\n');
        self.paragraph(&format!("{title}{count}"), style, "", "");
    }

    fn entry(&mut self, e: &Entry) {
        let place = if e.place.is_empty() { String::new() } else { format!(", {}", e.place) };
        let number = format!("{:>3}. ", e.number);
        let used = display_width(&number) + display_width(&e.part) + display_width(&place);
        let gap = self.width.saturating_sub(used + display_width(&e.id));
        if gap >= 2 {
            let _ = writeln!(self.text, "{number}{BOLD}{}{BOLD:#}{place}{:gap$}{DIM}{}{DIM:#}", e.part, "", e.id);
        } else {
            self.paragraph(&format!("{}{place}", e.part), BOLD, &number, INDENT);
            self.paragraph(&e.id, DIM, INDENT, INDENT);
        }
        for alert in &e.alerts {
            self.paragraph(alert, BOLD, "   ! ", INDENT);
        }
        for fact in &e.facts {
            self.paragraph(fact, Style::new(), INDENT, INDENT);
        }
        self.quotes(&e.quotes);
    }

    fn aside(&mut self, a: &Aside) {
        self.paragraph(&a.about, Style::new(), "   - ", INDENT);
        self.quotes(&a.quotes);
    }

    /// Quotes with their times in a column before them.
    pub(super) fn quotes(&mut self, quotes: &[Quote]) {
        for q in quotes {
            let column = display_width(&q.at).max(TIME - 2) + 2;
            let first = format!("{INDENT}{DIM}{}{DIM:#}{:2$}", q.at, "", column - display_width(&q.at));
            let rest = " ".repeat(INDENT.len() + column);
            let speaker = q.speaker.as_ref().map(|s| format!("{s}: ")).unwrap_or_default();
            self.paragraph(&format!("{speaker}\"{}\"", q.words), Style::new(), &first, &rest);
        }
    }
}
