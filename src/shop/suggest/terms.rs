//! Owns new terms: runs of words between actions, conditions, places and little words, weighed by the C-value (Frantzi, Ananiadou &
//! Mima 2000, "Automatic recognition of multi-word terms: the C-value/NC-value method", Int. J. on Digital Libraries 3:115): `C(a) = log2|a| · (f(a) − mean f of the longer terms that hold a)`. `log2(|a| + 1)` is used, so that single words
//! count too. What stands around a term weighs in as in the NC-value: names of parts stand between an action and a condition.

use std::collections::{HashMap, HashSet};

use super::corpus::{Class, Corpus, Item};
use super::{Suggestion, SuggestionKind};
use crate::lexicon::{Lexicon, Meaning};

/// Longest term, in words.
const LONGEST: usize = 4;

/// What is known of a candidate.
#[derive(Debug, Default)]
struct Candidate {
    count: usize,
    /// Stands as the whole run.
    whole: usize,
    /// Behind work that is asked for.
    after_action: usize,
    /// In front of what is wrong.
    before_condition: usize,
    /// Ends a run: what stands there names a thing, what stands before it only tells which.
    last: usize,
    lines: Vec<usize>,
    longer: HashSet<String>,
}

/// New terms of the corpus.
pub(super) fn suggest(corpus: &Corpus, lexicon: &Lexicon) -> Vec<Suggestion> {
    let heads = heads(lexicon);
    let mut found: HashMap<String, Candidate> = HashMap::new();
    for (n, line) in corpus.lines.iter().enumerate() {
        let mut at = 0;
        while at < line.items.len() {
            if line.items[at].class != Class::Word || line.items[at].name.is_some() {
                at += 1;
                continue;
            }
            // a known name ends a run: what stands behind it is a part of its own
            let end = at + line.items[at..].iter().take_while(|i| i.class == Class::Word && i.name.is_none()).count();
            run(&line.items, at, end, n, &mut found);
            at = end;
        }
    }
    let mut out = Vec::new();
    for (norm, c) in &found {
        let words: Vec<&str> = norm.split(' ').collect();
        if is_known(norm, lexicon) {
            continue;
        }
        let score = score(c, &words, &found, &heads, lexicon);
        out.push(Suggestion {
            words: norm.clone(),
            kind: SuggestionKind::NewPart,
            family: "part",
            id: norm.replace([' ', '/'], "-"),
            key: "name",
            system: String::new(),
            count: c.count,
            score,
            examples: c.lines.iter().take(3).map(|l| corpus.lines[*l].text.clone()).collect(),
        });
    }
    out.sort_by(|a, b| b.score.total_cmp(&a.score));
    for s in out.iter_mut().take(1000) {
        s.system = system(&lexicon.fold(&s.words).split(' ').collect::<Vec<_>>(), lexicon);
    }
    out
}

fn score(
    c: &Candidate,
    words: &[&str],
    found: &HashMap<String, Candidate>,
    heads: &HashMap<String, usize>,
    lexicon: &Lexicon,
) -> f64 {
    let nested: usize = c.longer.iter().filter_map(|l| found.get(l)).map(|c| c.count).sum();
    let mean = if c.longer.is_empty() { 0.0 } else { nested as f64 / c.longer.len() as f64 };
    let c_value = ((words.len() + 1) as f64).log2() * (c.count as f64 - mean).max(0.0);
    let last = words[words.len() - 1];
    let share = |n: usize, c: &Candidate| n as f64 / c.count as f64;
    // a noun that makes parts of its own, or the last word of other names
    let weight = if is_head(last, lexicon) { 1.0 } else { 0.4 };
    let head = heads.get(last).map_or(0.0, |n| (1.0 + *n as f64).ln()) * weight;
    // words that name things themselves do not tell which thing the next word is: "engine | pulley"
    let whole_before = words[..words.len() - 1].iter().any(|w| {
        let thing = found.get(*w).is_some_and(|c| share(c.last, c) > 0.4 && c.count > 1);
        thing || lexicon.strong_part(w).is_some() || is_head(w, lexicon)
    });
    let plain = words.iter().any(|w| lexicon.common.contains(*w) && !is_head(w, lexicon));
    let context = share(c.after_action, c) + share(c.before_condition, c) + 0.5 * share(c.whole, c);
    let mut score = (0.5 + c_value.ln_1p()) * (1.0 + context + head) * (0.1 + share(c.last, c));
    for (doubt, factor) in [
        (whole_before, 0.2),
        (plain, 0.3),
        (words.len() > 1 && c.count == 1, 0.6),
        (verbal(words[0]) || abstract_noun(last), 0.3),
    ] {
        if doubt {
            score *= factor;
        }
    }
    score
}

