//! Owns merging: mentions of one part at one place become one finding, later words add to it.

use super::exception;
use super::judge::{Class, Scores, best, softmax};
use super::mention::{Mention, Naming, Scene};
use super::pieces;
use super::place::Place;
use super::reading::Reading;
use super::territory::Stretch;

/// Sentences within which a word on one of a pair goes with the word on the pair.
const SAME_TALK: usize = 3;

/// Tokens behind a place in which its figure begins.
const FIGURE_REACH: usize = 3;

/// Mentions that make one finding.
#[derive(Debug, Clone)]
pub struct Cluster {
    /// Indexes into the scene's mentions.
    pub mentions: Vec<usize>,
    /// Part.
    pub component: usize,
    /// Place known altogether.
    pub place: Place,
    /// Joint scores of all mentions that say something.
    pub scores: Scores,
    /// Stands apart from what was named before.
    rest: bool,
}

impl Cluster {
    /// The class with most behind it.
    pub fn class(&self) -> Class {
        best(&self.scores)
    }

    /// Probability of [`Cluster::class`].
    pub fn probability(&self) -> f64 {
        softmax(&self.scores)[self.class() as usize]
    }
}

/// Groups the mentions.
pub fn clusters(r: &Reading, scene: &Scene, territories: &[Vec<Stretch>], scores: &[Scores]) -> Vec<Cluster> {
    let mut out: Vec<Cluster> = Vec::new();
    for (i, m) in scene.mentions.iter().enumerate() {
        if m.withdrawn {
            continue;
        }
        let class = best(&scores[i]);
        let speaks = class.is_verdict();
        let homes = homes(r, scene, &out, m, class);
        if homes.is_empty() || (m.rest && speaks) {
            if speaks && !m.rest {
                narrow(r, scene, &mut out, m, class);
            }
            out.push(Cluster {
                mentions: vec![i],
                component: m.component,
                place: m.place,
                scores: scores[i],
                rest: m.rest,
            });
            continue;
        }
        for h in homes {
            let c = &mut out[h];
            c.mentions.push(i);
            let heading = speaks && !c.class().is_verdict();
            if heading || !c.place.differs(m.place) {
                c.place = c.place.overridden_by(m.place);
            }
            join(&mut c.scores, &scores[i]);
        }
    }
    pieces::join(r, scene, territories, join_breath(r, scene, out))
}

/// "Front hubs, the left one locks, the right one spins": what is said of one of a pair holds no longer for the pair as a whole.
fn narrow(r: &Reading, scene: &Scene, clusters: &mut [Cluster], m: &Mention, class: Class) {
    let here = r.sentence_of(m.first);
    for c in clusters.iter_mut().rev().take(6).filter(|c| c.component == m.component && !c.rest && c.class() != class) {
        let last = c.mentions.last().map_or(0, |i| r.sentence_of(scene.mentions[*i].first));
        if last + SAME_TALK >= here
            && let Some(rest) = c.place.without_half(m.place)
        {
            c.place = rest;
        }
    }
}

/// One part at places said in one breath with one verdict is one finding: clusters of one sentence that differ on one axis only.
fn join_breath(r: &Reading, scene: &Scene, clusters: Vec<Cluster>) -> Vec<Cluster> {
    let sentence = |c: &Cluster| c.mentions.first().map(|i| r.sentence_of(scene.mentions[*i].first));
    let named = |c: &Cluster| {
        c.mentions.first().map(|i| &scene.mentions[*i]).is_some_and(|m| m.naming == Naming::Named && !m.own.is_empty())
    };
    let figure = |c: &Cluster| {
        let m = &scene.mentions[*c.mentions.last()?];
        let first = r.measures_in(m.end, m.end + FIGURE_REACH).first()?;
        (m.naming == Naming::ByPlace).then_some((first.value, first.unit))
    };
    let mut out: Vec<Cluster> = Vec::new();
    for c in clusters {
        let twin = out.iter_mut().rev().take(4).find(|o| {
            // "LF tire 3/32 RF tire 8/32", "LF 3 RF 8": each named by itself, or with a figure of its own, stands by itself
            let apart =
                (named(o) && named(&c)) || (figure(o).is_some() && figure(&c).is_some() && figure(o) != figure(&c));
            o.component == c.component
                && !o.rest
                && !c.rest
                && !apart
                && o.class() == c.class()
                && c.class().is_verdict()
                && sentence(o) == sentence(&c)
                && o.place.differs_on(c.place) == 1
        });
        match twin {
            Some(o) => {
                o.place = o.place.with(c.place);
                o.mentions.extend(c.mentions);
            }
            None => out.push(c),
        }
    }
    out
}

/// A mention that says nothing of its own leaves the scores alone; one that speaks counts in full.
fn join(total: &mut Scores, add: &Scores) {
    let quiet = |s: &Scores| !best(s).is_verdict();
    if quiet(add) && !quiet(total) {
        return;
    }
    if quiet(total) && !quiet(add) {
        *total = *add;
        return;
    }
    // "All four tires ok. Tire has a cut": a fault said after praise stands
    if best(add) == Class::Defect && matches!(best(total), Class::Sound | Class::Serviced) {
        *total = *add;
        return;
    }
    let base = |s: &Scores| s[Class::Nothing as usize];
    let (a, b) = (base(total), base(add));
    for (t, x) in total.iter_mut().zip(add) {
        *t = (*t - a) + (*x - b);
    }
}

/// The clusters a mention belongs to: the same part at a place that does not exclude it.
fn homes(r: &Reading, scene: &Scene, clusters: &[Cluster], m: &Mention, class: Class) -> Vec<usize> {
    let mut fits: Vec<usize> = clusters
        .iter()
        .enumerate()
        .filter(|(_, c)| c.component == m.component && !c.rest && !c.place.clashes(m.place))
        .map(|(i, _)| i)
        .collect();
    if fits.is_empty() {
        return fits;
    }
    let exact: Vec<usize> = fits.iter().copied().filter(|i| clusters[*i].place == m.place).collect();
    if let Some(last) = exact.last() {
        return vec![*last];
    }
    // what is excepted from the rest is no part of it
    if exception::cue_before(r, m.from()).is_some() {
        return Vec::new();
    }
    // both sides after one side: the same verdict widens it, another one stands by itself
    fits.retain(|i| {
        let c = &clusters[*i];
        if !c.place.differs(m.place) {
            return true;
        }
        !class.is_verdict() || c.class() == class
    });
    let last_token = |i: usize| clusters[i].mentions.last().map_or(0, |k| scene.mentions[*k].first);
    let late = m.first as f64 > r.tokens.len() as f64 * 0.8;
    // "rear shocks soon" is said of both
    if !m.place.side().is_single() && m.plural && late {
        let defects: Vec<usize> = fits.iter().copied().filter(|i| clusters[*i].class() == Class::Defect).collect();
        if !defects.is_empty() {
            return defects;
        }
    }
    if late && let Some(d) = fits.iter().copied().rev().find(|i| clusters[*i].class() == Class::Defect) {
        return vec![d];
    }
    fits.into_iter().max_by_key(|i| last_token(*i)).into_iter().collect()
}
