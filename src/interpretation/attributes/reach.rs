//! Owns how far a finding's attributes are looked for: work, urgency and figures are often said later than the verdict.

use super::super::mention::{Mention, Scene};
use super::super::reading::Reading;
use super::super::territory::{Stretch, Zone};

/// Tokens behind a mention in which work and urgency are still looked for.
const FAR: usize = 60;

/// The words behind a mention's territory up to the next part of which something is said.
pub fn beyond(r: &Reading, scene: &Scene, territories: &[Vec<Stretch>], speaks: &[bool], i: usize) -> Option<Stretch> {
    let m = &scene.mentions[i];
    let from = territories[i].iter().map(|s| s.end).filter(|e| *e >= m.end).max().unwrap_or(m.end);
    let mut to = r.tokens.len().min(m.end + FAR);
    let next = scene.mentions.iter().enumerate().skip(i + 1).take_while(|(_, n)| n.first < to).find(|(k, n)| {
        let other = n.component != m.component || n.place.differs(m.place);
        n.group != m.group && n.first >= m.end && speaks[*k] && !n.withdrawn && other
    });
    if let Some((k, n)) = next {
        // clauses that lead to the next part are its own
        to = to
            .min(territories[k].iter().map(|s| s.first).filter(|f| *f >= m.end).min().unwrap_or(n.first))
            .min(n.first);
    }
    if r.notes {
        let line = r.tokens[m.first].span.utterance;
        to = to.min((m.end..to).find(|k| r.tokens[*k].span.utterance != line).unwrap_or(to));
    } else if let Some((t, _)) = scene.announcements.get(scene.announcements.partition_point(|(t, _)| *t < m.end)) {
        to = to.min(r.clauses[r.clause_of[*t]].first);
    }
    (from < to).then_some(Stretch { zone: Zone::Later, first: from, end: to })
}

/// Whether the clause of a token is about another part than mention `i` and names that one itself: "rear shocks soon, and it stays
/// here until that tire is changed".
pub fn of_another(r: &Reading, scene: &Scene, speaks: &[bool], i: usize, token: usize) -> bool {
    let m = &scene.mentions[i];
    let clause = r.clause_of[token];
    let in_clause = |n: &Mention| r.clause_of[n.first] == clause;
    let from = scene.mentions.partition_point(|n| n.first < r.clauses[clause].first);
    !in_clause(m)
        && scene.mentions[from..]
            .iter()
            .zip(&speaks[from..])
            .take_while(|(n, _)| in_clause(n))
            .any(|(n, speaks)| *speaks && !n.withdrawn && n.group != m.group && n.component != m.component)
}
