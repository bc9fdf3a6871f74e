//! Owns the shapes of lexicon entries, as the TOML files have them, and the closed sets of ids.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::example::Example;
use super::guidance::{Checklist, MatterEntry, OutlineEntry, PlainEntry, ZoneEntry};
use crate::text::Unit;

macro_rules! ids {
    ($(#[$doc:meta])* $name:ident { $($(#[$v:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
        pub enum $name {
            $(#[doc = $word] $(#[$v])* #[serde(rename = $word)] $variant),+
        }
        impl $name {
            /// All of them, in the order of the contract.
            pub const ALL: &'static [$name] = &[$($name::$variant),+];
            /// The word that stands for it in every file.
            pub fn as_str(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }
        }
    };
}

ids! {
    /// What is wrong.
    ConditionId {
        Leak = "leak", Seep = "seep", Crack = "crack", Tear = "tear", Worn = "worn", Thin = "thin", Play = "play",
        Loose = "loose", Broken = "broken", Missing = "missing", Bent = "bent", Corrosion = "corrosion", Noise = "noise",
        Vibration = "vibration", Seized = "seized", Inoperative = "inoperative", Intermittent = "intermittent",
        Contaminated = "contaminated", Low = "low", Sagging = "sagging", Peeling = "peeling", Discolored = "discolored",
        UnevenWear = "uneven_wear", Chafed = "chafed", Swollen = "swollen", Blocked = "blocked", Misaligned = "misaligned",
        Damage = "damage", Burnt = "burnt", Weak = "weak", Code = "code", Overdue = "overdue", Smell = "smell",
        Moisture = "moisture",
    }
}
ids! {
    /// What is to be done.
    ActionId {
        Replace = "replace", Repair = "repair", Reseal = "reseal", Clean = "clean", Adjust = "adjust", Tighten = "tighten",
        TopUp = "top_up", Align = "align", Diagnose = "diagnose", Monitor = "monitor", Machine = "machine", Rotate = "rotate",
    }
}
ids! {
    /// How pressing a finding is, worst first.
    UrgencyId { Stop = "stop", Now = "now", Soon = "soon", Watch = "watch" }
}
ids! {
    /// How strongly a condition shows.
    DegreeId { Slight = "slight", Moderate = "moderate", Severe = "severe" }
}
ids! {
    /// What is said of a part.
    Verdict { Defect = "defect", Sound = "sound", Serviced = "serviced", Unchecked = "unchecked" }
}
ids! {
    /// One word of a place on the vehicle.
    Position {
        Front = "front", Rear = "rear", Left = "left", Right = "right", Upper = "upper", Lower = "lower", Inner = "inner",
        Outer = "outer", Center = "center",
    }
}
ids! {
    /// What a place phrase can say: positions, sides that depend on where the driver sits, what refers to a place said before, and
    /// words that only look like places.
    PlaceWord {
        Front = "front", Rear = "rear", Left = "left", Right = "right", Upper = "upper", Lower = "lower", Inner = "inner",
        Outer = "outer", Center = "center", Driver = "driver", Passenger = "passenger",
        #[doc = " — the end or side that was not spoken of last"] OtherSide = "other_side",
        #[doc = " — the corner that was spoken of last"] SameCorner = "same_corner",
        #[doc = " — the end that was spoken of last"] SameEnd = "same_end",
        #[doc = " — clears what was announced"] Anywhere = "anywhere",
        #[doc = " — the words are no place here"] Nowhere = "nowhere",
    }
}
ids! {
    /// Families of words that steer the reading of a clause. The judge sees each of them as a feature; those that no rule asks for
    /// besides (`no_negation`, `no_preposition`, `ordinal`, `new_topic`) keep shorter words inside them from being read.
    Cue {
        Negation = "negation", NoNegation = "no_negation", NegationEnd = "negation_end",
        General = "general", Specific = "specific", Hypothetical = "hypothetical", Hearsay = "hearsay",
        Withdraw = "withdraw", Amend = "amend", Noted = "noted", OtherVehicle = "other_vehicle", Except = "except",
        SameAgain = "same_again", OtherOne = "other_one",
        ThisOne = "this_one", Both = "both", AllOf = "all_of", RestOf = "rest_of", Summary = "summary", Landmark = "landmark",
        Within = "within", NoPreposition = "no_preposition", Join = "join", Limit = "limit", Ordinal = "ordinal",
        NewTopic = "new_topic",
        #[doc = " — asks for what is named behind it"] Want = "want", #[doc = " — a part to be fitted"] Fresh = "fresh",
        #[doc = " — behind a figure: it is a limit, not a reading"] LimitBehind = "limit_behind",
    }
}
ids! {
    /// Which vehicles a limit is for.
    VehicleClass { Light = "light", Heavy = "heavy" }
}
ids! {
    /// Whose limits are applied.
    Jurisdiction { Us = "us", Uk = "uk", Eu = "eu" }
}
ids! {
    /// On which side of the value the limit is passed.
    LimitSide { Below = "below", AtMost = "at_most", Above = "above" }
}

/// A part of the vehicle, a fluid, a whole system or a thing measured.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Stable id, lower case with hyphens.
    pub id: String,
    /// Trade name without place words.
    #[serde(default)]
    pub name: String,
    /// The system it belongs to; where it is left out, the one at the head of the file.
    #[serde(default)]
    pub system: String,
    /// Other names of the same part.
    #[serde(default)]
    pub also: Vec<String>,
    /// Abbreviations of typed notes.
    #[serde(default)]
    pub short: Vec<String>,
    /// Words that mean the part only while its system is spoken of.
    #[serde(default)]
    pub weak: Vec<String>,
    /// Places of parts that exist at one end only.
    #[serde(default)]
    pub usual: Vec<Position>,
    /// Longer everyday phrases that hold one of the names and are not this part.
    #[serde(default)]
    pub not: Vec<String>,
    /// In a shop's file: names that are this part's no more.
    #[serde(default)]
    pub drop: Vec<String>,
    /// In a shop's file: take this part out.
    #[serde(default)]
    pub retire: bool,
    /// Words as they may be said, and what they must come to; empty once the file is read.
    #[serde(default)]
    pub example: Vec<Example>,
}

/// Ways to say one condition, action, urgency or degree.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Saying<Id> {
    pub id: Id,
    /// For people who read the file.
    #[serde(default)]
    #[allow(dead_code)]
    pub name: String,
    #[serde(default)]
    pub verb: Vec<String>,
    #[serde(default)]
    pub say: Vec<String>,
    #[serde(default)]
    pub weak: Vec<String>,
    /// In a shop's file: ways that say it no more.
    #[serde(default)]
    pub drop: Vec<String>,
    #[serde(default)]
    #[allow(dead_code)]
    pub example: Vec<Example>,
}

