//! Owns the report as Markdown (CommonMark): what the table holds, with nothing said able to act as markup.

use std::fmt::Write;

use crate::checklist::Coverage;
use crate::findings::Document;

use super::quote::Quote;
use super::sheet::{Entry, Sheet};
use super::wording;

/// The findings of a document, worst first.
pub fn markdown(document: &Document) -> String {
    let sheet = Sheet::of(document);
    let mut out = String::new();
    let _ = writeln!(out, "# {}\n\n{}\n\n{}", escaped(&sheet.title), escaped(&sheet.source), escaped(&sheet.summary));
    for (group, entries) in &sheet.groups {
        let _ = writeln!(out, "\n## {} ({})\n", group.title(), entries.len());
        for e in entries {
            entry(&mut out, e);
        }
    }
    for (title, asides) in &sheet.asides {
        let _ = writeln!(out, "\n## {title}\n");
        for a in asides {
            let _ = writeln!(out, "- {}", escaped(&a.about));
            quotes(&mut out, "  ", &a.quotes);
        }
    }
    if !sheet.cautions.is_empty() {
        out.push_str("\n## Before you rely on this list\n\n");
        for c in &sheet.cautions {
            let _ = writeln!(out, "- {}", escaped(c));
        }
    }
    out
}

/// The points of a checklist that nobody spoke of, to stand below [`markdown`].
pub fn markdown_of_gaps(coverage: &Coverage) -> String {
    let mut out =
        format!("\n## Not spoken of ({})\n\n{}\n\n", coverage.gaps.len(), escaped(&wording::checklist(coverage)));
    for gap in &coverage.gaps {
        let _ = writeln!(out, "- {}: {}", escaped(&wording::shown(&gap.heading)), escaped(&wording::gap(gap)));
    }
    out
}

fn entry(out: &mut String, e: &Entry) {
    let head = format!("{}. ", e.number);
    let indent = " ".repeat(head.len());
    let place = if e.place.is_empty() { String::new() } else { format!(", {}", escaped(&e.place)) };
    let _ = writeln!(out, "{head}**{}**{place} ({})", escaped(&e.part), escaped(&e.id));
    for alert in &e.alerts {
        let _ = writeln!(out, "{indent}- **{}**", escaped(alert));
    }
    for fact in &e.facts {
        let _ = writeln!(out, "{indent}- {}", escaped(fact));
    }
    quotes(out, &indent, &e.quotes);
}

fn quotes(out: &mut String, indent: &str, quotes: &[Quote]) {
    for q in quotes {
        let speaker = q.speaker.as_ref().map(|s| format!("{}: ", escaped(s))).unwrap_or_default();
        let _ = writeln!(out, "{indent}- {} {speaker}\"{}\"", escaped(&q.at), escaped(&q.words));
    }
}

/// Text that shows as it stands: characters that could start markup get a backslash (CommonMark 0.31, section 2.4).
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = ' ';
    for (i, c) in text.char_indices() {
        let marks = matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '&' | '|' | '~' | '#' | '$' | '@');
        // "1. " or "- " would open a list at the start of a text; "://" and "www." would become links
        let list = matches!(c, '-' | '+' | '=') && out.is_empty()
            || matches!(c, '.' | ')') && i > 0 && text[..i].bytes().all(|b| b.is_ascii_digit());
        let link = c == ':' && text[i..].starts_with("://") || c == '.' && matches!(before, 'w' | 'W');
        if marks || list || link {
            out.push('\\');
        }
        out.push(c);
        before = c;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_said_acts_as_markup() {
        let table = [
            ("plain words, 2.5 mm (left)", "plain words, 2.5 mm (left)"),
            ("*bold* _it_ `code`", "\\*bold\\* \\_it\\_ \\`code\\`"),
            ("<script>", "\\<script\\>"),
            ("[a](b)", "\\[a\\](b)"),
            ("# head", "\\# head"),
            ("1. item", "1\\. item"),
            ("- item", "\\- item"),
            ("a | b", "a \\| b"),
            ("http://x www.y", "http\\://x www\\.y"),
        ];
        for (text, expected) in table {
            assert_eq!(escaped(text), expected);
        }
    }
}
