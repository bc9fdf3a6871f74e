//! Owns words spelt otherwise: abbreviations, misspellings and mishearings of words that are known.

use std::collections::{BTreeMap, HashMap};

use super::corpus::{Class, Corpus};
use super::{Suggestion, SuggestionKind};
use crate::lexicon::{Lexicon, Meaning};

/// A word that fits less well is not proposed.
const ENOUGH: f64 = 0.85;

/// Words written as often as this may be short forms though they are words themselves.
const OFTEN: usize = 8;
/// Such a word and the longer one must stand beside the same words as much as this.
const SAME_COMPANY: f64 = 0.3;

/// Words beside a word, with how often.
type Beside = HashMap<String, f64>;

/// Proposals for strange words that may be known ones.
pub(super) fn suggest(corpus: &Corpus, lexicon: &Lexicon) -> Vec<Suggestion> {
    let full = full_words(lexicon);
    let strange = strange(corpus, &full);
    let vocabulary = vocabulary(corpus, &full);
    let beside = beside(corpus, lexicon);
    let none = Beside::new();
    let mut by_letter: HashMap<char, Vec<&str>> = HashMap::new();
    for word in vocabulary.keys() {
        by_letter.entry(word.chars().next().unwrap_or(' ')).or_default().push(word);
    }
    let mut out = Vec::new();
    for (word, (count, lines)) in &strange {
        let own = beside.get(word).unwrap_or(&none);
        let first = word.chars().next().unwrap_or(' ');
        let mut best: Option<(f64, SuggestionKind, &str)> = None;
        for v in by_letter.get(&first).into_iter().flatten() {
            let Some((form, kind)) = form(word, v) else { continue };
            let context = likeness(own, beside.get(*v).unwrap_or(&none));
            // of two words that are both known, one is short for the other only if it is cut off and keeps its company
            let cut = kind == SuggestionKind::Abbreviation && v.starts_with(word.as_str());
            if full.contains_key(word) && !(cut && context >= SAME_COMPANY || vowelless(word)) {
                continue;
            }
            let known = (1.0 + vocabulary[*v] as f64).ln() / 8.0;
            let score = form + context + known.min(1.0) * 0.4;
            if best.is_none_or(|b| score > b.0) {
                best = Some((score, kind, v));
            }
        }
        let Some((score, kind, meant)) = best.filter(|b| b.0 >= ENOUGH) else { continue };
        out.push(Suggestion {
            words: word.clone(),
            kind,
            family: "spelling",
            id: meant.to_string(),
            key: "",
            system: String::new(),
            count: *count,
            score: score * (1.0 + *count as f64).ln(),
            examples: lines.iter().take(3).map(|l| corpus.lines[*l].text.clone()).collect(),
        });
    }
    out.extend(initials(corpus, lexicon));
    out
}

fn vowelless(word: &str) -> bool {
    !word.contains(|c: char| "aeiouy".contains(c))
}

/// "a/c", "f/drive", "tc": first letters of a name of two words that stands in the corpus, the last word whole or not.
fn initials(corpus: &Corpus, lexicon: &Lexicon) -> Vec<Suggestion> {
    let mut pairs: HashMap<(String, String), usize> = HashMap::new();
    let mut short: BTreeMap<String, (usize, Vec<usize>)> = BTreeMap::new();
    for (n, line) in corpus.lines.iter().enumerate() {
        for w in line.items.windows(2) {
            *pairs.entry((w[0].norm.clone(), w[1].norm.clone())).or_default() += 1;
        }
        for item in line.items.iter().filter(|i| i.class != Class::Edge) {
            let slashed = item.word.split_once('/').is_some_and(|(a, b)| !a.is_empty() && !b.is_empty());
            if slashed || (item.word.len() == 2 && vowelless(&item.word)) {
                let (count, lines) = short.entry(item.word.clone()).or_default();
                *count += 1;
                lines.push(n);
            }
        }
    }
    let mut out = Vec::new();
    for (word, (count, lines)) in short {
        let (front, back) = match word.split_once('/') {
            Some((a, b)) => (a.to_string(), b.to_string()),
            None => (word[..1].to_string(), word[1..].to_string()),
        };
        let fits = |((a, b), _): &(&(String, String), &usize)| {
            a.len() > 2 && b.len() > 2 && a.starts_with(&front) && b.starts_with(&back)
        };
        let named = |a: &str, b: &str| lexicon.strong_part(&format!("{a} {b}"));
        let best =
            pairs.iter().filter(fits).filter(|((a, b), _)| named(a, b).is_some()).max_by_key(|((a, b), n)| (**n, a, b));
        let Some(((a, b), n)) = best else { continue };
        let Some(part) = named(a, b).filter(|_| *n > 1 && lexicon.phrase(&word).is_none()) else { continue };
        out.push(Suggestion {
            words: word.clone(),
            kind: SuggestionKind::Abbreviation,
            family: "part",
            id: lexicon.parts[part].id.clone(),
            key: "short",
            system: String::new(),
            count,
            score: (1.0 + *n as f64).ln() * (1.0 + count as f64).ln(),
            examples: lines.iter().take(3).map(|l| corpus.lines[*l].text.clone()).collect(),
        });
    }
    out
}

