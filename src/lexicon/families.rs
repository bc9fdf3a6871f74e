//! Owns the table of what may stand in a lexicon file: each family of entries, the keys of one entry, and reading a single entry.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde::de::{self, Visitor};
use serde::forward_to_deserialize_any;
use toml::Spanned;
use toml::de::{DeValue, Error, ValueDeserializer};

use super::compile::Meaning;
use super::entries::{
    ActionId, ConditionId, CueSaying, DegreeId, Head, LanguageFile, Limit, Part, PartKind, PlaceSaying, Saying,
    TroubleCode, UnitSaying, UrgencyId, Usual, VerdictSaying,
};
use super::guidance::{Checklist, MatterEntry, OutlineEntry, PlainEntry, ZoneEntry};

/// How the entries of a family are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A list of tables, one an entry: `[[part]]`.
    Tables,
    /// A list of words, or of groups of words.
    Words,
    /// A table from words to words.
    Map,
}

macro_rules! families {
    ($($(#[$doc:meta])* $name:ident = $key:literal, $shape:ident of $type:ty;)+) => {
        /// A family of entries: a key at the head of a file.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Family { $(#[doc = $key] $name),+ }

        impl Family {
            /// All families.
            pub const ALL: &'static [Family] = &[$(Family::$name),+];

            /// The key it stands under.
            pub fn key(self) -> &'static str {
                match self { $(Family::$name => $key),+ }
            }

            /// How its entries are written.
            pub fn shape(self) -> Shape {
                match self { $(Family::$name => Shape::$shape),+ }
            }

            /// Keys of one entry; none where entries are no tables.
            pub fn keys(self) -> &'static [&'static str] {
                match self { $(Family::$name => keys_of::<$type>()),+ }
            }

            /// Whether one entry (of a map: all of it) can be read.
            ///
            /// # Errors
            /// The first thing that is wrong with it, with its place.
            pub fn read(self, value: Spanned<DeValue<'_>>) -> Result<(), Error> {
                match self { $(Family::$name => <$type>::deserialize(ValueDeserializer::from(value)).map(|_| ())),+ }
            }
        }
    };
}

families! {
    Part = "part", Tables of Part;
    Condition = "condition", Tables of Saying<ConditionId>;
    Action = "action", Tables of Saying<ActionId>;
    Urgency = "urgency", Tables of Saying<UrgencyId>;
    Degree = "degree", Tables of Saying<DegreeId>;
    Sound = "sound", Tables of VerdictSaying;
    Unchecked = "unchecked", Tables of VerdictSaying;
    Inspect = "inspect", Tables of VerdictSaying;
    Serviced = "serviced", Tables of VerdictSaying;
    Place = "place", Tables of PlaceSaying;
    Cue = "cue", Tables of CueSaying;
    Unit = "unit", Tables of UnitSaying;
    Limit = "limit", Tables of Limit;
    Kind = "kind", Tables of PartKind;
    Head = "head", Tables of Head;
    Usual = "usual", Tables of Usual;
    TroubleCode = "trouble_code", Tables of TroubleCode;
    Matter = "matter", Tables of MatterEntry;
    Plain = "plain", Tables of PlainEntry;
    Zone = "zone", Tables of ZoneEntry;
    Outline = "outline", Tables of OutlineEntry;
    Checklist = "checklist", Tables of Checklist;
    Alike = "alike", Words of Vec<String>;
    Piece = "piece", Words of String;
    Common = "common", Words of String;
    PerWheel = "per_wheel", Words of String;
    NotPerWheel = "not_per_wheel", Words of String;
    RunningGear = "running_gear", Words of String;
    Sided = "sided", Words of String;
    MetricWords = "metric_words", Words of String;
    OdometerWords = "odometer_words", Words of String;
    SpanFiller = "span_filler", Words of String;
    PastBefore = "past_before", Words of String;
    PastBehind = "past_behind", Words of String;
    Spelling = "spelling", Map of BTreeMap<String, Vec<String>>;
    Singular = "singular", Map of BTreeMap<String, String>;
    Misheard = "misheard", Map of BTreeMap<String, Vec<String>>;
}

impl Family {
    /// The family that stands under a key.
    pub fn of(key: &str) -> Option<Family> {
        Family::ALL.iter().copied().find(|f| f.key() == key)
    }

    /// Every key that may stand at the head of a file.
    pub fn heads() -> &'static [&'static str] {
        keys_of::<LanguageFile>()
    }
}

impl Meaning {
    /// The family of the entries that say it.
    pub fn family(&self) -> Family {
        match self {
            Meaning::Part { .. } | Meaning::NotPart => Family::Part,
            Meaning::Head => Family::Head,
            Meaning::Place { .. } => Family::Place,
            Meaning::Condition { .. } => Family::Condition,
            Meaning::Sound { .. } | Meaning::Function { .. } => Family::Sound,
            Meaning::Unchecked { .. } => Family::Unchecked,
            Meaning::Inspect => Family::Inspect,
            Meaning::Serviced { .. } => Family::Serviced,
            Meaning::Action { .. } => Family::Action,
            Meaning::Urgency { .. } => Family::Urgency,
            Meaning::Degree { .. } => Family::Degree,
            Meaning::Cue(_) => Family::Cue,
        }
    }

    /// The id of the entry, where it is one that the program itself has.
    pub fn id(&self) -> Option<&'static str> {
        match self {
            Meaning::Condition { id, .. } => Some(id.as_str()),
            Meaning::Action { id, .. } => Some(id.as_str()),
            Meaning::Urgency { id, .. } => Some(id.as_str()),
            Meaning::Degree { id } => Some(id.as_str()),
            Meaning::Cue(id) => Some(id.as_str()),
            _ => None,
        }
    }
}

/// The keys that a type reads: asked of its own reading code, so that they stand written in one place.
fn keys_of<'de, T: Deserialize<'de>>() -> &'static [&'static str] {
    struct Ask<'k>(&'k mut &'static [&'static str]);
    impl<'de> de::Deserializer<'de> for Ask<'_> {
        type Error = de::value::Error;

        fn deserialize_struct<V: Visitor<'de>>(
            self,
            _: &'static str,
            fields: &'static [&'static str],
            _: V,
        ) -> Result<V::Value, Self::Error> {
            *self.0 = fields;
            Err(de::Error::custom("only asked"))
        }

        fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, Self::Error> {
            Err(de::Error::custom("no table"))
        }

        forward_to_deserialize_any! {
            bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct
            newtype_struct seq tuple tuple_struct map enum identifier ignored_any
        }
    }
    let mut keys: &'static [&'static str] = &[];
    let _ = T::deserialize(Ask(&mut keys));
    keys
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_of_a_file_is_a_family() {
        for key in Family::heads() {
            assert!(*key == "system" || Family::of(key).is_some(), "{key}");
        }
        assert_eq!(Family::heads().len(), Family::ALL.len() + 1);
        assert!(Family::Part.keys().contains(&"retire"));
        assert!(Family::Common.keys().is_empty());
    }
}
