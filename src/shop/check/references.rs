//! Owns the check of what entries point at: parts that must be there, names that are dropped, limits and figures that can be.

use std::collections::{HashMap, HashSet};

use serde::Deserialize;
use toml::de::{DeTable, DeValue, ValueDeserializer};

use crate::diagnostic::{Spot, meant};
use crate::interpretation::PartNature;
use crate::lexicon::{Example, ExpectedFinding, Family, Lexicon, Limit, Means, PartKind};
use crate::limits::convert;
use crate::review::symbol;
use crate::shop::problem::{Problem, ProblemKind};
use crate::shop::reading::{Entry, Key, ShopFile, Word};

/// Looks at every reference of `ours`.
pub(super) fn check(given: &[ShopFile], ours: &[ShopFile], lexicon: &Lexicon) -> Vec<Problem> {
    let mut known: HashSet<&str> = HashSet::new();
    let mut names: HashMap<&str, HashMap<String, &str>> = HashMap::new();
    let all = || given.iter().chain(ours).flat_map(|f| &f.entries);
    for entry in all().filter(|e| e.family == Family::Part) {
        let Some(id) = &entry.id else { continue };
        if entry.retires {
            known.remove(id.text.as_str());
        } else if entry.phrases.iter().any(|(k, _)| *k == Key::Name) || !entry.sound {
            known.insert(&id.text);
        }
    }
    for entry in all().filter(|e| !e.retires) {
        let owner = owner(entry);
        let phrases = entry.phrases.iter().filter(|(k, _)| *k != Key::Drop);
        names.entry(owner).or_default().extend(phrases.map(|(_, w)| (lexicon.fold(&w.text), w.text.as_str())));
    }
    // ids that anything may be retired or added to: those of lower files too
    let mut ever: HashSet<&str> = HashSet::new();
    let mut out = Vec::new();
    for entry in given.iter().flat_map(|f| &f.entries).filter(|e| e.family == Family::Part) {
        ever.extend(entry.id.as_ref().map(|i| i.text.as_str()));
    }
    for file in ours {
        let mut told = Told { file, out: &mut out };
        for entry in &file.entries {
            if entry.family == Family::Part
                && let Some(id) = &entry.id
            {
                let named = entry.phrases.iter().any(|(k, _)| *k == Key::Name);
                if entry.retires && ever.contains(id.text.as_str()) {
                    continue;
                }
                let has = |key: &str| entry.values.iter().any(|(k, _)| k == key);
                if named && entry.sound && !ever.contains(id.text.as_str()) && !has("system") && !file.has_system {
                    let what = format!("the new part \"{}\" has no system", id.text);
                    let help = "write system = \"…\" at the head of the file or in the entry";
                    told.tell(ProblemKind::MissingKey, id.span.clone(), what, help.into());
                }
                if named || !entry.sound {
                    ever.insert(&id.text);
                } else if !ever.contains(id.text.as_str()) {
                    told.no_part(id, &ever);
                }
            }
            for id in &entry.references {
                if !known.contains(id.text.as_str()) {
                    told.no_part(id, &known);
                }
            }
            for (example, span) in &entry.examples {
                for part in parts_of(example) {
                    if !part.is_empty() && !known.contains(part) {
                        told.no_part(&Word { text: part.to_string(), span: span.clone() }, &known);
                    }
                }
            }
            for (_, word) in entry.phrases.iter().filter(|(k, _)| *k == Key::Drop) {
                let there = names.get(owner(entry));
                if !there.is_some_and(|n| n.contains_key(&lexicon.fold(&word.text))) {
                    told.nothing_to_drop(word, there);
                }
            }
            if entry.sound {
                match entry.family {
                    Family::Limit => told.limit(entry, lexicon),
                    Family::Kind => told.kind(entry),
                    Family::Unit => told.factor(entry),
                    _ => {}
                }
            }
        }
    }
    out
}

/// Whose phrases an entry adds to: the id, or the family where entries have none.
fn owner(entry: &Entry) -> &str {
    entry.id.as_ref().map_or(entry.family.key(), |id| &id.text)
}

/// Ids of the parts that an example speaks of.
pub(super) fn parts_of(example: &Example) -> Vec<&str> {
    match &example.means {
        Means::Part(id) => vec![id],
        Means::One(f) => vec![&f.part],
        Means::All(list) => list.iter().map(|f: &ExpectedFinding| f.part.as_str()).collect(),
    }
}

struct Told<'a> {
    file: &'a ShopFile,
    out: &'a mut Vec<Problem>,
}

