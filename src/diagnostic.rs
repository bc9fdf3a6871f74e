//! Owns problems in files that people edit: what is wrong, where, the line with a mark under it, and what to do. Shown to people or
//! written as JSON. Knows nothing of what the files are for: each kind of file brings its own [`Kind`]s.

mod left_open;

use std::ops::Range;
use std::sync::Arc;

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use serde::Serialize;

use left_open::left_open;

/// How bad a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// The file can't be used as it is, or does not do what it says.
    Error,
    /// Worth a look; it can be used.
    Warning,
}

/// The kinds of problems that one kind of file can have.
pub trait Kind: Copy {
    /// One word for programs, `snake_case`; it never changes.
    fn name(self) -> &'static str;
    /// How bad problems of this kind are.
    fn severity(self) -> Severity;
}

/// A file as it was read.
#[derive(Debug, PartialEq, Eq)]
pub struct SourceFile {
    /// As the user knows it.
    pub path: String,
    /// All of it; bytes that are no UTF-8 are shown as `U+FFFD`.
    pub text: String,
}

impl SourceFile {
    /// A file with its text.
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> Arc<SourceFile> {
        Arc::new(SourceFile { path: path.into(), text: text.into() })
    }

    /// 1-based line and column (in characters) of a byte; bytes beyond the end count as the end.
    pub fn position(&self, byte: usize) -> (usize, usize) {
        let before = &self.text[..self.text.floor_char_boundary(byte)];
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
        (line, column)
    }
}

/// A stretch of a file, with a word on what stands there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// The file.
    pub file: Arc<SourceFile>,
    /// Bytes of its text.
    pub span: Range<usize>,
    /// Written beside the mark; may be empty.
    pub label: String,
}

impl Spot {
    /// A stretch of a file.
    pub fn new(file: &Arc<SourceFile>, span: Range<usize>, label: impl Into<String>) -> Spot {
        Spot { file: Arc::clone(file), span, label: label.into() }
    }

    /// The stretch, inside the text and on characters' edges whatever was given.
    fn safe_span(&self) -> Range<usize> {
        let edge = |byte| self.file.text.floor_char_boundary(byte);
        let start = edge(self.span.start);
        start..edge(self.span.end).max(start)
    }
}

/// A problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic<K> {
    /// What kind it is.
    pub kind: K,
    /// What is wrong, in one line.
    pub what: String,
    /// Where it is.
    pub at: Spot,
    /// What else it has to do with.
    pub related: Vec<Spot>,
    /// What to do.
    pub help: String,
}

impl<K: Kind> Diagnostic<K> {
    /// A problem at a place.
    pub fn new(kind: K, at: Spot, what: impl Into<String>, help: impl Into<String>) -> Diagnostic<K> {
        Diagnostic { kind, what: what.into(), at, related: Vec::new(), help: help.into() }
    }

    /// What a reader of TOML noticed, told where it begins: at the list or text that was left open before, else where it was noticed
    /// and with `help`.
    pub fn noticed(kind: K, file: &Arc<SourceFile>, error: &toml::de::Error, help: &str) -> Diagnostic<K> {
        let span = error.span().unwrap_or(0..0);
        match left_open(&file.text).filter(|(_, opens)| opens.start <= span.start) {
            Some((open, opens)) => {
                Diagnostic::new(kind, Spot::new(file, opens, "it opens here"), open.what(), open.help())
            }
            None => Diagnostic::new(kind, Spot::new(file, span, ""), error.message().trim().replace('\n', ", "), help),
        }
    }

    /// The same with another place that it has to do with.
    #[must_use]
    pub fn with(mut self, related: Spot) -> Diagnostic<K> {
        self.related.push(related);
        self
    }

    /// File, line and column: what problems are sorted by.
    pub fn order(&self) -> (&str, usize, usize) {
        let (line, column) = self.at.file.position(self.at.span.start);
        (&self.at.file.path, line, column)
    }

    /// For people: the place, the line with the mark, the help. `width` in columns; colours are ANSI codes, to be taken out where
    /// they are not wanted.
    pub fn render(&self, width: usize) -> String {
        let level = match self.kind.severity() {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
        };
        let mut group = Group::with_title(level.primary_title(&self.what).id(self.kind.name()));
        let mut spots: Vec<(&Spot, AnnotationKind)> = vec![(&self.at, AnnotationKind::Primary)];
        spots.extend(self.related.iter().map(|s| (s, AnnotationKind::Context)));
        // marks in one file are shown in one excerpt
        while !spots.is_empty() {
            let file = Arc::clone(&spots[0].0.file);
            let (here, others) = spots.into_iter().partition(|(s, _)| Arc::ptr_eq(&s.file, &file) || s.file == file);
            spots = others;
            let here: Vec<(&Spot, AnnotationKind)> = here;
            if file.text.is_empty() {
                group = group.element(Origin::path(file.path.clone()));
                continue;
            }
            let marks = here.iter().map(|(s, kind)| {
                let mark = kind.span(s.safe_span());
                if s.label.is_empty() { mark } else { mark.label(s.label.as_str()) }
            });
            let marks: Vec<_> = marks.collect();
            group =
                group.element(Snippet::source(file.text.clone()).path(file.path.clone()).fold(true).annotations(marks));
        }
        if !self.help.is_empty() {
            group = group.element(Level::HELP.message(&self.help));
        }
        Renderer::styled().term_width(width).render(&[group])
    }

