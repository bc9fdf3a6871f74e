//! Owns what is shown of a session: on a terminal one picture that changes, else a line for each thing.

use std::io::{self, IsTerminal, Write};

use console::Term;

use crate::checklist::Coverage;
use crate::findings::Document;
use crate::report;
use crate::voice::{self, Moment, News};

use super::Session;
use super::kept::Kept;

/// What is shown while somebody talks.
pub(super) struct View {
    term: Option<Term>,
    drawn: usize,
    pub(super) news: Vec<News>,
    pub(super) gaps: Option<Coverage>,
    told_gaps: usize,
    pub(super) soon: String,
    last: String,
}

impl View {
    pub(super) fn open(session: &Session) -> View {
        // who types lines here would see them drawn over
        let is_screen = io::stderr().is_terminal() && (session.start || !io::stdin().is_terminal());
        let term = is_screen.then(Term::buffered_stderr);
        View { term, drawn: 0, news: Vec::new(), gaps: None, told_gaps: 0, soon: String::new(), last: String::new() }
    }

    /// Words that are on the disk now.
    pub(super) fn heard(&mut self, fresh: &[String], kept: &Kept, list: Option<&Document>) {
        self.last = fresh.last().cloned().unwrap_or_default();
        self.draw(kept, list);
        let at = report::time(kept.now_ms());
        self.print(&fresh.iter().map(|words| format!("{at} \"{}\"\n", report::shown(words))).collect::<String>());
    }

    /// What they did.
    pub(super) fn understood(&mut self, kept: &Kept, list: &Document) {
        self.draw(kept, Some(list));
        let mut text: String = self.news.iter().map(|n| format!("  {} {}\n", n.what.sign(), n.words)).collect();
        let gaps = self.gaps.as_ref().map_or(0, |g| g.gaps.len());
        if let Some(coverage) = self.gaps.as_ref().filter(|_| gaps != self.told_gaps) {
            self.told_gaps = gaps;
            text.push_str(&format!("  {gaps} of {} points not spoken of yet\n", coverage.points));
        }
        self.print(&text);
    }

    pub(super) fn draw(&mut self, kept: &Kept, list: Option<&Document>) {
        let (Some(term), Some(list)) = (&self.term, list) else { return };
        let (rows, columns) = term.size();
        let moment = Moment {
            document: list,
            news: &self.news,
            gaps: self.gaps.as_ref(),
            soon: &self.soon,
            last: &self.last,
            kept: kept.lines,
            now_ms: kept.now_ms(),
        };
        let lines = voice::screen(&moment, columns.into(), usize::from(rows).saturating_sub(1));
        let text = lines.join("\n");
        // a terminal that is gone shows nothing, and nothing is lost by it
        let _ = term.clear_last_lines(self.drawn).and_then(|()| term.write_line(&text)).and_then(|()| term.flush());
        self.drawn = lines.len();
    }

    fn print(&self, text: &str) {
        if self.term.is_none() {
            let _ = io::stderr().lock().write_all(text.as_bytes());
        }
    }

    pub(super) fn close(&mut self) {
        if let Some(term) = &self.term {
            let _ = term.clear_last_lines(self.drawn).and_then(|()| term.flush());
        }
    }
}
