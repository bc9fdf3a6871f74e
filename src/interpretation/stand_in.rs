//! Owns places that no part took: those that stand for a part ("the right one", "fronts at seven, rears at three"), those that
//! belong to the part spoken of just before, and those that announce where the talk goes on.

use crate::lexicon::{Cue, PlaceWord, Position};
use crate::text::{Boundary, Kind};

use super::exception;
use super::heading::is_copula;
use super::mention::{Builder, Mention, Naming, is_determiner};
use super::place::Place;

/// Place words of a clause that no part took and that say one place together.
#[derive(Default)]
struct Run {
    said: Place,
    words: Vec<(usize, usize)>,
    anywhere: bool,
    other: bool,
}

impl Run {
    /// Whether one corner is named, end and side.
    fn is_corner(&self) -> bool {
        self.said.end().is_single() && self.said.side().is_single()
    }
}

/// Words of a clause that says "same" and no more.
const SAME_WORDS: usize = 4;
/// Words of a clause that moves the talk across and says no more.
const ACROSS_WORDS: usize = 5;
/// Tokens in front of a place that leads its clause.
const LEADS: usize = 2;
/// Tokens in front of a place that is announced before a part of the same clause.
const LEADS_TO_PART: usize = 3;
/// Words a clause of nothing but a place may have besides: behind a predicate, and standing by itself.
const PLACE_FILLERS: usize = 2;
const PLACE_ALONE: usize = 4;
/// Mentions and clauses looked back over for the part in focus.
const FOCUS_MENTIONS: usize = 6;
const FOCUS_REACH: usize = 8;