/// Words that are written out: those of names and other phrases, abbreviations left out; with how many names they stand in.
fn full_words(lexicon: &Lexicon) -> HashMap<String, usize> {
    let mut out: HashMap<String, usize> = HashMap::new();
    for part in &lexicon.parts {
        for name in std::iter::once(&part.name).chain(&part.also) {
            for w in lexicon.fold(name).split(' ').filter(|w| w.len() > 2) {
                *out.entry(w.to_string()).or_default() += 1;
            }
        }
    }
    for p in 0..lexicon.phrases.len() {
        let of_part = |m: &Meaning| matches!(m, Meaning::Part { .. } | Meaning::NotPart);
        if !lexicon.meanings[p].iter().all(of_part) {
            for w in lexicon.phrases[p].split(' ') {
                out.entry(w.to_string()).or_default();
            }
        }
    }
    for w in &lexicon.common {
        out.entry(w.clone()).or_default();
    }
    out
}

/// Words that are not written out, with their count and lines.
fn strange(corpus: &Corpus, full: &HashMap<String, usize>) -> BTreeMap<String, (usize, Vec<usize>)> {
    let mut out: BTreeMap<String, (usize, Vec<usize>)> = BTreeMap::new();
    for (n, line) in corpus.lines.iter().enumerate() {
        let odd = line.items.iter().filter(|i| !matches!(i.class, Class::Figure | Class::Edge));
        let written_out = |w: &str| full.contains_key(w) && !vowelless(w);
        for item in odd.filter(|i| !i.word.ends_with('/')) {
            // a word that many write may be the short form of a longer one all the same: "steer pump"
            let often = corpus.counts.get(&item.norm).is_some_and(|n| *n >= OFTEN);
            if (written_out(&item.norm) || written_out(&item.word))
                && !(often && item.word == item.norm && item.word.len() > 2)
            {
                continue;
            }
            let (count, lines) = out.entry(item.word.clone()).or_default();
            *count += 1;
            if lines.last() != Some(&n) {
                lines.push(n);
            }
        }
    }
    out
}

/// Words that may be meant, with how often they stand in names and in the corpus.
fn vocabulary(corpus: &Corpus, full: &HashMap<String, usize>) -> HashMap<String, usize> {
    let mut out: HashMap<String, usize> =
        full.iter().filter(|(w, n)| w.len() > 3 && **n > 0).map(|(w, n)| (w.clone(), *n)).collect();
    for item in corpus.lines.iter().flat_map(|l| &l.items).filter(|i| i.norm.len() > 3) {
        // what many write is a word, whether the lexicon has it or not
        let count = corpus.counts.get(&item.norm).copied().unwrap_or(0);
        if !matches!(item.class, Class::Figure | Class::Edge) && (full.contains_key(&item.norm) || count >= 5) {
            *out.entry(item.norm.clone()).or_default() += 1;
        }
    }
    out
}

/// What stands left and right of each word, in the corpus and in names.
fn beside(corpus: &Corpus, lexicon: &Lexicon) -> HashMap<String, Beside> {
    let mut out: HashMap<String, Beside> = HashMap::new();
    let mut pair = |a: &str, b: &str, weight: f64| {
        *out.entry(a.to_string()).or_default().entry(format!("> {b}")).or_default() += weight;
        *out.entry(b.to_string()).or_default().entry(format!("< {a}")).or_default() += weight;
    };
    for line in &corpus.lines {
        for w in line.items.windows(2) {
            let name =
                |i: &super::corpus::Item| if i.class == Class::Figure { "0".to_string() } else { i.norm.clone() };
            let (a, b) = (name(&w[0]), name(&w[1]));
            pair(&a, &b, 1.0);
            // a strange plural is looked up as written
            if w[0].word != a {
                pair(&w[0].word, &b, 1.0);
            }
            if w[1].word != b {
                pair(&a, &w[1].word, 1.0);
            }
        }
    }
    for part in &lexicon.parts {
        for name in std::iter::once(&part.name).chain(&part.also) {
            let folded = lexicon.fold(name);
            let words: Vec<&str> = folded.split(' ').collect();
            words.windows(2).for_each(|w| pair(w[0], w[1], 0.3));
        }
    }
    out
}

/// Cosine of what stands beside two words, counts damped.
fn likeness(a: &Beside, b: &Beside) -> f64 {
    let damp = |x: &f64| (1.0 + x).ln();
    let norm = |v: &Beside| v.values().map(|x| damp(x).powi(2)).sum::<f64>().sqrt();
    let dot: f64 = a.iter().filter_map(|(k, x)| Some(damp(x) * damp(b.get(k)?))).sum();
    let length = norm(a) * norm(b);
    if length > 0.0 { dot / length } else { 0.0 }
}

/// How well a strange word fits a known one by its form, and as what.
fn form(word: &str, known: &str) -> Option<(f64, SuggestionKind)> {
    if word == known {
        return None;
    }
    let edits = strsim::osa_distance(word, known);
    let allowed = if known.len() >= 8 { 2 } else { 1 };
    let (short, long) = (word.len().min(known.len()), word.len().max(known.len()));
    if edits <= allowed && short >= 5 {
        return Some((1.0 - edits as f64 / long as f64, SuggestionKind::Mishearing));
    }
    if word.len() * 4 > known.len() * 3 || word.len() < 2 {
        return None;
    }
    if known.starts_with(word) && word.len() >= 3 {
        return Some((0.6, SuggestionKind::Abbreviation));
    }
    // in order, first letter the same: "cyl", "brg", "hyd"
    let mut rest = known.chars();
    let in_order = word.chars().all(|c| rest.any(|k| k == c));
    let vowels = word.chars().skip(1).filter(|c| "aeiou".contains(*c)).count();
    in_order.then_some((if vowels == 0 { 0.5 } else { 0.35 }, SuggestionKind::Abbreviation))
}
