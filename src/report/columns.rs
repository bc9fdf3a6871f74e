//! Owns lines with words on the left and a figure on the right, for tables of other modules.

use std::fmt::Write;

use anstyle::Style;
use textwrap::core::display_width;

use super::wording;

/// Words get at least this room, however wide the figure is.
const LEAST: usize = 20;

/// Lines written so far and the width they keep to. Control characters in words are made harmless.
pub struct Columns {
    width: usize,
    text: String,
}

impl Columns {
    /// An empty sheet.
    pub fn new(width: usize) -> Columns {
        Columns { width, text: String::new() }
    }

    /// All that was written, with ANSI styles.
    pub fn finish(self) -> String {
        self.text
    }

    /// A bold line at the head.
    pub fn head(&mut self, title: &str) {
        let bold = Style::new().bold();
        let _ = writeln!(self.text, "{bold}{}{bold:#}", wording::shown(title));
    }

    /// A heading with a blank line before it.
    pub fn title(&mut self, title: &str) {
        self.text.push('\n');
        self.head(&title.to_uppercase());
    }

    /// A blank line.
    pub fn gap(&mut self) {
        self.text.push('\n');
    }

    /// Words, wrapped.
    pub fn words(&mut self, indent: usize, words: &str) {
        self.line(indent, words, "");
    }

    /// Words on the left, wrapped where they would run into the figure on the right.
    pub fn line(&mut self, indent: usize, left: &str, right: &str) {
        let room = self.width.saturating_sub(display_width(right) + 2).max(indent + LEAST);
        let (first, rest) = (" ".repeat(indent), " ".repeat(indent + 2));
        let left = wording::shown(left);
        let options = textwrap::Options::new(room).initial_indent(&first).subsequent_indent(&rest);
        let lines = textwrap::wrap(&left, options);
        for (n, line) in lines.iter().enumerate() {
            if n + 1 < lines.len() || right.is_empty() {
                let _ = writeln!(self.text, "{line}");
            } else {
                let gap = self.width.saturating_sub(display_width(line) + display_width(right)).max(2);
                let _ = writeln!(self.text, "{line}{}{right}", " ".repeat(gap));
            }
        }
    }
}