/// Ways to say a verdict; `negated` is the condition that "not …" would mean.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct VerdictSaying {
    /// Words that say something only under a negation ("won't start").
    #[serde(default)]
    pub when_negated: Vec<String>,
    #[serde(default)]
    pub negated: Option<ConditionId>,
    #[serde(default)]
    pub verb: Vec<String>,
    #[serde(default)]
    pub say: Vec<String>,
    #[serde(default)]
    pub weak: Vec<String>,
    /// In a shop's file: ways that say it no more.
    #[serde(default)]
    pub drop: Vec<String>,
    #[serde(default)]
    #[allow(dead_code)]
    pub example: Vec<Example>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PlaceSaying {
    pub is: Vec<PlaceWord>,
    pub say: Vec<String>,
    /// Abbreviations that count only in typed notes.
    #[serde(default)]
    pub short: Vec<String>,
    #[serde(default)]
    #[allow(dead_code)]
    pub example: Vec<Example>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CueSaying {
    pub id: Cue,
    #[serde(default)]
    pub say: Vec<String>,
    /// In a shop's file: ways that say it no more.
    #[serde(default)]
    pub drop: Vec<String>,
    #[serde(default)]
    #[allow(dead_code)]
    pub example: Vec<Example>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct UnitSaying {
    pub unit: Unit,
    #[serde(default = "one")]
    pub factor: f64,
    #[serde(default)]
    pub say: Vec<String>,
    /// Plain words too: count only right behind digits.
    #[serde(default)]
    pub tight: Vec<String>,
}

fn one() -> f64 {
    1.0
}

/// A published limit.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Stable id, shown as the rule that was passed.
    pub id: String,
    /// Ids of the parts it is for.
    pub parts: Vec<String>,
    /// Unit of `value`; measurements in units of the same kind are converted.
    pub unit: Unit,
    /// The limit.
    pub value: f64,
    /// Which side fails.
    pub fails: LimitSide,
    /// Vehicles it is for.
    pub class: VehicleClass,
    /// Whose limit it is.
    pub jurisdiction: Jurisdiction,
    /// Only for parts at one of these places; empty: anywhere.
    #[serde(default)]
    pub at: Vec<Position>,
    /// Never for parts at one of these places.
    #[serde(default)]
    pub not_at: Vec<Position>,
    /// Urgency that a passed limit gives.
    pub urgency: UrgencyId,
    /// Where the figure was published.
    pub source: String,
}

/// What the kind of a part tells where words leave it open. Kinds are tried in order; each question takes the first answer.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartKind {
    /// Last words of the names of these parts.
    pub ends: Vec<String>,
    /// What is measured on them.
    #[serde(default)]
    pub figure: Vec<Figure>,
    /// The condition that unspecific words ("is finished", "needs a new one") most often mean.
    #[serde(default)]
    pub usual: Option<ConditionId>,
}

