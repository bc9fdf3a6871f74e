//! Owns mishearings: words that came close to a name of a known part, again and again, and were not taken for it.

use std::collections::BTreeMap;

use super::{Suggestion, SuggestionKind};
use crate::dictation::{Dictation, Format};
use crate::interpretation::{Interpreter, Settings};

/// Words spelt less like the name than this are only told of where they sound the same.
const CLOSE: f64 = 0.75;

/// Words of spoken dictations that may be known parts.
pub(super) fn suggest(dictations: &[Dictation], interpreter: &Interpreter) -> Vec<Suggestion> {
    let lexicon = interpreter.lexicon();
    let mut found: BTreeMap<(String, usize), (usize, f64, Vec<String>)> = BTreeMap::new();
    // notes are typed: what is odd in them is spelt oddly, not heard
    for d in dictations.iter().filter(|d| d.format != Format::Notes) {
        let reading = interpreter.analyse(d, Settings::default()).reading;
        let tokens = &reading.tokens;
        for call in interpreter.sounds().close_calls(tokens, lexicon, &reading.mentions.parts) {
            let c = call.comparison;
            let odd = tokens[call.first..call.end].iter().any(|t| crate::shop::is_strange(t, lexicon));
            // where all words are plain, a wrong guess would do harm
            if !odd || !(c.same_sound || c.spelling >= CLOSE) || lexicon.phrases[call.phrase].len() < 5 {
                continue;
            }
            let words: Vec<&str> = tokens[call.first..call.end].iter().map(|t| t.word.as_str()).collect();
            let (count, score, lines) = found.entry((words.join(" "), call.part)).or_default();
            *count += 1;
            *score = c.spelling + if c.same_sound { 0.5 } else { 0.0 };
            lines.push(d.utterances[tokens[call.first].span.utterance].text.clone());
        }
    }
    found
        .into_iter()
        .map(|((words, part), (count, score, examples))| Suggestion {
            words,
            kind: SuggestionKind::Mishearing,
            family: "part",
            id: lexicon.parts[part].id.clone(),
            key: "also",
            system: String::new(),
            count,
            score: 2.0 * score * (1.0 + count as f64).ln(),
            examples: examples.into_iter().take(3).collect(),
        })
        .collect()
}
