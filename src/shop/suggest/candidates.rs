//! Owns what may be a term: runs of words between actions, conditions, places and little words, with what stands around them; runs
//! with a known name or a known noun at their end; faults that a word tells apart ("supply error").

use std::collections::{HashMap, HashSet};

use super::corpus::{Class, Corpus, Item};
use crate::lexicon::ConditionId;

/// Longest term, in words.
const LONGEST: usize = 4;

/// How the words came to be looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Shape {
    /// Words between others.
    #[default]
    Run,
    /// Words and the known name behind them: "pony drive motor".
    BeforeName,
    /// A word that says what is wrong or what is done elsewhere, and a noun: "lift cylinder".
    Borrowed,
    /// A word and the fault that it tells apart: "supply error".
    Fault(ConditionId),
}

/// What is known of a candidate: counts of the places it stands in.
#[derive(Debug, Default)]
pub(super) struct Candidate {
    pub shape: Shape,
    pub count: usize,
    /// As the whole run.
    pub whole: usize,
    /// At the end of a run: what stands there names a thing, what stands before it only tells which.
    pub last: usize,
    /// Behind work that is asked for.
    pub after_action: usize,
    /// In front of what is wrong.
    pub before_condition: usize,
    /// First in its line, with more words behind: many a verb.
    pub opens: usize,
    /// At the end of the line, behind what is wrong: many a remark of the office.
    pub trails: usize,
    /// Behind a known name.
    pub after_name: usize,
    /// In front of a known name.
    pub before_name: usize,
    /// Behind a word for what is wrong that may be its first word: "rock deflector".
    pub after_quality: usize,
    /// In capitals.
    pub capitals: usize,
    /// A piece of a thing that is a candidate by itself: "boom cylinder | hose".
    pub split: bool,
    pub lines: Vec<usize>,
    /// Candidates that hold it.
    pub longer: HashSet<String>,
}

impl Candidate {
    /// The share of its places.
    pub(super) fn share(&self, n: usize) -> f64 {
        n as f64 / self.count.max(1) as f64
    }

    fn at(&mut self, line: usize) {
        self.count += 1;
        if self.lines.last() != Some(&line) {
            self.lines.push(line);
        }
    }
}

/// Candidates by their folded words.
pub(super) type Candidates = HashMap<String, Candidate>;

/// All candidates of the corpus; `noun` tells which words make parts of their own behind others.
pub(super) fn collect(corpus: &Corpus, noun: impl Fn(&str) -> bool) -> Candidates {
    let mut found = Candidates::new();
    let fault_nouns = fault_nouns(corpus);
    for (n, line) in corpus.lines.iter().enumerate() {
        let mut at = 0;
        while at < line.items.len() {
            if !is_free(&line.items[at]) {
                at += 1;
                continue;
            }
            // a known name ends a run: what stands behind it is a part of its own
            let end = at + line.items[at..].iter().take_while(|i| is_free(i)).count();
            run(&line.items, at, end, n, &mut found);
            at = end;
        }
        borrowed(&line.items, n, &noun, &mut found);
        faults(&line.items, n, &fault_nouns, &mut found);
    }
    split_pieces(&mut found, noun);
    found
}

fn is_free(item: &Item) -> bool {
    item.class == Class::Word && item.name.is_none()
}

fn text(items: &[Item]) -> String {
    items.iter().map(|i| i.norm.as_str()).collect::<Vec<_>>().join(" ")
}

/// Takes up the run itself, what it ends in, and the run with the name behind it.
fn run(items: &[Item], first: usize, end: usize, line: usize, found: &mut Candidates) {
    let left = first.checked_sub(1).map(|i| &items[i]);
    let right = items.get(end);
    let named_left = left.is_some_and(|i| i.name.is_some());
    let named_right = right.is_some_and(|i| i.name.is_some());
    let left = left.filter(|_| !named_left).map(|i| (i.class, i.norm.as_str()));
    let right_class = right.filter(|_| !named_right).map(|i| i.class);
    let begins = !named_left && left.is_none_or(|(c, _)| matches!(c, Class::Figure | Class::Edge));
    let ends = !named_right && right_class.is_none_or(|c| matches!(c, Class::Figure | Class::Edge));
    for from in first..end {
        for to in from + 1..=end.min(from + LONGEST) {
            // the inside of a run is counted for single words only: they tell what names a thing
            if to < end && to - from > 1 && from > first {
                continue;
            }
            let c = found.entry(text(&items[from..to])).or_default();
            c.at(line);
            let (leads, closes) = (from == first, to == end);
            c.whole += usize::from(leads && closes && !named_right);
            c.last += usize::from(closes && !named_right);
            c.after_action += usize::from(leads && left.is_some_and(|(c, _)| matches!(c, Class::Action | Class::Deed)));
            c.before_condition += usize::from(closes && right_class == Some(Class::Condition));
            c.opens += usize::from(leads && begins && (!closes || named_right));
            c.trails += usize::from(leads && closes && ends && left.is_some_and(|(c, _)| c == Class::Condition));
            c.after_name += usize::from(leads && named_left);
            c.before_name += usize::from(closes && named_right);
            let quality = left.is_some_and(|(c, w)| c == Class::Condition && !is_verbal(w));
            c.after_quality += usize::from(leads && quality);
            c.capitals += usize::from(items[from..to].iter().all(|i| i.capitals));
            if closes && !leads && end - (from - 1) <= LONGEST {
                c.longer.insert(text(&items[from - 1..end]));
            }
        }
    }
    if let Some((_, past)) =
        items.get(end).and_then(|i| i.name).filter(|(at, past)| *at == end && past - first <= LONGEST)
    {
        let c = found.entry(text(&items[first..past])).or_default();
        c.at(line);
        c.shape = Shape::BeforeName;
        c.after_action += usize::from(left.is_some_and(|(c, _)| matches!(c, Class::Action | Class::Deed)));
        c.opens += usize::from(begins);
        c.capitals += usize::from(items[first..end].iter().all(|i| i.capitals));
    }
}

