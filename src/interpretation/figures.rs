//! Owns what the figures said of parts tell by themselves: that a part is bad, fine, or neither.

use crate::lexicon::PartKind;
use crate::text::Measure;

use super::attributes::{PartNature, Telling, value_of};
use super::mention::{Mention, Scene};
use super::reading::Reading;
use super::territory::Stretch;

/// What figures are read with.
pub struct Told<'a> {
    /// What is measured on which kind of part.
    pub kinds: &'a [PartKind],
    /// Whether millimetres and degrees Celsius go without saying.
    pub metric: bool,
    /// Figures that were taken back: first token and end.
    pub withdrawn: &'a [(usize, usize)],
}

/// What the figure said of each mention tells by itself, where there is one.
pub fn tellings(r: &Reading, scene: &Scene, territories: &[Vec<Stretch>], told: &Told) -> Vec<Option<Telling>> {
    scene.mentions.iter().zip(territories).map(|(m, territory)| of_mention(r, scene, m, territory, told)).collect()
}

fn of_mention(r: &Reading, scene: &Scene, m: &Mention, territory: &[Stretch], told: &Told) -> Option<Telling> {
    let mut near: Vec<&Stretch> = territory.iter().filter(|s| !r.measures_in(s.first, s.end).is_empty()).collect();
    near.first()?;
    // what stands behind the part is its figure rather than what stands before it
    near.sort_by_key(|s| (s.before_the_part(), s.first));
    let nature = PartNature::of(&scene.components[m.component].name, told.kinds);
    let stands = |n: &&Measure| !told.withdrawn.contains(&(n.first, n.end));
    let mut figures = near.iter().flat_map(|s| r.measures_in(s.first, s.end)).filter(stands);
    let (value, unit) = figures.find_map(|n| value_of(r, n, m, &nature, None, told.metric))?;
    nature.tells(unit, value)
}