fn is_head(word: &str, lexicon: &Lexicon) -> bool {
    lexicon.phrase(word).is_some_and(|p| lexicon.meanings[p].contains(&Meaning::Head))
}

/// Endings of verbs.
fn verbal(word: &str) -> bool {
    word.len() > 5 && ["ate", "ify", "ise", "ize", "ing", "ed"].iter().any(|e| word.ends_with(e))
}

/// Endings of nouns for work and qualities.
fn abstract_noun(word: &str) -> bool {
    word.len() > 5 && ["tion", "ment", "ance", "ity", "ing", "age"].iter().any(|e| word.ends_with(e))
}

/// Takes up the run itself and what it ends in.
fn run(items: &[Item], first: usize, end: usize, line: usize, found: &mut HashMap<String, Candidate>) {
    let left = first.checked_sub(1).map(|i| items[i].class);
    let right = items.get(end).map(|i| i.class);
    let text = |from: usize, to: usize| items[from..to].iter().map(|i| i.norm.as_str()).collect::<Vec<_>>().join(" ");
    for from in first..end {
        for to in from + 1..=end.min(from + LONGEST) {
            // the inside of a run is counted for single words only: they tell what names a thing
            if to < end && to - from > 1 && from > first {
                continue;
            }
            let c = found.entry(text(from, to)).or_default();
            c.count += 1;
            if c.lines.last() != Some(&line) {
                c.lines.push(line);
            }
            c.whole += usize::from(from == first && to == end);
            c.last += usize::from(to == end);
            c.after_action += usize::from(from == first && left == Some(Class::Action));
            c.before_condition += usize::from(to == end && right == Some(Class::Condition));
            if to == end && from > first && end - (from - 1) <= LONGEST {
                c.longer.insert(text(from - 1, end));
            }
        }
    }
}

/// Whether the lexicon has the words as a name, or as something else that is said.
fn is_known(norm: &str, lexicon: &Lexicon) -> bool {
    if lexicon.strong_part(norm).is_some() {
        return true;
    }
    lexicon.phrase(norm).is_some_and(|p| {
        lexicon.meanings[p].iter().any(|m| !matches!(m, Meaning::Part { .. } | Meaning::Head | Meaning::NotPart))
    })
}

/// How many names of the lexicon end in each word.
fn heads(lexicon: &Lexicon) -> HashMap<String, usize> {
    let mut out = HashMap::new();
    for part in &lexicon.parts {
        for name in std::iter::once(&part.name).chain(&part.also) {
            if let Some(last) = lexicon.fold(name).rsplit(' ').next() {
                *out.entry(last.to_string()).or_default() += 1;
            }
        }
    }
    out
}

/// The system that most names with these words belong to, the last word first.
fn system(words: &[&str], lexicon: &Lexicon) -> String {
    for word in words.iter().rev() {
        let mut counts: HashMap<&str, usize> = HashMap::new();
        for part in &lexicon.parts {
            if lexicon.fold(&part.name).split(' ').any(|w| w == *word) {
                *counts.entry(&part.system).or_default() += 1;
            }
        }
        if let Some((system, _)) = counts.into_iter().max_by(|a, b| a.1.cmp(&b.1).then(b.0.cmp(a.0))) {
            return system.to_string();
        }
    }
    "other".to_string()
}
