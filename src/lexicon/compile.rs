//! Owns the compiled lexicon: phrases folded once, and what each phrase means.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use serde::{Deserialize, Serialize, Serializer};

use super::entries::{ActionId, ConditionId, Cue, DegreeId, Limit, Part, PartKind, PlaceWord, UrgencyId};
use super::guidance::Guidance;
use super::inflect;
use super::load::{LexiconError, RawLexicon};
use super::nouns::Nouns;
use super::phrases::{Groups, Phrases};
use super::sides::Sides;
use super::spans::Spans;
use super::usual::{self, Habit};
use crate::text::{Folding, UnitTable, fold_phrase, in_order};

/// How firmly a phrase stands for its part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Strength {
    /// Only while the part's system is spoken of.
    Weak,
    /// Always, but one of its words is what recognisers write for another.
    Misheard,
    /// Always.
    Strong,
}

/// What a phrase means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[allow(missing_docs)] // fields are the ids of the entry
pub enum Meaning {
    /// A part, by index into [`Lexicon::parts`].
    Part {
        part: usize,
        strength: Strength,
    },
    /// Looks like a part and is none.
    NotPart,
    /// A noun that makes a part of its own behind another part.
    Head,
    Condition {
        id: ConditionId,
        weak: bool,
    },
    Sound {
        negated: Option<ConditionId>,
        weak: bool,
    },
    Unchecked {
        weak: bool,
    },
    /// What a part should do: says something only when it is denied ("won't start").
    Function {
        lost: Option<ConditionId>,
    },
    /// A verb of looking or testing: negated it leaves the part unchecked.
    Inspect,
    Serviced {
        weak: bool,
    },
    Action {
        id: ActionId,
        weak: bool,
    },
    Urgency {
        id: UrgencyId,
        weak: bool,
    },
    Degree {
        id: DegreeId,
    },
    /// A place, by index into [`Lexicon::places`]; `short` ones count in typed notes only.
    Place {
        place: usize,
        short: bool,
    },
    Cue(Cue),
}

/// The compiled lexicon.
#[derive(Debug, Serialize, Deserialize)]
pub struct Lexicon {
    /// Word folding tables.
    pub folding: Folding,
    /// Unit words.
    pub units: UnitTable,
    /// All parts.
    pub parts: Vec<Part>,
    /// Place phrases' words.
    pub places: Vec<Vec<PlaceWord>>,
    /// Published limits.
    pub limits: Vec<Limit>,
    /// Kinds of parts.
    pub kinds: Vec<PartKind>,
    /// Folded phrases, words joined by one space.
    pub phrases: Phrases,
    /// What each phrase means.
    pub meanings: Groups<Meaning>,
    /// Plain English words that sound-alike matching must leave alone.
    #[serde(serialize_with = "words_in_order")]
    pub common: HashSet<String>,
    /// Weights of the judge, as its file has them.
    #[serde(skip)]
    pub weights: String,
    /// Words of speakers who measure in metric units.
    #[serde(serialize_with = "words_in_order")]
    pub metric_words: HashSet<String>,
    /// Words in front of the distance that a vehicle has run.
    #[serde(serialize_with = "words_in_order")]
    pub odometer_words: HashSet<String>,
    /// What tells a stretch of time or way that lies ahead from another.
    pub spans: Spans,
    /// Which parts stand on a side or at an end.
    pub sides: Sides,
    /// What each context word usually means, by its folded phrase.
    #[serde(serialize_with = "in_order")]
    pub habits: HashMap<String, Vec<Habit>>,
    /// Nouns for one kind of thing, and nouns for pieces.
    pub nouns: Nouns,
    /// What readers and planners are told.
    pub guidance: Guidance,
    #[serde(serialize_with = "in_order")]
    code_parts: HashMap<String, usize>,
}

/// Writes words in the order of their letters, so that the same lexicon is always written alike.
pub(super) fn words_in_order<S: Serializer>(words: &HashSet<String>, to: S) -> Result<S::Ok, S::Error> {
    words.iter().collect::<BTreeSet<_>>().serialize(to)
}

/// Letters of all phrases together: far more than any trade has words, far fewer than an automaton can hold.
const MOST_LETTERS: usize = 1 << 26;

struct Builder {
    folding: Folding,
    phrases: Vec<String>,
    meanings: Vec<Vec<Meaning>>,
    by_phrase: HashMap<String, usize>,
}

impl Builder {
    fn fold(&self, phrase: &str) -> String {
        fold_phrase(phrase, &self.folding)
    }

