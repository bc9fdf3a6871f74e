//! Owns new terms and how much speaks for each: the C-value (Frantzi, Ananiadou & Mima 2000, "Automatic recognition of multi-word
//! terms: the C-value/NC-value method", Int. J. on Digital Libraries 3:115): `C(a) = log2|a| · (f(a) − mean f of the longer terms
//! that hold a)`; `log2(|a| + 1)` is used, so that single words count too. What stands around a term weighs in as in the NC-value:
//! names of parts stand between an action and a condition, and what makes names with several nouns is a thing itself. Against it
//! speak plain English, the forms of verbs and adjectives, and pieces of longer terms.

use std::collections::{HashMap, HashSet};

use super::candidates::{Candidate, Candidates, Shape, collect, is_verbal};
use super::corpus::{Class, Corpus};
use super::{Suggestion, SuggestionKind};
use crate::lexicon::{Lexicon, Meaning};

/// A verb or adjective stands before more nouns than this.
const FEW: usize = 2;

/// What the lexicon and the whole corpus tell of words.
struct Trade<'l> {
    lexicon: &'l Lexicon,
    /// How many names end in each word.
    ends: HashMap<String, usize>,
    /// Nouns and names that stand behind each word.
    behind: HashMap<String, HashSet<String>>,
    /// How often a word that says what is wrong stands with no noun behind it, and before which words it stands.
    bare: HashMap<String, usize>,
    before: HashMap<String, HashSet<String>>,
}

/// New terms of the corpus.
pub(super) fn suggest(corpus: &Corpus, lexicon: &Lexicon) -> Vec<Suggestion> {
    let trade = Trade::of(corpus, lexicon);
    let found = collect(corpus, |w| trade.is_noun(w));
    let mut out = Vec::new();
    for (norm, c) in found.iter().filter(|(norm, c)| c.count > 0 && !is_known(norm, lexicon)) {
        let words: Vec<&str> = norm.split(' ').collect();
        let (kind, family, id, key) = match c.shape {
            Shape::Fault(id) => (SuggestionKind::NewCondition, "condition", id.as_str().to_string(), "say"),
            _ => (SuggestionKind::NewPart, "part", norm.replace([' ', '/'], "-"), "name"),
        };
        let score = trade.score(norm, c, &words, &found);
        if score > 0.0 {
            out.push(Suggestion {
                words: norm.clone(),
                kind,
                family,
                id,
                key,
                system: String::new(),
                count: c.count,
                score,
                examples: c.lines.iter().take(3).map(|l| corpus.lines[*l].text.clone()).collect(),
            });
        }
    }
    out.sort_by(|a, b| b.score.total_cmp(&a.score));
    for s in out.iter_mut().take(1000).filter(|s| s.kind == SuggestionKind::NewPart) {
        s.system = system(&lexicon.fold(&s.words).split(' ').collect::<Vec<_>>(), lexicon);
    }
    out
}

