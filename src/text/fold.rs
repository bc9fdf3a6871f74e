//! Owns word folding: case, British and American spelling, plural to singular.

use std::collections::{BTreeMap, HashMap};

use serde::{Deserialize, Serialize, Serializer};

/// Tables that fold a written word to the form phrases are compared in.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Folding {
    /// Whole words with another spelling (`tyre` → `tire`).
    #[serde(serialize_with = "in_order")]
    pub spelling: HashMap<String, String>,
    /// Words that end in `s` and are no plural, or have an irregular singular (`lens` → `lens`).
    #[serde(serialize_with = "in_order")]
    pub singular: HashMap<String, String>,
}

impl Folding {
    /// Folds one lower-case word; the flag tells whether a plural ending was taken off.
    pub fn fold(&self, word: &str) -> (String, bool) {
        let (base, plural) = match self.singular.get(word) {
            Some(s) => (s.clone(), s != word),
            None => regular_singular(word),
        };
        match self.spelling.get(&base).or_else(|| self.spelling.get(word)) {
            Some(s) => (s.clone(), plural),
            None => (base, plural),
        }
    }
}

/// Writes a table in the order of its words, so that the same table is always written alike.
pub(crate) fn in_order<V: Serialize, S: Serializer>(table: &HashMap<String, V>, to: S) -> Result<S::Ok, S::Error> {
    table.iter().collect::<BTreeMap<_, _>>().serialize(to)
}

fn regular_singular(word: &str) -> (String, bool) {
    let keep = (word.to_string(), false);
    if word.len() < 4 || !word.ends_with('s') || word.contains(['\'', '/']) {
        return keep;
    }
    if word.ends_with("ss") || word.ends_with("us") || word.ends_with("is") {
        return keep;
    }
    let cut = |n: usize, add: &str| (format!("{}{add}", &word[..word.len() - n]), true);
    if word.ends_with("ies") && word.len() > 4 {
        return cut(3, "y");
    }
    for ending in ["sses", "shes", "ches", "xes", "zzes"] {
        if word.ends_with(ending) {
            return cut(2, "");
        }
    }
    cut(1, "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plurals_fold_to_singular() {
        let f = Folding::default();
        for (word, want) in [
            ("hoses", "hose"),
            ("bushes", "bush"),
            ("switches", "switch"),
            ("boxes", "box"),
            ("glasses", "glass"),
            ("batteries", "battery"),
            ("axles", "axle"),
            ("glass", "glass"),
            ("bus", "bus"),
            ("chassis", "chassis"),
            ("radius", "radius"),
        ] {
            assert_eq!(f.fold(word).0, want, "{word}");
        }
    }
}
