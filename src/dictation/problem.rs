//! Owns the problem: what is wrong with an input, where, and what to do about it.

use std::fmt;

/// Something wrong with an input, told so that the user can act on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The input, as the user named it.
    pub path: String,
    /// Line in the file, counted from 1.
    pub line: Option<usize>,
    /// Column in the line in characters, counted from 1.
    pub column: Option<usize>,
    /// What is wrong.
    pub what: String,
    /// What was done about it, or what the user can do.
    pub advice: String,
}

impl Problem {
    /// A problem of the whole input.
    pub(super) fn whole(path: &str, what: impl Into<String>, advice: impl Into<String>) -> Self {
        Self { path: path.to_owned(), line: None, column: None, what: what.into(), advice: advice.into() }
    }

    /// The same problem, at a line.
    pub(super) fn at_line(mut self, line: usize) -> Self {
        self.line = Some(line);
        self
    }

    /// The same problem, at a column of its line.
    pub(super) fn at_column(mut self, column: usize) -> Self {
        self.column = Some(column);
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.path)?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
            if let Some(column) = self.column {
                write!(f, ":{column}")?;
            }
        }
        write!(f, ": {}", self.what)?;
        if !self.advice.is_empty() {
            write!(f, "; {}", self.advice)?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}
