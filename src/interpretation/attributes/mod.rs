//! Owns what a finding carries besides its verdict: conditions, actions, urgency, measurements.

mod figure;
mod kind;
mod list;
mod reach;
mod request;

use crate::findings::{Condition, Measurement, Role};
use crate::lexicon::{ActionId, ConditionId, DegreeId, UrgencyId};

use super::features::{GENERAL, mood};
use super::mention::{Mention, Scene};
use super::polarity::{Says, Signal};
use super::reading::Reading;
use super::territory::{Stretch, Zone};

pub use figure::value_of;
pub use kind::{PartNature, Telling};
pub use list::urgencies;

/// Where attributes are taken from.
#[derive(Debug)]
pub struct Ground<'a> {
    /// The words.
    pub reading: &'a Reading,
    /// The mentions.
    pub scene: &'a Scene,
    /// Territory of each mention.
    pub territories: &'a [Vec<Stretch>],
    /// Whether each mention amounts to a finding.
    pub speaks: &'a [bool],
    /// Urgency each mention takes from the list it stands in.
    pub listed: &'a [Option<UrgencyId>],
    /// Figures that were taken back.
    pub withdrawn_numbers: &'a [(usize, usize)],
    /// Whether millimetres and degrees Celsius go without saying.
    pub metric: bool,
}

/// Attributes gathered from the territories of a finding's mentions.
#[derive(Debug, Default)]
pub struct Attributes<'a> {
    /// What is wrong, nearest first.
    pub conditions: Vec<Condition>,
    /// What is to be done.
    pub actions: Vec<ActionId>,
    /// How pressing.
    pub urgency: Option<UrgencyId>,
    /// What was measured.
    pub measurements: Vec<Measurement>,
    /// Tokens behind each: first, end, role.
    pub words: Vec<(usize, usize, Role)>,
    /// A condition that nobody named, taken from the figure, the work or the kind of part.
    pub inferred: Option<ConditionId>,
    kind: PartNature<'a>,
    /// Whether something is wrong or suspected, so that faults and work may be taken.
    faulty: bool,
    /// Distance of each condition from its part.
    seen: Vec<(ConditionId, usize)>,
    hinted_actions: Vec<ActionId>,
    hinted_urgency: Option<UrgencyId>,
    has_code: bool,
}

/// Most conditions kept for one finding.
const MOST_CONDITIONS: usize = 4;

