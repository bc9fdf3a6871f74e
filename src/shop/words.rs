//! Owns the lexicon as a plain list of words, and as a hint that biases a speech recogniser.

use std::collections::{BTreeSet, HashMap, HashSet};

use super::reading::{Key, ShopFile};
use crate::lexicon::{Family, Lexicon, Meaning, Strength};

/// Every phrase that names a part or says something of one, once, in the order of letters.
pub fn phrases(given: &[ShopFile], ours: &[ShopFile]) -> Vec<String> {
    let said = |f: Family| !matches!(f, Family::Usual | Family::Limit | Family::Kind | Family::TroubleCode);
    let entries = given.iter().chain(ours).flat_map(|f| &f.entries).filter(|e| said(e.family) && !e.retires);
    let words = entries.flat_map(|e| &e.phrases).filter(|(k, _)| !matches!(k, Key::Drop | Key::Not));
    words.map(|(_, w)| w.text.clone()).collect::<BTreeSet<_>>().into_iter().collect()
}

/// Tokens that a recogniser may make of a text: one for every four letters begun of each word, one for each comma. An estimate on
/// the safe side for English; every recogniser has a counter of its own.
pub fn tokens(text: &str) -> usize {
    let pieces = |w: &str| w.trim_end_matches(',').chars().count().div_ceil(4) + usize::from(w.ends_with(','));
    text.split_whitespace().map(pieces).sum()
}

/// Names to bias a recogniser with, at most `most` tokens. The most useful come first: what the shop added itself, then the names
/// that recognisers are known to write wrong, in the most ways first; of these the names whose words are rare in plain English and
/// stand in many names of the trade. Each new name must bring a word that is not there yet.
pub fn hint(ours: &[ShopFile], lexicon: &Lexicon, most: usize) -> String {
    let mut own: Vec<String> = Vec::new();
    for entry in ours.iter().flat_map(|f| &f.entries).filter(|e| e.family == Family::Part) {
        let said = entry.phrases.iter().filter(|(k, _)| matches!(k, Key::Name | Key::Also | Key::Weak));
        own.extend(said.map(|(_, w)| w.text.clone()));
    }
    let rare = |w: &str| w.len() > 2 && !lexicon.common.contains(w) && w.bytes().all(|b| b.is_ascii_alphabetic());
    let mut weight: HashMap<String, usize> = HashMap::new();
    let mut wrong = vec![0_usize; lexicon.parts.len()];
    for phrase in 0..lexicon.phrases.len() {
        for m in &lexicon.meanings[phrase] {
            if let Meaning::Part { part, strength: Strength::Misheard } = m {
                wrong[*part] += 1;
            }
        }
    }
    let mut names: Vec<(Vec<String>, String, usize)> = Vec::new();
    for (n, part) in lexicon.parts.iter().enumerate() {
        // a part of many names is misheard in many ways: per name
        let wrong = wrong[n] * 4 / (1 + part.also.len());
        for name in std::iter::once(&part.name).chain(&part.also) {
            let words: Vec<String> = lexicon.fold(name).split(' ').map(str::to_string).collect();
            for w in words.iter().filter(|w| rare(w)) {
                *weight.entry(w.clone()).or_default() += 1;
            }
            if *name == part.name {
                names.push((words, name.clone(), wrong));
            }
        }
    }
    let worth = |words: &[String], had: &HashSet<String>| {
        let fresh = words.iter().filter(|w| rare(w) && !had.contains(*w));
        fresh.map(|w| weight.get(w).copied().unwrap_or(0)).sum::<usize>() as f64 / words.len() as f64
    };
    let mut had: HashSet<String> = HashSet::new();
    let (mut out, mut used) = (String::new(), 0);
    let mut take = |name: &str, words: &[String], had: &mut HashSet<String>| {
        let piece = if out.is_empty() { name.to_string() } else { format!(", {name}") };
        // the comma belongs to the word before it
        let cost = tokens(name) + usize::from(!out.is_empty());
        if used + cost > most {
            return false;
        }
        used += cost;
        out.push_str(&piece);
        had.extend(words.iter().cloned());
        true
    };
    for name in own {
        let words: Vec<String> = lexicon.fold(&name).split(' ').map(str::to_string).collect();
        take(&name, &words, &mut had);
    }
    let none = HashSet::new();
    names.sort_by(|a, b| b.2.cmp(&a.2).then(worth(&b.0, &none).total_cmp(&worth(&a.0, &none))).then(a.1.cmp(&b.1)));
    for (words, name, _) in &names {
        if worth(words, &had) > 0.0 {
            take(name, words, &mut had);
        }
    }
    out
}
