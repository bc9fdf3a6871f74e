//! Owns where a list or a text of a TOML file was left open: readers notice it only lines later.

use std::ops::Range;

/// What was left open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LeftOpen {
    /// A list, `[`.
    List,
    /// A text, `"` or `'`.
    Text,
}

impl LeftOpen {
    /// What is wrong, in one line.
    pub(super) fn what(self) -> &'static str {
        match self {
            LeftOpen::List => "this list has no end",
            LeftOpen::Text => "this text has no end",
        }
    }

    /// What to do.
    pub(super) fn help(self) -> &'static str {
        match self {
            LeftOpen::List => "write ] behind its last value",
            LeftOpen::Text => "write the same quotation mark behind its last word",
        }
    }
}

/// The first list or text that is not closed, with the bytes that open it (TOML 1.0.0, "String" and "Array"). A list counts as
/// left open where a line in it begins a new entry or a new key.
pub(super) fn left_open(text: &str) -> Option<(LeftOpen, Range<usize>)> {
    let mut open: Vec<(char, usize)> = Vec::new();
    let mut at = 0;
    let list = |open: &[(char, usize)]| {
        let (_, start) = open.iter().rev().find(|(c, _)| *c == '[')?;
        Some((LeftOpen::List, *start..start + 1))
    };
    while let Some(c) = text[at..].chars().next() {
        let rest = &text[at..];
        let begins_line = text[..at].rsplit('\n').next().is_some_and(|l| l.trim().is_empty());
        if begins_line && open.last().is_some_and(|(c, _)| *c == '[') && begins_entry(rest) {
            return list(&open);
        }
        match c {
            '#' => at += rest.find('\n').unwrap_or(rest.len()),
            '"' | '\'' => match text_length(rest, c) {
                Some(length) => at += length,
                None => return Some((LeftOpen::Text, at..at + 1)),
            },
            '[' | '{' => {
                open.push((c, at));
                at += 1;
            }
            ']' | '}' => {
                open.pop();
                at += 1;
            }
            _ => at += c.len_utf8(),
        }
    }
    list(&open)
}

/// Whether a line is a head (`[[part]]`) or begins with a key (`name =`).
fn begins_entry(rest: &str) -> bool {
    let line = rest.lines().next().unwrap_or_default();
    let line = line.split('#').next().unwrap_or_default().trim();
    let bare = |s: &str| !s.is_empty() && s.chars().all(|c| c.is_ascii_alphanumeric() || "_-.".contains(c));
    let head = line.strip_prefix("[[").and_then(|l| l.strip_suffix("]]"));
    head.is_some_and(|h| bare(h.trim())) || line.split_once('=').is_some_and(|(key, _)| bare(key.trim()))
}

/// Bytes of the text that stands here, with its marks; none where it does not end.
fn text_length(rest: &str, mark: char) -> Option<usize> {
    let triple = mark.to_string().repeat(3);
    let is_long = rest.starts_with(&triple);
    let close = if is_long { triple } else { mark.to_string() };
    let mut at = close.len();
    while let Some(c) = rest[at..].chars().next() {
        if rest[at..].starts_with(&close) {
            // a long text may end with marks of its own
            let extra = if is_long { rest[at + 3..].chars().take(2).take_while(|c| *c == mark).count() } else { 0 };
            return Some(at + close.len() + extra);
        }
        if c == '\n' && !is_long {
            return None;
        }
        at += c.len_utf8();
        if c == '\\' && mark == '"' {
            at += rest[at..].chars().next().map_or(0, char::len_utf8);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::{LeftOpen, left_open};

    #[test]
    fn what_is_left_open_is_found_where_it_opens() {
        for (text, expected) in [
            ("a = [\"x\",\n  \"y\"\n\n[[part]]\nid = \"z\"\n", Some((LeftOpen::List, 4))),
            ("a = [\"x\"\nb = \"y\"\n", Some((LeftOpen::List, 4))),
            ("a = [\"x\"", Some((LeftOpen::List, 4))),
            ("a = \"x\nb = 1\n", Some((LeftOpen::Text, 4))),
            ("a = [\"x\", \"ö]\nb = 1\n", Some((LeftOpen::Text, 10))),
            ("a = \"\"\"x\nb = 1\n", Some((LeftOpen::Text, 4))),
            ("[[part]]\na = [\n  [\"x\"],\n  [1],\n]\n", None),
            ("a = \"[\" # [ \"\nb = '\\'\nc = \"\\\"[\"\nd = \"\"\"[\"\"\"\"\"\n", None),
            ("a = [\n  { b = 1 }, # c = 2\n]\n", None),
            ("", None),
        ] {
            assert_eq!(left_open(text).map(|(what, span)| (what, span.start)), expected, "{text}");
        }
    }
}
