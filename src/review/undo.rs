//! Owns undoing: which lines of a log count, and which one is undone or redone next.

use super::decision::{Decision, Entry};

/// Which lines count.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Undoing {
    done: Vec<usize>,
    undone: Vec<usize>,
}

impl Undoing {
    /// Reads a log from the first line to the last.
    pub fn of(entries: &[Entry]) -> Undoing {
        let mut out = Undoing::default();
        for (i, entry) in entries.iter().enumerate() {
            let line = i + 1;
            match entry.decision() {
                None => {}
                Some(Decision::Undo { line: meant }) => moved(*meant, &mut out.done, &mut out.undone),
                Some(Decision::Redo { line: meant }) => moved(*meant, &mut out.undone, &mut out.done),
                Some(_) => {
                    out.done.push(line);
                    out.undone.clear();
                }
            }
        }
        out.done.sort_unstable();
        out
    }

    /// Lines that count, 1-based, in order.
    pub fn counting(&self) -> &[usize] {
        &self.done
    }

    /// The line that an undo takes back.
    pub fn next_undo(&self) -> Option<usize> {
        self.done.last().copied()
    }

    /// The line that a redo brings back.
    pub fn next_redo(&self) -> Option<usize> {
        self.undone.last().copied()
    }
}

/// A line that is not where it is taken from stays where it is.
fn moved(line: usize, from: &mut Vec<usize>, to: &mut Vec<usize>) {
    if let Some(at) = from.iter().position(|l| *l == line) {
        from.remove(at);
        to.push(line);
    }
}