/// "lift | cylinder": the noun tells no part by itself, and the word before it may tell which.
fn borrowed(items: &[Item], line: usize, noun: &impl Fn(&str) -> bool, found: &mut Candidates) {
    for (n, w) in items.windows(2).enumerate() {
        let fits = matches!(w[0].class, Class::Condition | Class::Deed) && is_free(&w[1]) && noun(&w[1].norm);
        let goes_on = items.get(n + 2).is_some_and(|i| i.class == Class::Word);
        if fits && !goes_on && !is_verbal(&w[0].word) {
            let words = text(w);
            let c = found.entry(words.clone()).or_default();
            c.at(line);
            c.shape = Shape::Borrowed;
            c.after_action += usize::from(w[0].class == Class::Deed);
            found.entry(w[1].norm.clone()).or_default().longer.insert(words);
        }
    }
}

/// Words for a fault that end a line, or stand before a little word, at least as often as they stand before a noun: "error", not
/// "broken".
fn fault_nouns(corpus: &Corpus) -> HashSet<&str> {
    let mut uses: HashMap<&str, (usize, usize)> = HashMap::new();
    for line in &corpus.lines {
        for (n, item) in line.items.iter().enumerate().filter(|(_, i)| i.wrong.is_some() && i.class == Class::Condition)
        {
            let before_noun = line.items.get(n + 1).is_some_and(|i| i.class == Class::Word);
            let behind_word = n > 0 && line.items[n - 1].class == Class::Word;
            let (closing, opening) = uses.entry(&item.norm).or_default();
            *closing += usize::from(behind_word && !before_noun);
            *opening += usize::from(before_noun);
        }
    }
    uses.into_iter().filter(|(w, (c, o))| w.len() > 3 && c > o && !is_verbal(w)).map(|(w, _)| w).collect()
}

/// "supply | error".
fn faults(items: &[Item], line: usize, faults: &HashSet<&str>, found: &mut Candidates) {
    for w in items.windows(2) {
        // only what a machine reports is told apart by a word: "supply error", but not "boom | crack"
        let reported = w[1].wrong.filter(|id| matches!(id, ConditionId::Code | ConditionId::Inoperative));
        if let (true, Some(id), Class::Condition) = (is_free(&w[0]), reported, w[1].class)
            && faults.contains(w[1].norm.as_str())
        {
            let c = found.entry(text(w)).or_default();
            c.at(line);
            c.shape = Shape::Fault(id);
        }
    }
}

/// What is named before a noun for a piece is a thing by itself: "boom cylinder | hose".
fn split_pieces(found: &mut Candidates, noun: impl Fn(&str) -> bool) {
    let pieces: Vec<(String, String)> = found
        .iter()
        .filter(|(_, c)| c.shape == Shape::Run)
        .filter_map(|(words, _)| Some((words, words.rsplit_once(' ')?)))
        .filter(|(_, (front, last))| noun(last) && front.rsplit_once(' ').is_some_and(|(_, thing)| noun(thing)))
        .map(|(words, (front, _))| (words.clone(), front.to_string()))
        .collect();
    for (words, front) in pieces {
        let Some(whole) = found.get_mut(&words) else { continue };
        whole.split = true;
        let (count, after_action, lines) = (whole.count, whole.after_action, whole.lines.clone());
        let c = found.entry(front).or_default();
        // the front of a run is counted already
        c.count = c.count.max(count);
        c.last += count;
        c.whole += count;
        c.after_action = c.after_action.max(after_action);
        if c.lines.is_empty() {
            c.lines = lines;
        }
    }
}

/// Endings of verbs and of what was done to a thing.
pub(super) fn is_verbal(word: &str) -> bool {
    word.len() > 4 && ["ate", "ify", "ise", "ize", "ing", "ed"].iter().any(|e| word.ends_with(e))
}