/// A figure that is taken on a kind of part.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// Its unit.
    pub unit: Unit,
    /// Smallest value that a figure without a unit may have to be taken for this one.
    pub from: f64,
    /// Largest value.
    pub to: f64,
    /// What a figure means on a part that is called bad.
    #[serde(default)]
    pub means: Option<ConditionId>,
    /// From here on a figure by itself tells that the part is bad: below it, or above it where [`Figure::fine`] is less.
    #[serde(default)]
    pub poor: Option<f64>,
    /// From here on a figure by itself tells that the part is fine.
    #[serde(default)]
    pub fine: Option<f64>,
}

/// Each key may stand in any file.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LanguageFile {
    /// The system of its parts.
    #[serde(default)]
    pub system: Option<String>,
    #[serde(default)]
    pub part: Vec<Part>,
    #[serde(default)]
    pub condition: Vec<Saying<ConditionId>>,
    #[serde(default)]
    pub action: Vec<Saying<ActionId>>,
    #[serde(default)]
    pub urgency: Vec<Saying<UrgencyId>>,
    #[serde(default)]
    pub degree: Vec<Saying<DegreeId>>,
    #[serde(default)]
    pub sound: Vec<VerdictSaying>,
    #[serde(default)]
    pub unchecked: Vec<VerdictSaying>,
    #[serde(default)]
    pub inspect: Vec<VerdictSaying>,
    #[serde(default)]
    pub serviced: Vec<VerdictSaying>,
    #[serde(default)]
    pub place: Vec<PlaceSaying>,
    #[serde(default)]
    pub cue: Vec<CueSaying>,
    #[serde(default)]
    pub unit: Vec<UnitSaying>,
    #[serde(default)]
    pub limit: Vec<Limit>,
    #[serde(default)]
    pub kind: Vec<PartKind>,
    #[serde(default)]
    pub head: Vec<Head>,
    #[serde(default)]
    pub alike: Vec<Vec<String>>,
    #[serde(default)]
    pub piece: Vec<String>,
    #[serde(default)]
    pub usual: Vec<Usual>,
    #[serde(default)]
    pub spelling: std::collections::BTreeMap<String, Vec<String>>,
    #[serde(default)]
    pub singular: std::collections::BTreeMap<String, String>,
    #[serde(default)]
    pub common: Vec<String>,
    #[serde(default)]
    pub misheard: std::collections::BTreeMap<String, Vec<String>>,
    #[serde(default)]
    pub per_wheel: Vec<String>,
    #[serde(default)]
    pub not_per_wheel: Vec<String>,
    #[serde(default)]
    pub metric_words: Vec<String>,
    #[serde(default)]
    pub odometer_words: Vec<String>,
    #[serde(default)]
    pub span_filler: Vec<String>,
    #[serde(default)]
    pub past_before: Vec<String>,
    #[serde(default)]
    pub past_behind: Vec<String>,
    #[serde(default)]
    pub running_gear: Vec<String>,
    #[serde(default)]
    pub sided: Vec<String>,
    #[serde(default)]
    pub trouble_code: Vec<TroubleCode>,
    #[serde(default)]
    pub matter: Vec<MatterEntry>,
    #[serde(default)]
    pub plain: Vec<PlainEntry>,
    #[serde(default)]
    pub zone: Vec<ZoneEntry>,
    #[serde(default)]
    pub outline: Vec<OutlineEntry>,
    #[serde(default)]
    pub checklist: Vec<Checklist>,
}

/// A trouble code and the part it points at.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TroubleCode {
    pub code: String,
    /// Id of the part.
    pub part: String,
    /// What the list says, for people.
    #[allow(dead_code)]
    pub means: String,
}

/// A noun that makes a part of its own when it stands behind another part ("compressor bracket").
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Head {
    pub say: Vec<String>,
}

/// What a bare word usually means, and which words around it say that another part is meant.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Usual {
    pub say: Vec<String>,
    /// Id of the part it means when nothing around it says otherwise.
    #[serde(default)]
    pub is: Option<String>,
    /// Words around it, by the id of the part they speak for.
    #[serde(default)]
    pub near: std::collections::BTreeMap<String, Vec<String>>,
}
