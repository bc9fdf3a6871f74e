//! Owns places that no part took: those that stand for a part ("the right one", "fronts at seven, rears at three"), those that
//! belong to the part named just before, and those that announce where the talk goes on.

use crate::lexicon::{Cue, PlaceWord, Position};
use crate::text::{Boundary, Kind};

use super::heading::is_copula;
use super::mention::{Builder, Mention, Naming};
use super::place::Place;

/// Place words of a clause that no part took and that say one place together.
#[derive(Default)]
struct Run {
    said: Place,
    words: Vec<(usize, usize)>,
    anywhere: bool,
    other: bool,
}

/// Words of a clause that says "same" and no more.
const SAME_WORDS: usize = 4;
/// Words in front of a place that leads its clause.
const LEADS: usize = 2;
/// Words a clause of nothing but a place may have besides.
const PLACE_FILLERS: usize = 2;

impl Builder<'_> {
    /// The places of a clause that no part took; one that clashes with those before it begins a run of its own.
    fn runs(&self, clause: usize) -> Vec<Run> {
        let r = self.reading;
        let cl = r.clauses[clause];
        let mut out: Vec<Run> = Vec::new();
        for n in self.places_in(cl.first, cl.end) {
            let p = &r.mentions.places[n];
            if self.place_used[n] {
                continue;
            }
            let list = &self.lexicon.places[p.place];
            let place = Place::from_words(list, self.drives_on);
            let apart =
                |run: &Run| place.is_some_and(|p0| run.said.clashes(p0)) && !self.joined_places(&run.words, p.first);
            if out.last().is_none_or(apart) {
                out.push(Run::default());
            }
            if let Some(run) = out.last_mut() {
                run.anywhere |= list.contains(&PlaceWord::Anywhere);
                run.other |= list.contains(&PlaceWord::OtherSide);
                run.said = place.map_or(run.said, |p| run.said.with(p));
                run.words.push((p.first, p.end));
            }
        }
        out
    }

    /// "Tires. Left front's eleven, right front six and feathered": a part at every wheel gone through place by place with a figure
    /// each. Whether that is what the clause does.
    fn gone_through(&mut self, clause: usize, named: bool) -> bool {
        let runs = self.runs(clause);
        let part = self.focus_before(clause);
        let Some(i) = part.filter(|i| self.per_wheel(self.scene.mentions[*i].component)) else { return false };
        let figured = |run: &Run| run.words.last().is_some_and(|w| self.figure_behind(w.1));
        let cl = self.reading.clauses[clause];
        // "Four at the front": the figure first
        let led = |run: &Run| !named && run.words.first().is_some_and(|w| self.figure_in(cl.first, w.0));
        let all =
            runs.iter().all(|run| !run.said.corner().is_empty() && (figured(run) || (runs.len() == 1 && led(run))));
        if runs.is_empty()
            || !all
            || runs.iter().all(|run| self.place_of(i).overridden_by(run.said) == self.place_of(i))
        {
            return false;
        }
        for run in runs {
            let place = self.moved_to(self.head_of_list(i), run.said);
            if run.words[0].0 == cl.first && run.said.end().is_single() && run.said.side().is_single() {
                self.announce(run.words[0].0, run.said, clause);
            }
            self.by_place(clause, self.head_of_list(i), place, run.words, Naming::ByPlace);
        }
        true
    }

    /// Whether the clause points at a thing that no entry of the lexicon names.
    fn names_something_unknown(&self, clause: usize) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        (cl.first + 1..cl.end).any(|t| {
            let tok = &r.tokens[t];
            matches!(r.tokens[t - 1].norm.as_str(), "the" | "a" | "an" | "your" | "his" | "her" | "that" | "this")
                && tok.kind == Kind::Word
                && !self.lexicon.common.contains(&tok.word)
                && !self.lexicon.common.contains(&tok.norm)
                && !self.points(t)
                && r.signals_in(t.saturating_sub(4), t + 1).iter().all(|s| s.end <= t)
                && r.measures_in(t, t + 1).is_empty()
                && r.mentions.parts.iter().all(|p| !(p.first <= t && t < p.end))
        })
    }

    /// Whether the last of the place words belongs to a noun that is no known part, or stands behind "by", "next to": "up by the
    /// front eye".
    fn tells_where(&self, clause: usize, words: &[(usize, usize)]) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        let Some(&(first, end)) = words.last() else { return false };
        let noun = r.tokens.get(end).filter(|t| {
            end < cl.end
                && t.kind == Kind::Word
                && !self.lexicon.common.contains(&t.word)
                && !matches!(t.norm.as_str(), "corner" | "wheel" | "end")
                && r.signals_in(end, end + 1).is_empty()
        });
        noun.is_some() || self.preposition(first, cl.first) == Some(Cue::Landmark)
    }

    fn place_of(&self, i: usize) -> Place {
        self.scene.mentions[i].place
    }

    /// Whether a figure stands right behind, or behind "is", "at", "has".
    pub(super) fn figure_behind(&self, end: usize) -> bool {
        let r = self.reading;
        let word = |t: usize| r.tokens.get(t).map_or("", |t| t.norm.as_str());
        let at =
            (end..end + 3).find(|&t| !(is_copula(word(t)) || matches!(word(t), "at" | "about" | "side" | "wheel")));
        at.is_some_and(|t| self.figure_in(t, t + 1))
    }

    /// Whether a figure begins among the tokens: with a unit, in digits, or more than the word "one".
    fn figure_in(&self, from: usize, to: usize) -> bool {
        let r = self.reading;
        let digits = |t: usize| matches!(r.tokens[t].kind, Kind::Number(_));
        r.measures_in(from, to).iter().any(|m| m.unit.is_some() || m.value > 1.0 || digits(m.first))
    }

    /// "Right front. Same.": all that was gone through since the corner before was announced holds here as well. Whether that is
    /// what the clause says.
    fn same_at_new_corner(&mut self, clause: usize) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        let words = (cl.first..cl.end).filter(|&t| r.tokens[t].is_wordlike()).count();
        let announced = &self.scene.announcements;
        let &[.., (before, old), (now, new)] = announced.as_slice() else { return false };
        let fresh =
            clause > 0 && r.clause_of[now] + 1 == clause && self.scene.mentions.last().is_some_and(|m| m.first < now);
        if words > SAME_WORDS || !fresh || old == new || !r.has_cue(cl.first, cl.end, Cue::SameAgain) {
            return false;
        }
        let mut seen = Vec::new();
        let from = self.scene.mentions.partition_point(|m| m.first < before);
        for i in from..self.scene.mentions.len() {
            let m = &self.scene.mentions[i];
            if m.preposition.is_none() && !seen.contains(&m.component) && m.place.clashes(new) {
                seen.push(m.component);
                let place = m.place.overridden_by(new);
                self.by_place(clause, i, place, vec![(cl.first, cl.end)], Naming::SameAgain);
            }
        }
        !seen.is_empty()
    }

    /// Places of the clause that no part took: an announcement, or a place standing for the part in focus.
    pub(super) fn places_alone(&mut self, clause: usize, named: bool) {
        if self.gone_through(clause, named) || self.same_at_new_corner(clause) {
            return;
        }
        // "the doohickey at the back is dripping": nobody knows what that is, but it is not the part in focus
        if !named && self.names_something_unknown(clause) {
            return;
        }
        let r = self.reading;
        let cl = r.clauses[clause];
        let mut said = Place::default();
        let mut words = Vec::new();
        let mut anywhere = false;
        let mut other = false;
        for run in self.runs(clause) {
            anywhere |= run.anywhere;
            other |= run.other;
            said = said.overridden_by(run.said);
            words.extend(run.words);
        }
        // "Right, the brakes": a filler, unless the left side was spoken of just before
        if words.first().is_some_and(|w| self.is_filler_right(w.0, w.1)) && said == Place::of(&[Position::Right]) {
            return;
        }
        if anywhere && !named && words.first().is_some_and(|w| w.0 <= cl.first + LEADS) {
            self.announce(cl.first, Place::default(), clause);
        }
        let same = r.has_cue(cl.first, cl.end, Cue::SameAgain);
        // "Other side." with parts named next: the talk moves across
        if !named && !same && other && said.is_empty() && self.next_sentence_names(clause) && !self.has_verdict(clause)
        {
            let short = (cl.first..cl.end).filter(|&t| r.tokens[t].is_wordlike()).count() <= 5;
            if short && let Some(across) = self.announced.other_side().filter(|p| !p.side().is_empty()) {
                self.announce(words[0].0, across, clause);
                return;
            }
        }
        let other_cue = r.has_cue(cl.first, cl.end, Cue::OtherOne);
        if (other || other_cue || (same && !said.is_empty()))
            && !self.names_subject(clause)
            && let Some(i) = self.twin_of(clause, said, other)
        {
            let f = &self.scene.mentions[i];
            let base = f.place;
            let place = if !said.is_empty() {
                Some(base.overridden_by(said))
            } else if other {
                base.other_side()
            } else {
                base.other_one()
            };
            let naming = if same || (other && !self.has_verdict(clause)) { Naming::SameAgain } else { Naming::ByPlace };
            if let Some(place) = place.filter(|p| *p != base) {
                self.by_place(clause, i, place, words, naming);
                return;
            }
        }
        if said.is_empty() {
            return;
        }
        if words.last().is_some_and(|w| self.bares_corner(w.1)) {
            self.announce(words[0].0, said, clause);
            return;
        }
        if named {
            // a place in front of a part in the next breath: "left front, tire is…"
            if words.first().is_some_and(|w| w.0 <= cl.first + 3) {
                self.announce(words[0].0, said, clause);
            }
            return;
        }
        let own_verdict = self.has_verdict(clause);
        let extra = (cl.first..cl.end)
            .filter(|&t| r.tokens[t].is_wordlike())
            .count()
            .saturating_sub(words.iter().map(|w| w.1 - w.0).sum());
        let only_place = extra <= 4;
        // "CV boot, outer" / "door mirror, offside": a place right behind a part with nothing said between is the part's
        let shown = r.tokens[cl.first..words[0].0].iter().any(|t| matches!(t.norm.as_str(), "that" | "this" | "here"));
        if let Some(i) =
            self.just_named(clause).filter(|_| !(shown && said.end().is_single() && said.side().is_single()))
            && only_place
            && !own_verdict
            && !self.scene.mentions[i].own.shares_axis(said)
            && !self.goes_through(i, clause, said)
            && (cl.before == Boundary::Weak || !self.next_sentence_names(clause))
        {
            let group: Vec<usize> =
                (0..=i).rev().take_while(|k| r.clause_of[self.scene.mentions[*k].first] + 2 > clause).collect();
            let m = &mut self.scene.mentions[*group.first().unwrap_or(&i)];
            m.own = m.own.with(said);
            m.place_words.extend(words);
            let at = r.clause_of[m.first];
            self.settle_place(i, at);
            let closes = r.clauses.get(clause + 1).is_none_or(|n| n.before >= Boundary::Middle);
            if closes && r.clauses[at].before >= Boundary::Strong && !said.corner().is_empty() {
                let place = self.scene.mentions[i].place;
                self.announce(self.scene.mentions[i].first, place, clause);
            }
            return;
        }
        let one_behind = words.last().is_some_and(|w| {
            r.tokens.get(w.1).is_some_and(|t| matches!(t.norm.as_str(), "one" | "'s" | "is" | "are" | "was" | "has"))
        });
        // "The hose is cracked, left front.": a place that closes the sentence is its part's
        if extra <= PLACE_FILLERS
            && cl.before == Boundary::Weak
            && r.clauses.get(clause + 1).is_none_or(|n| n.before >= Boundary::Middle)
            && let Some(i) = self.focus(clause)
            && self.scene.mentions[i].preposition.is_none()
            && r.sentence_of(self.scene.mentions[i].first) == cl.sentence
            && !self.scene.mentions[i].own.shares_axis(said)
        {
            let m = &mut self.scene.mentions[i];
            m.own = m.own.with(said);
            m.place_words.extend(words);
            let at = r.clause_of[m.first];
            self.settle_place(i, at);
            return;
        }
        // "Windshield? Chip, passenger side": a place on an axis nothing was said of yet is the focused part's own
        if let Some(i) = self.focus(clause)
            && own_verdict
            && !one_behind
            && !self.scene.mentions[i].place.shares_axis(said)
            && r.clauses[clause].sentence <= r.sentence_of(self.scene.mentions[i].first) + 1
        {
            let m = &mut self.scene.mentions[i];
            m.own = m.own.with(said);
            m.place = m.place.with(said);
            m.place_words.extend(words);
            return;
        }
        let counterpart = self.counterpart_of(clause, said).filter(|_| one_behind);
        if let Some(i) = counterpart.or_else(|| self.focus(clause)) {
            let f = &self.scene.mentions[i];
            let answers = cl.asks || (!self.next_sentence_names(clause) && self.next_clause_has_verdict(clause));
            // "Tires. Front two, seven thirty-seconds.": a part at every wheel is gone through wheel by wheel
            let part_of_it = f.place.shares_axis(said) || self.per_wheel(f.component);
            let refers = own_verdict || one_behind || (only_place && answers && part_of_it);
            if refers && f.place.overridden_by(said) != f.place {
                let i = self.head_of_list(i);
                let place = self.moved_to(i, said);
                // "Right front, outer's six": the talk has moved there
                let corner = said.end().is_single() && said.side().is_single();
                if words[0].0 == cl.first && corner && self.per_wheel(self.scene.mentions[i].component) {
                    self.announce(words[0].0, said, clause);
                }
                self.by_place(clause, i, place, words, Naming::ByPlace);
                return;
            }
        }
        if (only_place || !own_verdict) && !self.tells_where(clause, &words) {
            self.announce(words[0].0, said, clause);
        }
    }

    /// The last mention, where the clause before this one ends with it and says nothing of it.
    pub(super) fn just_named(&self, clause: usize) -> Option<usize> {
        let r = self.reading;
        let i = self.scene.mentions.len().checked_sub(1)?;
        let m = &self.scene.mentions[i];
        let c = r.clause_of[m.first];
        let silent = !(c..clause).any(|k| self.has_verdict(k));
        (m.naming == Naming::Named && c + 1 == clause && silent).then_some(i)
    }

    /// "Right," or "Right." at the head of a sentence: a filler, unless the other side was the last one announced.
    pub(super) fn is_filler_right(&self, first: usize, end: usize) -> bool {
        let r = self.reading;
        let cl = r.clauses[r.clause_of[first]];
        end == first + 1
            && r.tokens[first].norm == "right"
            && cl.first == first
            && cl.end == end
            && cl.before >= Boundary::Middle
            && !cl.asks
            && !self.announced.has(Position::Left)
            && !self.scene.mentions.iter().rev().take(2).any(|m| m.place.has(Position::Left))
    }

    /// The part the talk is about: the last mention that is no landmark.
    pub(super) fn focus(&self, clause: usize) -> Option<usize> {
        let r = self.reading;
        self.scene
            .mentions
            .iter()
            .enumerate()
            .rev()
            .take(6)
            .find(|(_, m)| m.preposition != Some(Cue::Landmark) && clause - r.clause_of[m.first] <= 8)
            .map(|(i, _)| i)
    }

    /// The part in focus before this clause.
    fn focus_before(&self, clause: usize) -> Option<usize> {
        let earlier = |m: &Mention| self.reading.clause_of[m.first] < clause;
        self.focus(clause).and_then(|_| {
            let all = self.scene.mentions.iter().enumerate().rev().filter(|(_, m)| earlier(m)).take(6);
            all.filter(|(_, m)| m.preposition.is_none() && clause - self.reading.clause_of[m.first] <= 8)
                .map(|(i, _)| i)
                .next()
        })
    }

    /// Adds a mention of the focused part that only a place names, in the order of the words.
    pub(super) fn by_place(
        &mut self,
        clause: usize,
        focus: usize,
        place: Place,
        words: Vec<(usize, usize)>,
        naming: Naming,
    ) {
        let cl = self.reading.clauses[clause];
        let (first, end) = words.first().copied().unwrap_or((cl.first, (cl.first + 1).min(cl.end)));
        let f = self.scene.mentions[focus].clone();
        let at = self.scene.mentions.partition_point(|m| m.first < first);
        let said = Mention {
            first,
            end,
            own: place,
            place,
            place_words: words,
            naming,
            preposition: None,
            plural: false,
            rest: false,
            copies: (naming == Naming::SameAgain).then_some(focus),
            withdrawn: false,
            counts_from: None,
            ..f
        };
        self.scene.mentions.insert(at, said);
    }
}