    fn add(&mut self, phrase: &str, meaning: Meaning) {
        let folded = self.fold(phrase);
        self.add_folded(folded, meaning);
    }

    fn add_folded(&mut self, folded: String, meaning: Meaning) {
        if folded.is_empty() {
            return;
        }
        let n = self.phrases.len();
        let at = *self.by_phrase.entry(folded.clone()).or_insert(n);
        if at == n {
            self.phrases.push(folded);
            self.meanings.push(Vec::new());
        }
        if !self.meanings[at].contains(&meaning) {
            self.meanings[at].push(meaning);
        }
    }

    fn add_all(&mut self, verbs: &[String], say: &[String], weak: &[String], meaning: impl Fn(bool) -> Meaning) {
        for v in verbs {
            for form in inflect::forms(v) {
                self.add(&form, meaning(false));
            }
        }
        for s in say {
            self.add(s, meaning(false));
        }
        for s in weak {
            self.add(s, meaning(true));
        }
    }

    fn add_part(&mut self, index: usize, p: &Part) {
        let strong = Meaning::Part { part: index, strength: Strength::Strong };
        for s in std::iter::once(&p.name).chain(&p.also).chain(&p.short) {
            let folded = self.fold(s);
            // "ball joint" is written "balljoint" too
            if let Some((a, b)) = folded.split_once(' ')
                && a.len() > 2
                && b.len() > 2
                && !b.contains(' ')
                && !folded.contains('/')
            {
                self.add_folded(format!("{a}{b}"), strong);
            }
            self.add_folded(folded, strong);
        }
        for s in &p.weak {
            self.add(s, Meaning::Part { part: index, strength: Strength::Weak });
        }
        for s in &p.not {
            self.add(s, Meaning::NotPart);
        }
    }
}

impl Builder {
    /// Names with one word written as recognisers mishear it, where those words mean nothing else.
    fn add_misheard(&mut self, parts: &[Part], misheard: &BTreeMap<String, Vec<String>>) {
        for (part, p) in parts.iter().enumerate() {
            for name in std::iter::once(&p.name).chain(&p.also) {
                let folded = self.fold(name);
                let words: Vec<&str> = folded.split(' ').collect();
                if words.len() < 2 {
                    continue;
                }
                for (at, word) in words.iter().enumerate() {
                    for variant in misheard.get(*word).into_iter().flatten() {
                        let said = [&words[..at], &[variant.as_str()], &words[at + 1..]].concat().join(" ");
                        if !self.by_phrase.contains_key(&said) {
                            self.add_folded(said, Meaning::Part { part, strength: Strength::Misheard });
                        }
                    }
                }
            }
        }
    }

    /// A word with habits stands for its part in context only.
    fn leave_open(&mut self, word: &str, habits: &[Habit]) {
        for h in habits {
            self.add_folded(word.to_string(), Meaning::Part { part: h.part, strength: Strength::Weak });
        }
        let Some(&at) = self.by_phrase.get(word) else { return };
        let mut open: Vec<Meaning> = Vec::new();
        for m in &self.meanings[at] {
            let m = match *m {
                Meaning::Part { part, .. } => Meaning::Part { part, strength: Strength::Weak },
                other => other,
            };
            if !open.contains(&m) {
                open.push(m);
            }
        }
        self.meanings[at] = open;
    }
}