impl<'l> Trade<'l> {
    fn of(corpus: &Corpus, lexicon: &'l Lexicon) -> Trade<'l> {
        let mut ends: HashMap<String, usize> = HashMap::new();
        for part in &lexicon.parts {
            for name in std::iter::once(&part.name).chain(&part.also) {
                if let Some(last) = lexicon.fold(name).rsplit(' ').next() {
                    *ends.entry(last.to_string()).or_default() += 1;
                }
            }
        }
        let mut trade = Trade { lexicon, ends, behind: HashMap::new(), bare: HashMap::new(), before: HashMap::new() };
        for line in &corpus.lines {
            for (n, item) in line.items.iter().enumerate() {
                let next = line.items.get(n + 1).filter(|i| i.class == Class::Word);
                let says = matches!(item.class, Class::Condition | Class::Deed);
                match next {
                    Some(next) if says => {
                        trade.before.entry(item.norm.clone()).or_default().insert(next.norm.clone());
                    }
                    None if says => *trade.bare.entry(item.norm.clone()).or_default() += 1,
                    Some(next) if next.part || trade.is_noun(&next.norm) => {
                        trade.behind.entry(item.norm.clone()).or_default().insert(next.norm.clone());
                    }
                    _ => {}
                }
            }
        }
        trade
    }

    /// Whether a noun makes parts of its own behind others.
    fn is_head(&self, word: &str) -> bool {
        self.means(word, |m| matches!(m, Meaning::Head))
    }

    /// Whether the word names some part, if not which.
    fn is_noun(&self, word: &str) -> bool {
        self.means(word, |m| matches!(m, Meaning::Head | Meaning::Part { .. }))
            || self.ends.get(word).is_some_and(|n| *n > 1)
    }

    fn means(&self, word: &str, test: impl Fn(&Meaning) -> bool) -> bool {
        self.lexicon.phrase(word).is_some_and(|p| self.lexicon.meanings[p].iter().any(test))
    }

    fn is_plain(&self, word: &str) -> bool {
        self.lexicon.common.contains(word) && !self.is_head(word)
    }

    /// Whether a word that nobody knows makes names with several nouns: "swing pump", "swing motor".
    fn is_whole(&self, word: &str, found: &Candidates) -> bool {
        self.behind.get(word).is_some_and(|nouns| nouns.len() >= 2)
            && !self.is_head(word)
            && !self.lexicon.common.contains(word)
            && !is_verbal(word)
            && !is_adjective(word)
            && found.get(word).is_some_and(|c| c.share(c.opens) < 0.8)
    }

    /// Whether a word names a thing itself, and does not only tell which thing the next one is: "engine | pulley".
    fn is_thing(&self, word: &str, found: &Candidates) -> bool {
        self.is_whole(word, found)
            || found.get(word).is_some_and(|c| c.count > 1 && c.share(c.last) > 0.4)
            || self.lexicon.strong_part(word).is_some()
            || self.is_head(word)
    }

    fn score(&self, norm: &str, c: &Candidate, words: &[&str], found: &Candidates) -> f64 {
        match c.shape {
            Shape::Run => self.score_run(norm, c, words, found),
            Shape::BeforeName => {
                let verb = is_verbal(words[0]) || (c.opens > 0 && c.after_action == 0) || c.capitals == c.count;
                let plain = words[..words.len() - 1].iter().any(|w| self.is_plain(w));
                let doubts = [(verb, 0.2), (plain, 0.5), (self.is_thing(words[0], found), 0.4)];
                weighed(often(c) * (1.0 + 0.5 * c.share(c.after_action)), &doubts)
            }
            Shape::Borrowed => {
                let few = self.before.get(words[0]).is_none_or(|n| n.len() <= FEW);
                let bare = self.bare.get(words[0]).copied().unwrap_or(0) > c.count;
                let lone = c.count < 2 && c.after_action > 0;
                let quality = words[0].ends_with('y');
                weighed(2.0 * often(c), &[(!few || bare || lone || quality, 0.02)])
            }
            Shape::Fault(_) => {
                let of_part = self.is_head(words[0])
                    || words[0].len() < 4
                    || (self.is_noun(words[0]) && !self.lexicon.common.contains(words[0]));
                weighed(2.2 * often(c), &[(of_part, 0.02)])
            }
        }
    }

    fn score_run(&self, norm: &str, c: &Candidate, words: &[&str], found: &Candidates) -> f64 {
        let (single, last) = (words.len() == 1, words[words.len() - 1]);
        if single && self.is_whole(norm, found) {
            let nouns = self.behind.get(norm).map_or(0, HashSet::len);
            return weighed(1.2 * ((nouns + c.count) as f64).ln_1p(), &[(c.capitals == c.count, 0.3)]);
        }
        let nested: usize = c.longer.iter().filter_map(|l| found.get(l)).map(|c| c.count).sum();
        let mean = if c.longer.is_empty() { 0.0 } else { nested as f64 / c.longer.len() as f64 };
        let c_value = ((words.len() + 1) as f64).log2() * (c.count as f64 - mean).max(0.0);
        let (head, noun) = (self.is_head(last), self.is_noun(last));
        // a noun that makes parts of its own, or the last word of other names
        let known = self.ends.get(last).map_or(0.0, |n| (1.0 + *n as f64).ln()) * if head { 1.0 } else { 0.4 };
        let context = c.share(c.after_action) + c.share(c.before_condition) + 0.5 * c.share(c.whole);
        let score = (0.5 + c_value.ln_1p()) * (1.0 + context + known) * (0.1 + c.share(c.last));
        let piece = !c.longer.is_empty() && nested >= c.count;
        let plain = self.lexicon.common.contains(last) && !head;
        let strange_single = single && !noun;
        let doubts = [
            (words[..words.len() - 1].iter().any(|w| self.is_thing(w, found)), 0.2),
            (words.iter().any(|w| self.is_plain(w)), 0.3),
            (!single && c.count == 1, 0.6),
            (is_verbal(words[0]) || is_abstract(last), 0.3),
            (c.split, 0.2),
            (piece && (!single || !head), 0.15),
            (piece && single && head, 0.3),
            (single && plain, 0.2),
            (strange_single && c.after_quality >= c.count, 0.4),
            (!noun && is_adjective(last), 0.2),
            (!noun && c.capitals == c.count, 0.2),
            (!noun && c.share(c.trails) > 0.5, 0.3),
            (!noun && c.share(c.opens) >= 0.5, 0.3),
            (single && c.share(c.after_name) > 0.5, 0.3),
            (!noun, if single { 0.6 } else { 0.5 }),
        ];
        weighed(score, &doubts)
    }
}

fn often(c: &Candidate) -> f64 {
    (3_f64.log2() * c.count as f64).ln_1p()
}

fn weighed(score: f64, doubts: &[(bool, f64)]) -> f64 {
    doubts.iter().filter(|(doubt, _)| *doubt).fold(score, |s, (_, factor)| s * factor)
}

/// Endings of nouns for work and qualities.
fn is_abstract(word: &str) -> bool {
    word.len() > 5 && ["tion", "ment", "ance", "ity", "ing", "age", "ness"].iter().any(|e| word.ends_with(e))
}

/// Endings of adjectives.
fn is_adjective(word: &str) -> bool {
    word.len() > 4
        && ["ical", "ental", "cial", "ugal", "ary", "ous", "ive", "ic", "ital", "able"]
            .iter()
            .any(|e| word.ends_with(e))
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
