//! Owns alternatives: "the bushing or the whole arm" offers another repair and names no second fault.

use super::mention::{Mention, Naming, Scene};
use super::reading::Reading;

/// Tokens between the part and the other repair offered for it.
const APART: usize = 10;

/// For each mention, the earlier one it is offered instead of.
pub fn offered_instead(r: &Reading, scene: &Scene) -> Vec<Option<usize>> {
    let ms = &scene.mentions;
    (0..ms.len())
        .map(|k| {
            let i = k.checked_sub(1)?;
            is_alternative(r, &ms[i], &ms[k]).then_some(i)
        })
        .collect()
}

/// "… or the whole arm": an "or" in front of it, and a word that says all of it, between two parts of one sentence.
fn is_alternative(r: &Reading, a: &Mention, b: &Mention) -> bool {
    let near = b.first >= a.end && b.first - a.end <= APART && r.sentence_of(a.first) == r.sentence_of(b.first);
    if !near || b.naming != Naming::Named || a.component == b.component {
        return false;
    }
    let between = &r.tokens[a.end..b.first];
    let Some(or) = between.iter().rposition(|t| t.norm == "or") else { return false };
    between.len() - or <= 5
        && between[or..].iter().any(|t| matches!(t.norm.as_str(), "whole" | "complete" | "entire" | "full" | "just"))
}
