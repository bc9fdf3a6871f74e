//! Owns putting a reason of the judge into words. What is not known here is shown as it stands.

/// One line of [`crate::findings::Finding::why`], split up where it tells how words were judged.
pub enum Reason {
    /// Words, how they named the part, and what weighed most with its weight.
    Judged { words: String, how: String, weights: Vec<String> },
    /// Anything else.
    Plain(String),
}

/// Splits a line of the form `"words" (naming, how): feature +1.0, …`.
pub fn read(line: &str) -> Reason {
    let judged = || {
        let (words, rest) = line.strip_prefix('"')?.split_once("\" (")?;
        let (how, weights) = rest.split_once("):")?;
        let weights = weights.split(", ").map(str::trim).filter(|w| !w.is_empty()).map(weight).collect();
        Some(Reason::Judged { words: words.to_string(), how: naming(how), weights })
    };
    judged().unwrap_or_else(|| Reason::Plain(line.to_string()))
}

fn naming(how: &str) -> String {
    let words = how.split(", ").map(|h| match h {
        "Named" => "named by its own words",
        "ByPlace" => "named by its place alone",
        "SameAgain" => "said to be the same as another",
        "Exact" => "in the lexicon as said",
        "Context" => "a word that means this part in its context",
        "Compound" => "a known part and a noun behind it",
        "SoundAlike" => "sounds or is spelt like a name in the lexicon",
        "Code" => "a trouble code that points at this part",
        other => other,
    });
    words.collect::<Vec<_>>().join(", ")
}

/// A feature and its weight, "after:denied_defect +2.1", in words.
fn weight(text: &str) -> String {
    match text.rsplit_once(' ') {
        Some((name, figure)) => format!("{figure} {}", feature(name)),
        None => text.to_string(),
    }
}

fn feature(name: &str) -> String {
    if let Some((zone, words)) = name.split_once('/') {
        return format!("\"{words}\" said {}", zone_words(zone).unwrap_or("near it"));
    }
    if let Some((one, other)) = name.split_once('&') {
        return format!("{}, and {}", feature(one), feature(other));
    }
    if let Some((zone, says)) = name.split_once(':')
        && let Some(z) = zone_words(zone)
    {
        return format!("{} {z}", signal(says));
    }
    if let Some((key, value)) = name.split_once('=')
        && let Some(words) = valued(key, value)
    {
        return words;
    }
    match name {
        "bias" => "how often this verdict is given at all".into(),
        "near_the_end" => "spoken of near the end".into(),
        "spoken_of_before" => "spoken of before".into(),
        "silent" => "nothing said of it here".into(),
        "listed" => "one of a list".into(),
        "typed" => "typed, not spoken".into(),
        "asked" => "in a question".into(),
        "own_place" => "its place was said with it".into(),
        "plural" => "more than one".into(),
        "opens_clause" => "first in its clause".into(),
        other => other.replace('_', " "),
    }
}

fn valued(key: &str, value: &str) -> Option<String> {
    Some(match (key, value) {
        ("first", _) => format!("first word on it: {}", signal(value)),
        ("word-1", _) => format!("\"{value}\" right before it"),
        ("word+1", _) => format!("\"{value}\" right behind it"),
        ("naming", "named") => "named by its own words".into(),
        ("naming", "by_place") => "named by its place alone".into(),
        ("naming", "same_again") => "said to be the same as another".into(),
        ("how", "exact") => "its name is in the lexicon as said".into(),
        ("preposition", "none") => "not part of another part's place".into(),
        ("preposition", _) => "named as the place of another part".into(),
        _ => return None,
    })
}

fn zone_words(zone: &str) -> Option<&'static str> {
    Some(match zone {
        "lead" => "before it, in the clause before",
        "before" => "before it",
        "after" => "after it",
        "next" => "in the next clause",
        "later" => "later",
        _ => return None,
    })
}

fn signal(says: &str) -> String {
    let word = match says {
        "defect" => "a fault",
        "sound" => "a word for sound",
        "denied_defect" => "a fault denied",
        "unchecked" => "a word for not checked",
        "serviced" => "a word for serviced before",
        "action" => "work asked for",
        "no_action" => "work said not to be needed",
        "urgency" => "an urgency",
        "measured" => "a figure",
        "trouble_code" => "a trouble code",
        "silent" => "nothing",
        other => return other.replace('=', ": ").replace('_', " "),
    };
    word.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn features_are_put_into_words() {
        let table = [
            ("after:defect +1.2", "+1.2 a fault after it"),
            ("before:denied_defect +0.4", "+0.4 a fault denied before it"),
            ("first=sound +2.0", "+2.0 first word on it: a word for sound"),
            ("after/good shape +0.3", "+0.3 \"good shape\" said after it"),
            ("silent&spoken_of_before +0.1", "+0.1 nothing said of it here, and spoken of before"),
            ("some_new&thing +0.1", "+0.1 some new, and thing"),
        ];
        for (text, words) in table {
            assert_eq!(weight(text), words);
        }
    }

    #[test]
    fn a_line_of_another_form_is_kept() {
        assert!(matches!(read("limit passed: pads"), Reason::Plain(p) if p == "limit passed: pads"));
    }
}