impl Builder<'_> {
    /// Places of the clause that no part took. What they may mean is tried in turn; the first that fits counts.
    pub(super) fn places_alone(&mut self, clause: usize, named: bool) {
        let runs = self.runs(clause);
        if self.gone_through(clause, &runs, named) || self.excepted(clause, &runs) || self.same_at_new_corner(clause) {
            return;
        }
        // "the doohickey at the back is dripping": nobody knows what that is, but it is not the part in focus
        if !named && self.names_something_unknown(clause, &runs) {
            return;
        }
        let place = together(runs);
        // "Right, the brakes": a filler, unless the left side was spoken of just before
        let filler = place.words.first().is_some_and(|w| self.is_filler_right(w.0, w.1));
        if filler && place.said == Place::of(&[Position::Right]) {
            return;
        }
        if self.moves_across(clause, &place, named) || self.is_other_one(clause, &place) || place.said.is_empty() {
            return;
        }
        if place.words.last().is_some_and(|w| self.bares_corner(w.1)) {
            self.announce(place.words[0].0, place.said, clause);
            return;
        }
        if named {
            // a place in front of a part in the next breath: "left front, tire is…"
            if place.words[0].0 <= self.reading.clauses[clause].first + LEADS_TO_PART {
                self.announce(place.words[0].0, place.said, clause);
            }
            return;
        }
        let taken = self.completes_last_part(clause, &place)
            || self.closes_sentence(clause, &place)
            || self.adds_to_focus(clause, &place)
            || self.stands_for_part(clause, &place);
        let alone = self.words_besides(clause, &place) <= PLACE_ALONE || !self.has_verdict(clause);
        if !taken && alone && !self.tells_where(clause, &place) {
            self.announce(place.words[0].0, place.said, clause);
        }
    }

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
    fn gone_through(&mut self, clause: usize, runs: &[Run], named: bool) -> bool {
        let Some(from) = runs.first().map(|run| run.words[0].0) else { return false };
        let part = self.last_spoken_of(clause, |_, m| m.preposition.is_none() && m.end <= from);
        let Some(i) = part.filter(|i| self.per_wheel(self.scene.mentions[*i].component)) else { return false };
        let first = self.reading.clauses[clause].first;
        let figured = |s: &Self, run: &Run| run.words.last().is_some_and(|w| s.figure_behind(w.1));
        // "Four at the front": the figure first
        let led = |run: &Run| !named && runs.len() == 1 && self.figure_in(first, run.words[0].0);
        let all = runs.iter().all(|run| !run.said.corner().is_empty() && (figured(self, run) || led(run)));
        let place = self.scene.mentions[i].place;
        let elsewhere = runs.iter().any(|run| place.overridden_by(run.said) != place);
        if !all || !elsewhere {
            return false;
        }
        for run in runs {
            let i = self.head_of_list(i);
            let place = self.moved_to(i, run.said);
            if run.words[0].0 == first && run.is_corner() {
                self.announce(run.words[0].0, run.said, clause);
            }
            let at = self.by_place(clause, i, place, run.words.clone(), Naming::ByPlace);
            // the figure in front is the place's before
            self.scene.mentions[at].counts_from = figured(self, run).then_some(run.words[0].0);
        }
        true
    }

    /// "All tires good except the left rear": a place behind an exception stands for one of the parts spoken of. Whether that is what
    /// the clause says.
    fn excepted(&mut self, clause: usize, runs: &[Run]) -> bool {
        let [run] = runs else { return false };
        let at = run.words[0].0;
        let Some(cue) = exception::cue_before(self.reading, at).filter(|_| !run.said.is_empty()) else { return false };
        let Some(i) = self.focus(clause).filter(|i| self.scene.mentions[*i].end <= cue) else { return false };
        let place = self.moved_to(i, run.said);
        self.by_place(clause, i, place, run.words.clone(), Naming::ByPlace);
        true
    }

    /// "Right front. Same.": all that was gone through since the corner before was announced holds here as well. Whether that is
    /// what the clause says.
    fn same_at_new_corner(&mut self, clause: usize) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        let &[.., (before, old), (now, new)] = self.scene.announcements.as_slice() else { return false };
        let fresh =
            clause > 0 && r.clause_of[now] + 1 == clause && self.scene.mentions.last().is_some_and(|m| m.first < now);
        let bare = r.phrase(cl.first, cl.end) == "same";
        let same = bare || (self.words_in(clause) <= SAME_WORDS && r.has_cue(cl.first, cl.end, Cue::SameAgain));
        if !same || !fresh || old == new {
            return false;
        }
        let mut seen = Vec::new();
        let from = self.scene.mentions.partition_point(|m| m.first < before);
        for i in from..self.scene.mentions.len() {
            let m = &self.scene.mentions[i];
            if m.preposition.is_none() && !seen.contains(&m.component) && m.place.clashes(new) {
                seen.push(m.component);
                let place = m.place.overridden_by(new);
                self.by_place(clause, i, place, Vec::new(), Naming::SameAgain);
            }
        }
        !seen.is_empty()
    }

    /// Whether the clause points at a thing that no entry of the lexicon names; what stands behind a place that is the subject ("the
    /// left's a lighthouse") is said of it.
    fn names_something_unknown(&self, clause: usize, runs: &[Run]) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        let subject = runs.iter().find(|run| self.is_subject(run)).and_then(|run| run.words.last()).map(|w| w.0);
        (cl.first + 1..subject.unwrap_or(cl.end)).any(|t| {
            let parts = &r.mentions.parts;
            let part = parts.get(parts.partition_point(|p| p.end <= t)).is_some_and(|p| p.first <= t);
            let before = r.tokens[t - 1].norm.as_str();
            is_determiner(before)
                && before != "both"
                && self.is_unknown(t)
                // "the slides"
                && !self.lexicon.common.contains(&r.tokens[t].norm)
                && !part
                && !self.points(t)
                && r.signals_in(t.saturating_sub(LEADS * 2), t).iter().all(|s| s.end <= t)
                && r.measures_in(t, t + 1).is_empty()
        })
    }

    /// Whether a token is a word that is neither plain English nor the start of a signal.
    fn is_unknown(&self, t: usize) -> bool {
        let r = self.reading;
        let token = &r.tokens[t];
        token.kind == Kind::Word && !self.lexicon.common.contains(&token.word) && r.signals_in(t, t + 1).is_empty()
    }

    /// "Up top", "Other side." with parts named next: the talk moves. Whether nothing more is said.
    fn moves_across(&mut self, clause: usize, place: &Run, named: bool) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        if place.anywhere && !named && place.words.first().is_some_and(|w| w.0 <= cl.first + LEADS) {
            self.announce(cl.first, Place::default(), clause);
        }
        let across = !named
            && place.other
            && place.said.is_empty()
            && !r.has_cue(cl.first, cl.end, Cue::SameAgain)
            && self.words_in(clause) <= ACROSS_WORDS
            && self.next_sentence_names(clause)
            && !self.has_verdict(clause);
        match self.announced.other_side().filter(|p| across && !p.side().is_empty()) {
            Some(to) => {
                self.announce(place.words[0].0, to, clause);
                true
            }
            None => false,
        }
    }

    /// "The other one", "same on the other side". Whether such a part is meant.
    fn is_other_one(&mut self, clause: usize, place: &Run) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        let same = r.has_cue(cl.first, cl.end, Cue::SameAgain);
        let said = place.said;
        let speaks = place.other || r.has_cue(cl.first, cl.end, Cue::OtherOne) || (same && !said.is_empty());
        if !speaks || self.names_subject(clause) {
            return false;
        }
        let Some(i) = self.twin_of(clause, said, place.other) else { return false };
        let base = self.scene.mentions[i].place;
        let meant = if !said.is_empty() {
            Some(base.overridden_by(said))
        } else if place.other {
            base.other_side()
        } else {
            base.other_one()
        };
        let Some(meant) = meant.filter(|p| *p != base) else { return false };
        let copies = same || (place.other && !self.has_verdict(clause));
        let naming = if copies { Naming::SameAgain } else { Naming::ByPlace };
        self.by_place(clause, i, meant, place.words.clone(), naming);
        true
    }

    /// "CV boot, outer" / "door mirror, offside": a place right behind a part with nothing said between is the part's.
    fn completes_last_part(&mut self, clause: usize, place: &Run) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        let points = |t: usize| matches!(r.tokens[t].norm.as_str(), "that" | "this" | "here");
        // "that's the left front": shown, not added
        let shown = place.is_corner() && (cl.first..place.words[0].0).any(points);
        let Some(i) = self.just_named(clause).filter(|_| !shown) else { return false };
        let fits = self.words_besides(clause, place) <= PLACE_ALONE
            && !self.has_verdict(clause)
            && !self.scene.mentions[i].own.shares_axis(place.said)
            && !self.goes_through(i, clause, place.said)
            && (cl.before == Boundary::Weak || !self.next_sentence_names(clause));
        if !fits {
            return false;
        }
        let named_here = |k: &usize| r.clause_of[self.scene.mentions[*k].first] + 2 > clause;
        let head = (0..=i).rev().take_while(named_here).next().unwrap_or(i);
        self.give_place(head, place);
        let at = r.clause_of[self.scene.mentions[head].first];
        self.settle_place(i, at);
        if self.closes(clause) && r.clauses[at].before >= Boundary::Strong && !place.said.corner().is_empty() {
            let m = &self.scene.mentions[i];
            self.announce(m.first, m.place, clause);
        }
        true
    }

    /// "The hose is cracked, left front.": a place that closes the sentence is its part's.
    fn closes_sentence(&mut self, clause: usize, place: &Run) -> bool {
        let r = self.reading;
        let cl = r.clauses[clause];
        let Some(i) = self.focus(clause) else { return false };
        let m = &self.scene.mentions[i];
        let fits = self.words_besides(clause, place) <= PLACE_FILLERS
            && cl.before == Boundary::Weak
            && self.closes(clause)
            && m.preposition.is_none()
            && r.sentence_of(m.first) == cl.sentence
            && !m.own.shares_axis(place.said);
        if fits {
            let at = r.clause_of[m.first];
            self.give_place(i, place);
            self.settle_place(i, at);
        }
        fits
    }

    /// "Windshield? Chip, passenger side": a place on an axis nothing was said of yet is the focused part's own.
    fn adds_to_focus(&mut self, clause: usize, place: &Run) -> bool {
        let r = self.reading;
        let Some(i) = self.focus(clause) else { return false };
        let m = &self.scene.mentions[i];
        let fits = self.has_verdict(clause)
            && !self.is_subject(place)
            && !m.place.shares_axis(place.said)
            && r.clauses[clause].sentence <= r.sentence_of(m.first) + 1;
        if fits {
            self.give_place(i, place);
            let m = &mut self.scene.mentions[i];
            m.place = m.place.with(place.said);
        }
        fits
    }

    /// "The left one's dry", "front two, seven": the place stands for the part in focus.
    fn stands_for_part(&mut self, clause: usize, place: &Run) -> bool {
        let cl = self.reading.clauses[clause];
        let subject = self.is_subject(place);
        let counterpart = self.counterpart_of(clause, place.said).filter(|_| subject);
        let Some(i) = counterpart.or_else(|| self.focus(clause)) else { return false };
        let m = &self.scene.mentions[i];
        let answers = cl.asks || (!self.next_sentence_names(clause) && self.next_clause_has_verdict(clause));
        // "Tires. Front two, seven thirty-seconds.": a part at every wheel is gone through wheel by wheel
        let part_of_it = m.place.shares_axis(place.said) || self.per_wheel(m.component);
        let only_place = self.words_besides(clause, place) <= PLACE_ALONE;
        let refers = self.has_verdict(clause) || subject || (only_place && answers && part_of_it);
        if !refers || m.place.overridden_by(place.said) == m.place {
            return false;
        }
        let i = self.head_of_list(i);
        let moved = self.moved_to(i, place.said);
        // "Right front, outer's six": the talk has moved there
        if place.words[0].0 == cl.first && place.is_corner() && self.per_wheel(self.scene.mentions[i].component) {
            self.announce(place.words[0].0, place.said, clause);
        }
        self.by_place(clause, i, moved, place.words.clone(), Naming::ByPlace);
        true
    }

    /// Whether the last of the place words belongs to a noun that is no known part, or stands behind "by", "next to": "up by the
    /// front eye".
    fn tells_where(&self, clause: usize, place: &Run) -> bool {
        let cl = self.reading.clauses[clause];
        let Some(&(first, end)) = place.words.last() else { return false };
        let word = |t: usize| self.reading.tokens[t].norm.as_str();
        let noun = end < cl.end && self.is_unknown(end) && !matches!(word(end), "corner" | "wheel" | "end");
        noun || self.preposition(first, cl.first) == Some(Cue::Landmark)
    }

    /// Whether "one" or a verb stands right behind the place: "the left one", "left is".
    fn is_subject(&self, place: &Run) -> bool {
        let behind = place.words.last().and_then(|w| self.reading.tokens.get(w.1));
        behind.is_some_and(|t| t.norm == "one" || is_copula(&t.norm))
    }

    fn give_place(&mut self, i: usize, place: &Run) {
        let m = &mut self.scene.mentions[i];
        m.own = m.own.with(place.said);
        m.place_words.extend(&place.words);
    }

    fn words_in(&self, clause: usize) -> usize {
        let cl = self.reading.clauses[clause];
        (cl.first..cl.end).filter(|&t| self.reading.tokens[t].is_wordlike()).count()
    }

    fn words_besides(&self, clause: usize, place: &Run) -> usize {
        self.words_in(clause).saturating_sub(place.words.iter().map(|w| w.1 - w.0).sum())
    }

    /// Whether the sentence ends with the clause.
    pub(super) fn closes(&self, clause: usize) -> bool {
        self.reading.clauses.get(clause + 1).is_none_or(|n| n.before >= Boundary::Middle)
    }

    /// "pads LF 3 RF 1": whether several places among the tokens have a figure each.
    pub(super) fn figures_by_place(&self, from: usize, to: usize) -> bool {
        self.places_in(from, to).filter(|n| self.figure_behind(self.reading.mentions.places[*n].end)).count() > 1
    }

    /// Whether a figure stands right behind, or behind "is", "at", "has".
    pub(super) fn figure_behind(&self, end: usize) -> bool {
        let word = |t: usize| self.reading.tokens.get(t).map_or("", |t| t.norm.as_str());
        let skip = |t: usize| is_copula(word(t)) || matches!(word(t), "at" | "about" | "side" | "wheel");
        (end..end + 3).find(|&t| !skip(t)).is_some_and(|t| self.figure_in(t, t + 1))
    }

    /// Whether a figure begins among the tokens: with a unit, in digits, or more than the word "one".
    fn figure_in(&self, from: usize, to: usize) -> bool {
        let r = self.reading;
        let digits = |t: usize| matches!(r.tokens[t].kind, Kind::Number(_));
        r.measures_in(from, to).iter().any(|m| m.unit.is_some() || m.value > 1.0 || digits(m.first))
    }

    /// The last mention, where the clause before this one ends with it and says nothing of it.
    fn just_named(&self, clause: usize) -> Option<usize> {
        let r = self.reading;
        let i = self.scene.mentions.len().checked_sub(1)?;
        let m = &self.scene.mentions[i];
        let c = r.clause_of[m.first];
        let silent = !(c..clause).any(|k| self.has_verdict(k));
        (m.naming == Naming::Named && c + 1 == clause && silent).then_some(i)
    }

    /// "Right," or "Right." at the head of a sentence: a filler, unless the other side was the last one announced.
    fn is_filler_right(&self, first: usize, end: usize) -> bool {
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
    fn focus(&self, clause: usize) -> Option<usize> {
        self.last_spoken_of(clause, |_, m| m.preposition != Some(Cue::Landmark))
    }

    /// The last of the mentions just before that is of this kind.
    fn last_spoken_of(&self, clause: usize, kind: impl Fn(&Self, &Mention) -> bool) -> Option<usize> {
        let near = self.scene.mentions.iter().enumerate().rev().take(FOCUS_MENTIONS);
        let mut near = near.filter(|(_, m)| clause - self.reading.clause_of[m.first] <= FOCUS_REACH);
        near.find(|(_, m)| kind(self, m)).map(|(i, _)| i)
    }

    /// Adds a mention of the focused part that only a place, or "same", names, in the order of the words.
    /// Gives its index.
    fn by_place(
        &mut self,
        clause: usize,
        focus: usize,
        place: Place,
        words: Vec<(usize, usize)>,
        naming: Naming,
    ) -> usize {
        let cl = self.reading.clauses[clause];
        let (first, end) = words.first().copied().unwrap_or((cl.first, (cl.first + 1).min(cl.end)));
        let f = self.scene.mentions[focus].clone();
        let at = self.scene.mentions.partition_point(|m| m.first <= first);
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
        at
    }
}

/// All places of a clause as one; a later one that clashes wins.
fn together(runs: Vec<Run>) -> Run {
    runs.into_iter().fold(Run::default(), |mut all, run| {
        all.anywhere |= run.anywhere;
        all.other |= run.other;
        all.said = all.said.overridden_by(run.said);
        all.words.extend(run.words);
        all
    })
}
