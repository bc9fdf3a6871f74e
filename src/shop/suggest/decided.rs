//! Owns what the decisions of writers teach: words that a person gave to a part.

use std::collections::BTreeMap;

use super::{Suggestion, SuggestionKind};
use crate::lexicon::Lexicon;
use crate::review::Decision;

/// More words than this are a sentence and no name.
const LONGEST: usize = 4;
/// What a person decided stands before whatever was counted.
const WEIGHT: f64 = 1000.0;

/// Words that were read as another part or as none, and that a writer gave to a known one.
pub(super) fn suggest(decisions: &[Decision], lexicon: &Lexicon) -> Vec<Suggestion> {
    let mut found: BTreeMap<(String, String), (usize, Vec<String>)> = BTreeMap::new();
    let mut take = |words: &str, part: &str, around: &str| {
        let words = words.trim().to_lowercase();
        let folded = lexicon.fold(&words);
        let fits = !folded.is_empty() && folded.split(' ').count() <= LONGEST;
        // what is a firm name of another part was a slip of the tongue, not a name
        if fits && lexicon.strong_part(&folded).is_none() && lexicon.part_by_id(part).is_some() {
            let (count, lines) = found.entry((words, part.to_string())).or_default();
            *count += 1;
            lines.push(around.to_string());
        }
    };
    for d in decisions {
        match d {
            Decision::Correct { finding, after, .. } => {
                if let Some(part) = after.part.as_ref().filter(|p| p.id != finding.part) {
                    take(&finding.said, &part.id, &finding.around);
                }
            }
            Decision::Add { words, after, .. } => {
                if let Some(part) = &after.part {
                    words.iter().for_each(|w| take(&w.words, &part.id, &w.around));
                }
            }
            _ => {}
        }
    }
    found
        .into_iter()
        .map(|((words, id), (count, examples))| Suggestion {
            words,
            kind: SuggestionKind::Nickname,
            family: "part",
            id,
            key: "also",
            system: String::new(),
            count,
            score: WEIGHT * (1.0 + count as f64).ln(),
            examples: examples.into_iter().take(3).collect(),
        })
        .collect()
}
