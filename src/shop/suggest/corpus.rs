//! Owns what proposals are drawn from: the tokens of past dictations, each with what it is to the lexicon.

use std::collections::HashMap;

use crate::dictation::{Dictation, Format};
use crate::interpretation::{Interpreter, Settings};
use crate::lexicon::{ConditionId, Meaning};
use crate::matching::{How, is_aside, is_little};
use crate::text::{Kind, Token};

/// What a token is to one who looks for terms.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Class {
    /// A word that may belong to a term.
    Word,
    /// Work that is asked for.
    Action,
    /// A verb of looking, or what a part should do: it may stand in a name as well ("lift cylinder").
    Deed,
    /// What is wrong, or that nothing is.
    Condition,
    /// A place on the vehicle.
    Place,
    /// A figure, a mask, a single letter.
    Figure,
    /// A mark of punctuation or the edge of a line.
    Edge,
    /// Any other word that belongs to no term.
    Other,
}

/// A token of the corpus.
#[derive(Debug, Clone)]
pub(super) struct Item {
    /// Folded.
    pub norm: String,
    /// As written, lower case.
    pub word: String,
    pub class: Class,
    /// Inside a firm name, and whether the name ends here: `(first, end)` of it.
    pub name: Option<(usize, usize)>,
    /// Read as a part, by context too.
    pub part: bool,
    /// As written, in capitals throughout.
    pub capitals: bool,
    /// What it says is wrong.
    pub wrong: Option<ConditionId>,
}

/// A line of the corpus.
#[derive(Debug)]
pub(super) struct Line {
    pub text: String,
    pub items: Vec<Item>,
}

/// Past dictations, line by line.
#[derive(Debug, Default)]
pub(super) struct Corpus {
    pub lines: Vec<Line>,
    /// How often each folded word stands.
    pub counts: HashMap<String, usize>,
}

impl Corpus {
    pub(super) fn read(dictations: &[Dictation], interpreter: &Interpreter) -> Corpus {
        let mut out = Corpus::default();
        for d in dictations {
            // every line of notes stands for itself
            if d.format == Format::Notes {
                for u in &d.utterances {
                    out.dictation(
                        &Dictation {
                            utterances: vec![u.clone()],
                            warnings: Vec::new(),
                            path: d.path.clone(),
                            format: d.format,
                            sha256: String::new(),
                        },
                        interpreter,
                    );
                }
            } else {
                out.dictation(d, interpreter);
            }
        }
        for item in out.lines.iter().flat_map(|l| &l.items).filter(|i| i.class != Class::Figure) {
            *out.counts.entry(item.norm.clone()).or_default() += 1;
        }
        out
    }

    fn dictation(&mut self, d: &Dictation, interpreter: &Interpreter) {
        let reading = interpreter.analyse(d, Settings::default()).reading;
        let tokens = &reading.tokens;
        let mut class: Vec<Class> =
            tokens.iter().map(|t| plain_class(t, &d.utterances[t.span.utterance].text)).collect();
        let mut wrong: Vec<Option<ConditionId>> = vec![None; tokens.len()];
        for s in &reading.mentions.signals {
            if let Meaning::Condition { id, .. } = s.meaning {
                wrong[s.first..s.end].fill(Some(id));
            }
            let is = match s.meaning {
                Meaning::Action { .. } => Class::Action,
                Meaning::Inspect | Meaning::Function { .. } => Class::Deed,
                Meaning::Condition { .. }
                | Meaning::Sound { .. }
                | Meaning::Unchecked { .. }
                | Meaning::Serviced { .. }
                | Meaning::Urgency { .. } => Class::Condition,
                _ => Class::Other,
            };
            for c in &mut class[s.first..s.end] {
                if *c == Class::Word || (is != Class::Other && *c == Class::Other) {
                    *c = is;
                }
            }
        }
        for p in &reading.mentions.places {
            class[p.first..p.end].fill(Class::Place);
        }
        let mut names: Vec<Option<(usize, usize)>> = vec![None; tokens.len()];
        let mut part = vec![false; tokens.len()];
        for p in &reading.mentions.parts {
            class[p.first..p.end].fill(Class::Word);
            part[p.first..p.end].fill(true);
            if matches!(p.how, How::Exact) {
                names[p.first..p.end].fill(Some((p.first, p.end)));
            }
        }
        for &(first, end) in &reading.mentions.loose_heads {
            class[first..end].fill(Class::Word);
            part[first..end].fill(true);
        }
        let mut from = 0;
        for (n, u) in d.utterances.iter().enumerate() {
            let until = from + tokens[from..].iter().take_while(|t| t.span.utterance == n).count();
            let items = (from..until).map(|t| Item {
                norm: tokens[t].norm.clone(),
                word: tokens[t].word.clone(),
                class: class[t],
                name: names[t].map(|(a, b)| (a.saturating_sub(from), b - from)),
                part: part[t],
                capitals: is_in_capitals(&u.text[tokens[t].span.start..tokens[t].span.end]),
                wrong: wrong[t],
            });
            self.lines.push(Line { text: u.text.clone(), items: items.collect() });
            from = until;
        }
    }
}

/// What a token is by itself.
fn plain_class(t: &Token, line: &str) -> Class {
    let masked = line[..t.span.start].ends_with('<') && line[t.span.end..].starts_with('>');
    match t.kind {
        Kind::Mark(_) | Kind::Speaker => Class::Edge,
        Kind::Number(_) => Class::Figure,
        Kind::Word if masked || t.word.len() < 2 || t.word.bytes().any(|b| b.is_ascii_digit()) => Class::Figure,
        Kind::Word if is_little(&t.word) || is_aside(&t.norm) || t.word.starts_with('\'') => Class::Other,
        Kind::Word => Class::Word,
    }
}

fn is_in_capitals(written: &str) -> bool {
    written.len() > 1 && written.bytes().all(|b| b.is_ascii_uppercase())
}
