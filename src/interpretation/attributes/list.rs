//! Owns urgency said once for a list of parts: "today: the tire and the belt", "rotor, joint and shaft go on the same ticket".

use crate::lexicon::UrgencyId;

use super::super::mention::Scene;
use super::super::polarity::Says;
use super::super::reading::Reading;

/// Tokens of a sentence that names no part and only tells when ("Today.").
const AFTERTHOUGHT: usize = 10;

/// The urgency each mention takes from the list it stands in: words behind the urgency when it leads, else words in front of it.
pub fn urgencies(r: &Reading, scene: &Scene) -> Vec<Option<UrgencyId>> {
    let mut out = vec![None; scene.mentions.len()];
    let sentence = |token: usize| r.sentence_of(token);
    let mut from = 0;
    while from < scene.mentions.len() {
        let home = sentence(scene.mentions[from].first);
        let len = scene.mentions[from..].iter().take_while(|m| sentence(m.first) == home).count();
        let members = from..from + len;
        from = members.end;
        let next = scene.mentions.get(members.end).map_or(r.tokens.len(), |m| m.first);
        let (first, end) = bounds(r, scene.mentions[members.start].first, next);
        let said = r.signals_in(first, end);
        let judged =
            said.iter().any(|s| !s.weak && matches!(s.says, Says::Defect(_) | Says::Sound { .. } | Says::Unchecked));
        let times: Vec<(usize, UrgencyId)> = said
            .iter()
            .filter_map(|s| match s.says {
                Says::Urgency(u) if !s.weak => Some((s.first, u)),
                _ => None,
            })
            .collect();
        if judged || len < 2 || times.is_empty() {
            continue;
        }
        let leads = times[0].0 < scene.mentions[members.start].first;
        for k in members {
            let at = scene.mentions[k].first;
            let split = times.partition_point(|t| t.0 < at);
            let time = if leads { split.checked_sub(1).map(|n| times[n]) } else { times.get(split).copied() };
            out[k] = time.map(|t| t.1);
        }
    }
    out
}

/// The sentence of a token, with a short one behind it that names no part.
fn bounds(r: &Reading, token: usize, next_mention: usize) -> (usize, usize) {
    let home = r.sentence_of(token);
    let here = r.clause_of[token];
    let start = (0..=here).rev().take_while(|c| r.clauses[*c].sentence == home).last().unwrap_or(here);
    let mut last = here;
    while r.clauses.get(last + 1).is_some_and(|c| c.sentence == home) {
        last += 1;
    }
    let mut end = r.clauses[last].end;
    let own = last;
    while let Some(c) = r.clauses.get(last + 1) {
        let short = c.sentence == home + 1 && c.end <= next_mention && c.end <= r.clauses[own].end + AFTERTHOUGHT + 1;
        if !short || r.notes {
            break;
        }
        end = c.end;
        last += 1;
    }
    (r.clauses[start].first, end)
}
