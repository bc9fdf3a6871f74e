//! Owns requests for a part: "needs a joint", "new wipers", "put a clutch on the ticket" ask to have it replaced.

use crate::lexicon::{ActionId, Cue};

use super::super::polarity::Says;
use super::super::reading::Reading;
use super::super::territory::{Stretch, Zone};

/// Words between the asking word and the end of a request that are looked at.
const REQUEST: usize = 5;

/// The words that ask for a new part, where the stretch holds some.
pub fn asked_for(r: &Reading, s: &Stretch) -> Option<(usize, usize)> {
    let said = r.signals_in(s.first, s.end);
    said.iter()
        .filter(|x| matches!(x.says, Says::Cue(Cue::Want | Cue::Fresh)))
        .find(|x| names_a_thing(r, s, x.end, x.says == Says::Cue(Cue::Want)) && is_plain(r, x.first, x.end))
        .map(|x| (x.first, x.end))
}

/// Whether a noun follows: behind "new" any word will do, behind "needs" an article or a count must lead to it.
fn names_a_thing(r: &Reading, s: &Stretch, from: usize, wants: bool) -> bool {
    let clause_end = r.clauses[r.clause_of[from - 1]].end;
    let led = (from..clause_end.min(from + REQUEST)).find(|k| !is_determiner(r, *k));
    // the part itself stands right behind the stretch in front of it
    if s.zone == Zone::Before && led.is_none_or(|k| k >= s.end) && from <= s.end {
        return true;
    }
    led.is_some_and(|k| k < clause_end && r.tokens[k].is_wordlike() && (!wants || k > from))
}

fn is_determiner(r: &Reading, k: usize) -> bool {
    let counted = r.measures_in(k, k + 1).iter().any(|m| m.unit.is_none());
    counted
        || matches!(
            r.tokens[k].norm.as_str(),
            "a" | "an" | "some" | "of" | "both" | "whole" | "complete" | "full" | "set" | "pair" | "and"
        )
        || r.has_cue(k, k + 1, Cue::Fresh)
        || r.mentions.places.binary_search_by(|p| p.first.cmp(&k)).is_ok()
}

/// Not denied, not said of work done before, not of other work ("needs a clean").
fn is_plain(r: &Reading, first: usize, end: usize) -> bool {
    let clause = r.clauses[r.clause_of[first]];
    let before = first.checked_sub(1).map_or("", |k| r.tokens[k].norm.as_str());
    let owned = [
        "has", "have", "got", "'s", "is", "are", "was", "like", "than", "as", "with", "'ve", "had", "one", "nothing",
        "almost", "nearly", "quite", "looks",
    ];
    let other_work = |a: ActionId| a != ActionId::Replace;
    !owned.contains(&before)
        && !r.has_cue(clause.first, first, Cue::Negation)
        && !r.signals_in(clause.first, clause.end).iter().any(|x| match x.says {
            Says::Serviced => !x.weak,
            Says::NoAction(_) => true,
            Says::Action(a) => other_work(a) && x.first >= first.saturating_sub(1) && x.first <= end + REQUEST,
            _ => false,
        })
}
