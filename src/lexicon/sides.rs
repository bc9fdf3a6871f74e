//! Owns which parts stand on a side or at an end of the vehicle, so that a place announced before holds for them.

use serde::{Deserialize, Serialize};

use super::entries::{LanguageFile, Part};

/// What is known of where parts stand, besides their own entries.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Sides {
    /// Whether each part sits at every wheel.
    pub per_wheel: Vec<bool>,
    running_gear: Vec<String>,
    sided: Vec<String>,
}

impl Sides {
    /// From the entries; `fold` folds a name as the dictation's words are.
    pub(super) fn new(file: &LanguageFile, parts: &[Part], fold: impl Fn(&str) -> String) -> Sides {
        let named = |p: &Part, words: &[String]| {
            let name = format!(" {} ", fold(&p.name));
            words.iter().any(|w| name.contains(&format!(" {} ", fold(w))))
        };
        let per_wheel = |p: &Part| {
            file.running_gear.contains(&p.system) && named(p, &file.per_wheel) && !named(p, &file.not_per_wheel)
        };
        Sides {
            per_wheel: parts.iter().map(per_wheel).collect(),
            running_gear: file.running_gear.clone(),
            sided: file.sided.clone(),
        }
    }

    /// Whether the parts of a system stand under the vehicle, corner by corner.
    pub fn is_running_gear(&self, system: &str) -> bool {
        self.running_gear.iter().any(|s| s == system)
    }

    /// Whether the parts of a system have a side.
    pub fn is_sided(&self, system: &str) -> bool {
        self.sided.iter().any(|s| s == system)
    }
}
