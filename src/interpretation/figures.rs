//! Owns what the figures said of parts tell by themselves: that a part is bad, fine, or neither.

use crate::lexicon::PartKind;

use super::attributes::{PartNature, Telling, value_of};
use super::mention::{Mention, Scene};
use super::reading::Reading;
use super::territory::Stretch;

/// What the figure said of each mention tells by itself, where there is one.
pub fn tellings(
    r: &Reading,
    scene: &Scene,
    territories: &[Vec<Stretch>],
    kinds: &[PartKind],
    metric: bool,
) -> Vec<Option<Telling>> {
    scene
        .mentions
        .iter()
        .zip(territories)
        .map(|(m, territory)| of_mention(r, scene, m, territory, kinds, metric))
        .collect()
}

fn of_mention(
    r: &Reading,
    scene: &Scene,
    m: &Mention,
    territory: &[Stretch],
    kinds: &[PartKind],
    metric: bool,
) -> Option<Telling> {
    let mut near: Vec<&Stretch> = territory.iter().filter(|s| !r.measures_in(s.first, s.end).is_empty()).collect();
    near.first()?;
    // what stands behind the part is its figure rather than what stands before it
    near.sort_by_key(|s| (s.before_the_part(), s.first));
    let nature = PartNature::of(&scene.components[m.component].name, kinds);
    let mut figures = near.iter().flat_map(|s| r.measures_in(s.first, s.end));
    let (value, unit) = figures.find_map(|n| value_of(r, n, m, &nature, None, metric))?;
    nature.tells(unit, value)
}