impl Told<'_> {
    fn tell(&mut self, kind: ProblemKind, span: std::ops::Range<usize>, what: String, help: String) {
        self.out.push(Problem::new(kind, Spot::new(&self.file.source, span, ""), what, help));
    }

    fn no_part(&mut self, id: &Word, known: &HashSet<&str>) {
        let help = match meant(&id.text, known.iter().copied()) {
            Some(likely) => format!("write \"{likely}\"; `hoistnote lexicon show WORD` finds ids"),
            None => "give a new part a name, or find the id with `hoistnote lexicon show WORD`".into(),
        };
        let what = format!("no part has the id \"{}\"", id.text);
        self.tell(ProblemKind::UnknownReference, id.span.clone(), what, help);
    }

    fn nothing_to_drop(&mut self, word: &Word, there: Option<&HashMap<String, &str>>) {
        let likely = there.and_then(|n| meant(&word.text, n.values().copied()));
        let help = match likely {
            Some(likely) => format!("write \"{likely}\""),
            None => "write the phrase as the entry has it; `hoistnote lexicon show` lists them".into(),
        };
        let what = format!("nothing to drop: the entry has no phrase \"{}\"", word.text);
        self.tell(ProblemKind::UnknownReference, word.span.clone(), what, help);
    }

    fn typed<T: for<'d> Deserialize<'d>>(&self, entry: &Entry) -> Option<T> {
        let table = DeTable::parse_recoverable(&self.file.source.text).0.into_inner();
        let list = table.into_iter().find(|(k, _)| k.get_ref() == entry.family.key())?.1.into_inner();
        let DeValue::Array(list) = list else { return None };
        let value = list.into_iter().find(|v| v.span() == entry.span)?;
        T::deserialize(ValueDeserializer::from(value)).ok()
    }

    fn limit(&mut self, entry: &Entry, lexicon: &Lexicon) {
        let Some(limit) = self.typed::<Limit>(entry) else { return };
        if !limit.value.is_finite() || limit.value <= 0.0 {
            let what = format!("a limit of {} can't be", limit.value);
            self.tell(ProblemKind::BadLimit, entry.value("value"), what, "write a figure above zero".into());
        }
        if limit.parts.is_empty() {
            let what = "the limit is for no part".to_string();
            self.tell(ProblemKind::BadLimit, entry.value("parts"), what, "write the ids of its parts".into());
        }
        if limit.source.trim().is_empty() {
            let what = "the limit has no source".to_string();
            let help = "write where the figure was published: it is shown to the customer".to_string();
            self.tell(ProblemKind::BadLimit, entry.value("source"), what, help);
        }
        if limit.at.iter().any(|p| limit.not_at.contains(p)) {
            let what = "the limit is for a place and not for it at once".to_string();
            self.tell(ProblemKind::BadLimit, entry.value("not_at"), what, "take the place out of one of them".into());
        }
        for id in &limit.parts {
            let Some(part) = lexicon.part_by_id(id) else { continue };
            let figures = PartNature::of(&lexicon.parts[part].name, &lexicon.kinds).figures;
            if !figures.is_empty() && figures.iter().all(|f| convert(1.0, limit.unit, f.unit).is_none()) {
                let units: Vec<String> = figures.iter().map(|f| symbol(f.unit)).collect();
                let what = format!("{} is not measured in {}", lexicon.parts[part].name, symbol(limit.unit));
                let help = format!("write one of {}, or another part", units.join(", "));
                self.tell(ProblemKind::BadLimit, entry.value("unit"), what, help);
            }
        }
    }

    fn kind(&mut self, entry: &Entry) {
        let Some(kind) = self.typed::<PartKind>(entry) else { return };
        for f in &kind.figure {
            if !(f.from.is_finite() && f.to.is_finite() && f.from <= f.to) {
                let what = format!("figures from {} to {} can't be", f.from, f.to);
                self.tell(ProblemKind::BadLimit, entry.value("figure"), what, "write the smaller one first".into());
            }
        }
    }

    fn factor(&mut self, entry: &Entry) {
        #[derive(Deserialize)]
        struct Factor {
            #[serde(default)]
            factor: Option<f64>,
        }
        let factor = self.typed::<Factor>(entry).and_then(|f| f.factor);
        if let Some(factor) = factor.filter(|f| !f.is_finite() || *f <= 0.0) {
            let what = format!("a factor of {factor} can't be");
            self.tell(ProblemKind::BadLimit, entry.value("factor"), what, "write a figure above zero".into());
        }
    }
}
