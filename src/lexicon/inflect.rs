//! Owns the regular forms of English verbs, so that a lexicon lists `leak` and the talk may say `leaking`.

/// Base, past and -ing form. The -s form folds to the base like a plural does. The first word of a phrase is the verb
/// ("hang off" → "hanging off").
pub(super) fn forms(verb: &str) -> Vec<String> {
    let (head, tail) = match verb.split_once(' ') {
        Some((h, t)) => (h, format!(" {t}")),
        None => (verb, String::new()),
    };
    let stem_e = head.strip_suffix('e').filter(|s| !s.ends_with('e') && s.len() > 1);
    let (past, ing) = if let Some(stem) = stem_e {
        let ing = match stem.strip_suffix('i') {
            Some(s) => format!("{s}ying"),
            None => format!("{stem}ing"),
        };
        (format!("{stem}ed"), ing)
    } else if let Some(stem) = head.strip_suffix('y').filter(|s| s.ends_with(|c: char| !"aeiou".contains(c))) {
        (format!("{stem}ied"), format!("{head}ing"))
    } else if doubles(head) {
        let last = &head[head.len() - 1..];
        (format!("{head}{last}ed"), format!("{head}{last}ing"))
    } else {
        (format!("{head}ed"), format!("{head}ing"))
    };
    [head.to_string(), past, ing].map(|f| f + &tail).to_vec()
}

/// One vowel between consonants at the end of a short word doubles the last letter: drip → dripping.
fn doubles(word: &str) -> bool {
    let vowel = |c: char| "aeiou".contains(c);
    let mut back = word.chars().rev();
    let (Some(last), Some(mid), before) = (back.next(), back.next(), back.next()) else { return false };
    let syllables = word.split(|c| !vowel(c)).filter(|s| !s.is_empty()).count();
    !vowel(last) && !"wxy".contains(last) && vowel(mid) && before.is_some_and(|c| !vowel(c)) && syllables == 1
}

#[cfg(test)]
mod tests {
    #[test]
    fn regular_verbs() {
        for (verb, want) in [
            ("leak", "leak leaked leaking"),
            ("drip", "drip dripped dripping"),
            ("chafe", "chafe chafed chafing"),
            ("carry", "carry carried carrying"),
            ("weep", "weep weeped weeping"),
            ("hang off", "hang off hanged off hanging off"),
            ("tie", "tie tied tying"),
        ] {
            assert_eq!(super::forms(verb).join(" "), want);
        }
    }
}
