//! Owns what is being said: from words to findings. Knows nothing of input formats or output.
//!
//! reading (tokens, clauses, signals) → scene (mentions in context) → corrections → territories → alternatives → features → judge
//! → clusters → findings.

mod alternative;
mod attributes;
mod conclusion;
mod context;
mod correction;
mod exception;
mod features;
mod figures;
mod heading;
mod holder;
mod judge;
mod locate;
mod mention;
mod merge;
mod pieces;
mod place;
mod polarity;
mod reading;
mod recall;
mod resolve;
mod stand_in;
mod territory;
mod tone;
mod twin;
mod withdrawal;

pub use attributes::PartNature;
pub use conclusion::is_heavy_system;
pub use judge::{Class, Judge, Scores, best, softmax};
pub use mention::{Mention, Naming, Scene};
pub use place::{DrivesOn, Place};
pub use reading::Reading;

use crate::dictation::Dictation;
use crate::findings::Document;
use crate::lexicon::{Jurisdiction, Lexicon, VehicleClass};
use crate::matching::SoundIndex;
use territory::Stretch;

/// Settings of a reading.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// Which side of the road: decides where driver and passenger sit.
    pub drives_on: DrivesOn,
    /// Whose published limits figures are held against.
    pub jurisdiction: Jurisdiction,
    /// Kind of vehicle; `None` tells it from the parts spoken of.
    pub vehicle: Option<VehicleClass>,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings { drives_on: DrivesOn::Right, jurisdiction: Jurisdiction::Us, vehicle: None }
    }
}

/// Reads dictations with one lexicon; built once, shared.
#[derive(Debug)]
pub struct Interpreter {
    lexicon: Lexicon,
    sounds: SoundIndex,
    judge: Judge,
}

/// All that was understood of a dictation, before it is written down as a document.
#[derive(Debug)]
pub struct Analysis {
    /// Words, clauses, signals.
    pub reading: Reading,
    /// Mentions in context.
    pub scene: Scene,
    /// Named features of each mention.
    pub features: Vec<Vec<String>>,
    territories: Vec<Vec<Stretch>>,
    taken_back: Vec<correction::TakenBack>,
    withdrawn_numbers: Vec<(usize, usize)>,
    offered_instead: Vec<Option<usize>>,
    /// Whether millimetres and degrees Celsius go without saying.
    metric: bool,
}

impl Interpreter {
    /// An interpreter over this lexicon.
    pub fn new(lexicon: Lexicon) -> Interpreter {
        let sounds = SoundIndex::build(&lexicon);
        let judge = Judge::parse(&lexicon.weights);
        Interpreter { lexicon, sounds, judge }
    }

    /// The lexicon in use.
    pub fn lexicon(&self) -> &Lexicon {
        &self.lexicon
    }

    /// Names by sound and spelling.
    pub fn sounds(&self) -> &SoundIndex {
        &self.sounds
    }

    /// What a mention with these features amounts to.
    pub fn judged(&self, features: &[String]) -> Class {
        best(&self.judge.scores(features))
    }

    /// Everything up to the judge.
    pub fn analyse(&self, dictation: &Dictation, settings: Settings) -> Analysis {
        let mut reading = Reading::of(dictation, &self.lexicon, &self.sounds);
        let mut scene = mention::scene(&reading, &self.lexicon, settings.drives_on);
        let corrected = correction::apply(&reading, &mut scene, &self.lexicon, settings.drives_on);
        reading.give_units(&corrected.units);
        let (taken_back, withdrawn_numbers) = (corrected.taken, corrected.numbers);
        let territories = territory::territories(&reading, &scene);
        let offered_instead = alternative::offered_instead(&reading, &scene);
        let metric = settings.drives_on == DrivesOn::Left || reading.speaks_metric(&self.lexicon);
        let told = figures::Told { kinds: &self.lexicon.kinds, metric, withdrawn: &withdrawn_numbers };
        let figures = figures::tellings(&reading, &scene, &territories, &told);
        let features = features::features(&reading, &scene, &territories, &offered_instead, figures);
        Analysis { reading, scene, features, territories, taken_back, withdrawn_numbers, offered_instead, metric }
    }

    /// The findings document of a dictation.
    pub fn document(&self, dictation: &Dictation, settings: Settings) -> Document {
        let analysis = self.analyse(dictation, settings);
        conclusion::conclude(dictation, &analysis, self, settings)
    }
}