impl<'a> Attributes<'a> {
    /// Nothing gathered yet for a part of this kind. `faulty` tells whether faults and work may be taken.
    pub fn new(kind: PartNature<'a>, faulty: bool) -> Attributes<'a> {
        Attributes { kind, faulty, ..Attributes::default() }
    }

    /// Adds what is said of mention `i`.
    pub fn gather(&mut self, g: &Ground, i: usize) {
        let m = &g.scene.mentions[i];
        let mut degree = None;
        for s in &g.territories[i] {
            self.take_signals(g, s, i, &mut degree);
            self.take_figures(g, s, m);
            self.take_request(g.reading, s);
            self.has_code |= g.reading.has_code(s.first, s.end);
        }
        if let Some(s) = reach::beyond(g.reading, g.scene, g.territories, g.speaks, i) {
            for x in g.reading.signals_in(s.first, s.end) {
                self.take_work(x);
            }
            self.take_request(g.reading, &s);
            self.take_figures(g, &s, m);
        }
        if self.faulty
            && let Some(u) = g.listed[i]
        {
            self.take_urgency(u);
        }
    }

    /// The last word counts, but nothing said later lets a stopped vehicle go.
    fn take_urgency(&mut self, u: UrgencyId) {
        if self.urgency != Some(UrgencyId::Stop) {
            self.urgency = Some(u);
        }
    }

    fn take_signals(&mut self, g: &Ground, s: &Stretch, i: usize, degree: &mut Option<DegreeId>) {
        let m = &g.scene.mentions[i];
        for x in s.signals(g.reading) {
            match x.says {
                // weak words count beside their part only
                Says::Defect(_) if x.weak && matches!(s.zone, Zone::Next | Zone::Later) => {}
                // what is only said of such parts in general adds nothing to what this one has
                Says::Defect(_) if !self.seen.is_empty() && mood(g.reading, s) == GENERAL => {}
                Says::Defect(c) if self.faulty => {
                    let distance = x.first.abs_diff(m.first) + if x.weak { 4 } else { 0 };
                    self.condition(self.kind.meant(c), distance, degree.take());
                    self.words.push((x.first, x.end, Role::Condition));
                }
                Says::Degree(d) => *degree = Some(d),
                Says::Sound { .. } | Says::Unchecked | Says::Serviced | Says::SomeDefect => {
                    self.words.push((x.first, x.end, Role::Verdict));
                }
                Says::Urgency(_) if reach::of_another(g.reading, g.scene, g.speaks, i, x.first) => {}
                _ => self.take_work(&x),
            }
        }
    }

    /// Work and urgency; weak phrases only hint at them.
    fn take_work(&mut self, x: &Signal) {
        match x.says {
            Says::Action(a) if self.faulty => {
                let list = if x.weak { &mut self.hinted_actions } else { &mut self.actions };
                if !list.contains(&a) {
                    list.push(a);
                }
                self.words.push((x.first, x.end, Role::Action));
            }
            Says::Urgency(u) if self.faulty => {
                if x.weak {
                    self.hinted_urgency = Some(u);
                } else {
                    self.take_urgency(u);
                }
                self.words.push((x.first, x.end, Role::Urgency));
            }
            _ => {}
        }
    }

    fn take_request(&mut self, r: &Reading, s: &Stretch) {
        if !self.faulty || self.actions.contains(&ActionId::Replace) {
            return;
        }
        if let Some((first, end)) = request::asked_for(r, s) {
            self.hinted_actions.insert(0, ActionId::Replace);
            self.words.push((first, end, Role::Action));
        }
    }

    fn take_figures(&mut self, g: &Ground, s: &Stretch, m: &Mention) {
        for n in g.reading.measures_in(s.first, s.end) {
            if g.withdrawn_numbers.contains(&(n.first, n.end)) {
                continue;
            }
            let used = self.measurements.last().map(|m| m.unit);
            let Some((value, unit)) = figure::value_of(g.reading, n, m, &self.kind, used, g.metric) else { continue };
            if s.zone == Zone::Later && !self.kind.figures.is_empty() && !self.kind.has(unit) {
                continue;
            }
            if !self.measurements.iter().any(|o| o.value == value && o.unit == unit) {
                self.measurements.push(Measurement { value, unit, limit: None });
                self.words.push((n.first, n.end, Role::Measurement));
            }
        }
    }

    fn condition(&mut self, id: ConditionId, distance: usize, degree: Option<DegreeId>) {
        if let Some(c) = self.conditions.iter_mut().find(|c| c.id == id) {
            c.degree = c.degree.or(degree);
            return;
        }
        self.seen.push((id, distance));
        self.conditions.push(Condition { id, degree });
    }

    /// Puts in order what was gathered and fills in what goes without saying.
    pub fn settle(&mut self) {
        let seen = std::mem::take(&mut self.seen);
        let distance = |id: ConditionId| seen.iter().find(|s| s.0 == id).map_or(usize::MAX, |s| s.1);
        self.conditions.sort_by_key(|c| distance(c.id));
        self.conditions.truncate(MOST_CONDITIONS);
        if self.actions.is_empty() {
            self.actions.extend(self.hinted_actions.first());
        }
        // a fluid is not cleaned: flushing it replaces it
        if self.kind.usual == Some(ConditionId::Contaminated) {
            for a in self.actions.iter_mut().filter(|a| **a == ActionId::Clean) {
                *a = ActionId::Replace;
            }
            self.actions.dedup();
        }
        self.urgency = self.urgency.or(self.hinted_urgency);
        self.settle_urgency();
    }

    /// Work that is plainly asked for is asked for now, unless another time was said; to look again is to watch, whenever that be.
    fn settle_urgency(&mut self) {
        let works = self.actions.iter().any(|a| !matches!(a, ActionId::Monitor | ActionId::Clean));
        let watches = self.actions.contains(&ActionId::Monitor);
        self.urgency = match self.urgency {
            None | Some(UrgencyId::Soon) if watches && !works => Some(UrgencyId::Watch),
            None if !self.actions.is_empty() => Some(UrgencyId::Now),
            other => other,
        };
    }

    /// Names the condition of a defect where nobody did: by trouble code, figure, work asked for, or kind of part.
    pub fn infer_condition(&mut self) {
        if self.has_code && !self.conditions.iter().any(|c| c.id == ConditionId::Code) {
            self.conditions.push(Condition { id: ConditionId::Code, degree: None });
        }
        if !self.conditions.is_empty() {
            return;
        }
        let by_figure = self.measurements.iter().find_map(|m| self.kind.meaning(m.unit));
        let by_work = || self.actions.iter().find_map(|a| kind::implied_by(*a));
        self.inferred = by_figure.or_else(by_work).or(self.kind.usual);
        self.conditions.extend(self.inferred.map(|id| Condition { id, degree: None }));
    }
}