impl Lexicon {
    /// Compiles what was read.
    ///
    /// # Errors
    /// More phrases than an automaton can hold.
    pub fn compile(raw: RawLexicon) -> Result<Lexicon, LexiconError> {
        let folding = raw.folding();
        let RawLexicon { mut parts, language, weights, .. } = raw;
        parts.retain(|p| !p.retire);
        let mut b = Builder { folding, phrases: Vec::new(), meanings: Vec::new(), by_phrase: HashMap::new() };
        for (i, p) in parts.iter().enumerate() {
            b.add_part(i, p);
        }
        for c in &language.condition {
            b.add_all(&c.verb, &c.say, &c.weak, |weak| Meaning::Condition { id: c.id, weak });
        }
        for c in &language.sound {
            b.add_all(&c.verb, &c.say, &c.weak, |weak| Meaning::Sound { negated: c.negated, weak });
        }
        for c in &language.sound {
            for s in &c.when_negated {
                for form in inflect::forms(s) {
                    b.add(&form, Meaning::Function { lost: c.negated });
                }
            }
        }
        for c in &language.unchecked {
            b.add_all(&c.verb, &c.say, &c.weak, |weak| Meaning::Unchecked { weak });
        }
        for c in &language.inspect {
            b.add_all(&c.verb, &c.say, &c.weak, |_| Meaning::Inspect);
        }
        for c in &language.serviced {
            b.add_all(&c.verb, &c.say, &c.weak, |weak| Meaning::Serviced { weak });
        }
        for c in &language.action {
            b.add_all(&c.verb, &c.say, &c.weak, |weak| Meaning::Action { id: c.id, weak });
        }
        for c in &language.urgency {
            b.add_all(&c.verb, &c.say, &c.weak, |weak| Meaning::Urgency { id: c.id, weak });
        }
        for c in &language.degree {
            b.add_all(&c.verb, &c.say, &c.weak, |_| Meaning::Degree { id: c.id });
        }
        let mut places = Vec::new();
        for p in &language.place {
            for s in &p.say {
                b.add(s, Meaning::Place { place: places.len(), short: false });
            }
            for s in &p.short {
                b.add(s, Meaning::Place { place: places.len(), short: true });
            }
            places.push(p.is.clone());
        }
        for c in &language.cue {
            for s in &c.say {
                b.add(s, Meaning::Cue(c.id));
            }
        }
        for h in &language.head {
            for s in &h.say {
                b.add(s, Meaning::Head);
            }
        }
        let alike = language.alike.iter().map(|g| g.iter().map(|w| b.fold(w)).collect()).collect();
        let nouns = Nouns::new(alike, language.piece.iter().map(|w| b.fold(w)).collect());
        let habits = usual::habits(&language.usual, &parts, |s| b.fold(s));
        for (word, list) in habits.iter().collect::<BTreeMap<_, _>>() {
            b.leave_open(word, list);
        }
        let misheard = language
            .misheard
            .iter()
            .map(|(word, variants)| (b.fold(word), variants.iter().map(|v| b.fold(v)).collect()))
            .collect();
        b.add_misheard(&parts, &misheard);
        let mut units = UnitTable::default();
        for u in &language.unit {
            for s in &u.say {
                units.phrases.insert(b.fold(s), (u.unit, u.factor));
            }
            for s in &u.tight {
                units.tight.insert(b.fold(s), (u.unit, u.factor));
            }
        }
        let sides = Sides::new(&language, &parts, |s| b.fold(s));
        let spans = Spans::new(&language, |s| b.fold(s));
        let by_id: HashMap<&str, usize> = parts.iter().enumerate().map(|(i, p)| (p.id.as_str(), i)).collect();
        let code_parts = language
            .trouble_code
            .iter()
            .filter_map(|c| Some((c.code.to_uppercase(), *by_id.get(c.part.as_str())?)))
            .collect();
        let guidance =
            Guidance::new(language.matter, language.plain, language.zone, language.outline, language.checklist);
        let letters: usize = b.phrases.iter().map(String::len).sum();
        if letters > MOST_LETTERS {
            return Err(LexiconError {
                file: "lexicon".into(),
                line: None,
                column: None,
                what: "too large to compile; take phrases out".into(),
            });
        }
        Ok(Lexicon {
            folding: b.folding,
            units,
            parts,
            places,
            limits: language.limit,
            kinds: language.kind,
            phrases: Phrases::new(&b.phrases),
            meanings: Groups::new(b.meanings),
            common: language.common.into_iter().collect(),
            metric_words: language.metric_words.into_iter().collect(),
            odometer_words: language.odometer_words.into_iter().collect(),
            spans,
            weights,
            sides,
            habits,
            nouns,
            guidance,
            code_parts,
        })
    }

    /// Index of a folded phrase.
    pub fn phrase(&self, folded: &str) -> Option<usize> {
        self.phrases.number(folded)
    }

    /// The part with this id.
    pub fn part_by_id(&self, id: &str) -> Option<usize> {
        self.parts.iter().position(|p| p.id == id)
    }

    /// The part a trouble code points at, where the code is a known one.
    pub fn part_of_code(&self, code: &str) -> Option<usize> {
        self.code_parts.get(code).copied()
    }

    /// The part a folded phrase stands for without doubt.
    pub fn strong_part(&self, folded: &str) -> Option<usize> {
        self.meanings[self.phrase(folded)?].iter().find_map(|m| match m {
            Meaning::Part { part, strength: Strength::Strong } => Some(*part),
            _ => None,
        })
    }

    /// Folds a phrase the way the stream is folded.
    pub fn fold(&self, phrase: &str) -> String {
        fold_phrase(phrase, &self.folding)
    }
}
