//! Owns what a bare word usually means: the habits of the trade, by word.

use std::collections::{HashMap, HashSet};

use serde::{Deserialize, Serialize};

use super::compile::words_in_order;
use super::entries::{Part, Usual};

/// One part that a word may stand for.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Habit {
    /// Index of the part.
    pub part: usize,
    /// Meant when nothing around the word says otherwise.
    pub usual: bool,
    /// Folded words that speak for this part when they stand around.
    #[serde(serialize_with = "words_in_order")]
    pub near: HashSet<String>,
}

/// The habits by folded word; ids of parts that are gone are passed over.
pub(super) fn habits(entries: &[Usual], parts: &[Part], fold: impl Fn(&str) -> String) -> HashMap<String, Vec<Habit>> {
    let by_id: HashMap<&str, usize> = parts.iter().enumerate().map(|(n, p)| (p.id.as_str(), n)).collect();
    let mut out: HashMap<String, Vec<Habit>> = HashMap::new();
    for entry in entries {
        let mut list = Vec::new();
        if let Some(&part) = entry.is.as_ref().and_then(|id| by_id.get(id.as_str())) {
            list.push(Habit { part, usual: true, near: HashSet::new() });
        }
        for (id, words) in &entry.near {
            let Some(&part) = by_id.get(id.as_str()) else { continue };
            let near: HashSet<String> = words.iter().map(|w| fold(w)).collect();
            match list.iter_mut().find(|h| h.part == part) {
                Some(h) => h.near = near,
                None => list.push(Habit { part, usual: false, near }),
            }
        }
        for word in &entry.say {
            out.entry(fold(word)).or_default().extend(list.iter().cloned());
        }
    }
    out
}