    /// For programs.
    pub fn record(&self) -> Record {
        Record {
            severity: self.kind.severity(),
            kind: self.kind.name(),
            at: Place::of(&self.at),
            what: self.what.clone(),
            related: self.related.iter().map(Place::of).collect(),
            help: self.help.clone(),
        }
    }
}

/// A problem as JSON has it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Record {
    /// How bad it is.
    pub severity: Severity,
    /// The kind, one word.
    pub kind: &'static str,
    /// Where it is.
    #[serde(flatten)]
    pub at: Place,
    /// What is wrong.
    pub what: String,
    /// What else it has to do with.
    pub related: Vec<Place>,
    /// What to do.
    pub help: String,
}

/// A place as JSON has it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Place {
    /// The file.
    pub file: String,
    /// 1-based line.
    pub line: usize,
    /// 1-based column, in characters.
    pub column: usize,
    /// Line where it ends.
    pub end_line: usize,
    /// Column behind its last character.
    pub end_column: usize,
    /// What stands there.
    pub label: String,
}

impl Place {
    fn of(spot: &Spot) -> Place {
        let span = spot.safe_span();
        let ((line, column), (end_line, end_column)) = (spot.file.position(span.start), spot.file.position(span.end));
        Place { file: spot.file.path.clone(), line, column, end_line, end_column, label: spot.label.clone() }
    }
}

/// The candidate that was most likely meant, if one is close.
pub fn meant<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let word = word.to_lowercase();
    let likeness = |c: &str| {
        let c = c.to_lowercase();
        strsim::normalized_damerau_levenshtein(&word, &c).max(strsim::jaro_winkler(&word, &c) - 0.15)
    };
    let scored = candidates.into_iter().map(|c| (likeness(c), c));
    scored.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(score, _)| *score >= 0.6).map(|(_, c)| c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Clone, Copy)]
    enum Fault {
        Unknown,
        Odd,
    }

    impl Kind for Fault {
        fn name(self) -> &'static str {
            match self {
                Fault::Unknown => "unknown",
                Fault::Odd => "odd",
            }
        }

        fn severity(self) -> Severity {
            match self {
                Fault::Unknown => Severity::Error,
                Fault::Odd => Severity::Warning,
            }
        }
    }

    fn plain(d: &Diagnostic<Fault>) -> String {
        anstream::adapter::strip_str(&d.render(80)).to_string()
    }

    #[test]
    fn a_problem_shows_its_line_with_a_mark() {
        let ours = SourceFile::new("ours/parts.toml", "system = \"brakes\"\n\n[[part]]\nid = \"x\"\nnmae = \"ö\"\n");
        let at = ours.text.find("nmae").unwrap_or_default();
        let theirs = SourceFile::new("lexicon/a.toml", "name = \"x\"\n");
        let d = Diagnostic::new(
            Fault::Unknown,
            Spot::new(&ours, at..at + 4, "not known"),
            "unknown key `nmae`",
            "write `name`",
        )
        .with(Spot::new(&theirs, 0..4, "as here"));
        let shown = plain(&d);
        for line in [
            "error[unknown]: unknown key `nmae`",
            "ours/parts.toml:5:1",
            "5 | nmae = \"ö\"",
            "  | ^^^^ not known",
            "lexicon/a.toml:1:1",
            "---- as here",
            "help: write `name`",
        ] {
            assert!(shown.contains(line), "{line} is not in\n{shown}");
        }
        let r = d.record();
        assert_eq!((r.kind, r.at.line, r.at.column, r.at.end_column), ("unknown", 5, 1, 5));
    }

    #[test]
    fn places_that_do_not_exist_harm_nobody() {
        for text in ["", "ö", "a\nö\n", "\u{feff}x\ttab \u{1b}[0m"] {
            let file = SourceFile::new("f", text);
            for span in [0..0, 1..2, 3..3, 90..99] {
                let shown = plain(&Diagnostic::new(Fault::Odd, Spot::new(&file, span, ""), "what", ""));
                assert!(shown.contains("warning[odd]: what"), "{shown}");
                assert!(!shown.contains('\u{1b}'), "{shown:?}");
            }
        }
    }
}
