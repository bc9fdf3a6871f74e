//! Owns the judge: a linear model over named features that says what a mention amounts to. Its weights are lexicon data.

use hashbrown::HashMap;

/// What a mention amounts to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Class {
    /// Something is wrong with it.
    Defect,
    /// It is fine.
    Sound,
    /// It was replaced or repaired before.
    Serviced,
    /// It could not be seen or tested.
    Unchecked,
    /// It is spoken of in general.
    General,
    /// It is only mentioned.
    Nothing,
}

impl Class {
    /// All, in the order of the weights' columns.
    pub const ALL: [Class; 6] =
        [Class::Defect, Class::Sound, Class::Serviced, Class::Unchecked, Class::General, Class::Nothing];

    /// Name in the weights file.
    pub fn as_str(self) -> &'static str {
        match self {
            Class::Defect => "defect",
            Class::Sound => "sound",
            Class::Serviced => "serviced",
            Class::Unchecked => "unchecked",
            Class::General => "general",
            Class::Nothing => "nothing",
        }
    }

    /// Whether it makes a finding.
    pub fn is_verdict(self) -> bool {
        !matches!(self, Class::General | Class::Nothing)
    }
}

/// One figure a class.
pub type Scores = [f64; 6];

/// The linear model.
#[derive(Debug, Clone, Default)]
pub struct Judge {
    weights: HashMap<String, Scores>,
}

impl Judge {
    /// Reads weights: a line a feature, tab-separated, name first, then a figure for each class in the order of [`Class::ALL`].
    /// Lines that start with `#` and lines that do not parse are passed over.
    pub fn parse(text: &str) -> Judge {
        let mut weights = HashMap::new();
        for line in text.lines().filter(|l| !l.starts_with('#')) {
            let mut cells = line.split('\t');
            let Some(name) = cells.next().filter(|n| !n.is_empty()) else { continue };
            let mut row: Scores = [0.0; 6];
            for (slot, cell) in row.iter_mut().zip(cells) {
                *slot = cell.parse().unwrap_or(0.0);
            }
            weights.insert(name.to_string(), row);
        }
        Judge { weights }
    }

    /// Sum of the weights for these features.
    pub fn scores(&self, features: &[String]) -> Scores {
        let mut out = [0.0; 6];
        for row in features.iter().filter_map(|f| self.weights.get(f)) {
            for (o, w) in out.iter_mut().zip(row) {
                *o += w;
            }
        }
        out
    }

    /// The share of verdicts of this probability that prove right, by the table the trainer measured; without a table the
    /// probability itself.
    pub fn calibrated(&self, probability: f64) -> f64 {
        let share = |bin: usize| self.weights.get(&format!("calibration={bin}")).map(|row| row[0]);
        // between the middles of two bins the share goes straight from one to the other
        let at = (probability * 10.0 - 0.5).clamp(0.0, 9.0);
        let (low, part) = (at.floor(), at.fract());
        match (share(low as usize), share((low as usize + 1).min(9))) {
            (Some(a), Some(b)) => a + (b - a) * part,
            _ => probability,
        }
    }

    /// The features that spoke most for `class`, heaviest first.
    pub fn reasons<'a>(&self, features: &'a [String], class: Class, most: usize) -> Vec<(&'a str, f64)> {
        let c = class as usize;
        let mut out: Vec<(&str, f64)> = features
            .iter()
            .filter_map(|f| {
                let row = self.weights.get(f)?;
                let mean = row.iter().sum::<f64>() / row.len() as f64;
                Some((f.as_str(), row[c] - mean))
            })
            .filter(|(_, w)| *w > 0.0)
            .collect();
        out.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(b.0)));
        out.truncate(most);
        out
    }
}

/// How far praise must be ahead of a fault to count: a defect called sound is the worst error.
const AHEAD: f64 = 0.5;

/// The class with the highest score; between praise and a fault nearly as likely, the fault.
pub fn best(scores: &Scores) -> Class {
    let top = Class::ALL.into_iter().max_by(|a, b| scores[*a as usize].total_cmp(&scores[*b as usize]));
    match top.unwrap_or(Class::Nothing) {
        Class::Sound if scores[Class::Defect as usize] + AHEAD > scores[Class::Sound as usize] => Class::Defect,
        class => class,
    }
}

/// Scores to probabilities.
pub fn softmax(scores: &Scores) -> Scores {
    let top = scores.iter().copied().fold(f64::MIN, f64::max);
    let mut out = scores.map(|s| (s - top).exp());
    let sum: f64 = out.iter().sum();
    out.iter_mut().for_each(|o| *o /= sum);
    out
}
