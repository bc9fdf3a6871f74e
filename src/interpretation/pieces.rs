//! Owns parts named with a piece of them: "the hinge, its pin's climbing out" is one finding, not two with the same words.

use std::borrow::Borrow;

use super::judge::Class;
use super::mention::Scene;
use super::merge::Cluster;
use super::reading::Reading;
use super::territory::{Stretch, Zone};

/// Clusters looked back over for the whole of a piece.
const BACK: usize = 4;
/// Tokens between a part and its piece named in one breath.
const BREATH: usize = 16;

/// Joins a part with a piece of it where both carry one verdict and nothing was said of the part alone. A piece the lexicon
/// knows names the finding, one that was put together from the words goes into its part.
pub(super) fn join(r: &Reading, scene: &Scene, territories: &[Vec<Stretch>], clusters: Vec<Cluster>) -> Vec<Cluster> {
    let mut out: Vec<Cluster> = Vec::with_capacity(clusters.len());
    for c in clusters {
        let low = out.len().saturating_sub(BACK);
        let pair = (low..out.len()).rev().find(|&o| {
            let (whole, piece) = order(scene, &out[o], &c);
            out[o].class() == c.class()
                && matches!(c.class(), Class::Defect | Class::Unchecked | Class::Serviced)
                && is_piece(scene, whole, piece)
                && !whole.place.clashes(piece.place)
                && in_one_breath(r, scene, whole, piece)
                && nothing_alone(r, territories, whole, piece)
        });
        match pair {
            Some(o) => {
                let other = out.remove(o);
                out.insert(o, joined(scene, other, c));
            }
            None => out.push(c),
        }
    }
    out
}

/// The whole and the piece, by the length of their names.
fn order<C: Borrow<Cluster>>(scene: &Scene, a: C, b: C) -> (C, C) {
    let length = |c: &C| scene.components[c.borrow().component].name.len();
    if length(&a) <= length(&b) { (a, b) } else { (b, a) }
}

/// "door hinge" and "door hinge pin".
fn is_piece(scene: &Scene, whole: &Cluster, piece: &Cluster) -> bool {
    let (w, p) = (&scene.components[whole.component], &scene.components[piece.component]);
    let begins = |name: &str, with: &str| name.strip_prefix(with).is_some_and(|rest| rest.starts_with(' '));
    whole.component != piece.component
        && std::iter::once(&p.name)
            .chain(&p.aliases)
            .any(|n| begins(n, &w.name) || w.aliases.iter().any(|a| a.contains(' ') && begins(n, a)))
}

fn in_one_breath(r: &Reading, scene: &Scene, whole: &Cluster, piece: &Cluster) -> bool {
    let near = |a: usize, b: usize| {
        let (a, b) = (&scene.mentions[a], &scene.mentions[b]);
        let (first, second) = if a.first <= b.first { (a, b) } else { (b, a) };
        second.first.saturating_sub(first.end) <= BREATH
            && r.sentence_of(second.first) - r.sentence_of(first.first) <= 1
    };
    match (whole.mentions.first(), piece.mentions.first()) {
        (Some(&a), Some(&b)) => near(a, b),
        _ => false,
    }
}

/// Whether every firm word of fault said of the whole was said of the piece too.
fn nothing_alone(r: &Reading, territories: &[Vec<Stretch>], whole: &Cluster, piece: &Cluster) -> bool {
    let faults = |c: &Cluster| -> Vec<usize> {
        let stretches = c.mentions.iter().flat_map(|m| &territories[*m]).filter(|s| s.zone != Zone::Later);
        let said = stretches.flat_map(|s| r.signals_in(s.first, s.end));
        said.filter(|s| s.is_fault() && !s.weak).map(|s| s.first).collect()
    };
    let of_piece = faults(piece);
    faults(whole).iter().all(|f| of_piece.contains(f))
}

/// The one finding that a part and its piece make.
fn joined(scene: &Scene, a: Cluster, b: Cluster) -> Cluster {
    let (whole, piece) = order(scene, a, b);
    let named = scene.known[piece.component].is_some() && whole.mentions.len() == 1;
    let (mut kept, other) = if named { (piece, whole) } else { (whole, piece) };
    kept.place = other.place.overridden_by(kept.place);
    kept.mentions.extend(other.mentions);
    kept.mentions.sort_unstable();
    kept
}
