//! Owns the callouts: what is found at each place, and where beside the vehicle it is set so that nothing covers anything.

use std::collections::BTreeMap;

use crate::findings::Finding;
use crate::lexicon::{Guidance, Outline};

use super::super::place::{Place, Side};
use super::super::sheet::{Group, Numbered};
use super::outline;

/// Width of a column of callouts.
pub const COLUMN: f64 = 124.0;
/// Between a column and the vehicle.
pub const GUTTER: f64 = 13.0;
/// Between two callouts of a column.
const GAP: f64 = 14.0;
/// Height of a line of the name of a place.
pub const NAME: f64 = 14.0;
/// A column has room for so many letters of a name.
const LETTERS: usize = 18;
/// Height of the word over a row of marks.
pub const WORD: f64 = 13.0;

/// One finding at one place.
#[derive(Debug, Clone, Copy)]
pub struct Mark<'d> {
    /// Its number in the report.
    pub number: usize,
    pub finding: &'d Finding,
}

/// Findings of one urgency at one place.
#[derive(Debug, Clone)]
pub struct Row<'d> {
    pub group: Group,
    pub marks: Vec<Mark<'d>>,
}

/// How marks of a group are laid out.
#[derive(Debug, Clone, Copy)]
pub struct Grid {
    /// Marks in a line.
    pub columns: usize,
    /// From one mark to the next.
    pub step: f64,
    /// Lines of marks before the rest is only counted.
    lines: usize,
}

impl Row<'_> {
    /// How its marks are laid out: what is fine takes little room.
    pub fn grid(&self) -> Grid {
        match self.group {
            Group::Sound => Grid { columns: 10, step: 12.0, lines: 4 },
            _ => Grid { columns: 4, step: 27.0, lines: 8 },
        }
    }

    /// Marks that are drawn, and those that are only counted.
    pub fn split(&self) -> (&[Mark<'_>], &[Mark<'_>]) {
        let grid = self.grid();
        let room = grid.columns * grid.lines;
        // the last seat is for the count
        let drawn = if self.marks.len() > room { room - 1 } else { self.marks.len() };
        self.marks.split_at(drawn)
    }

    /// Marks drawn, the count of the rest among them.
    pub fn seats(&self) -> usize {
        let (drawn, rest) = self.split();
        drawn.len() + usize::from(!rest.is_empty())
    }

    /// Height with its word.
    pub fn height(&self) -> f64 {
        let grid = self.grid();
        // a little air before the word of the next row
        3.0 + WORD + self.seats().div_ceil(grid.columns) as f64 * grid.step
    }
}

/// What is found at one place.
#[derive(Debug, Clone)]
pub struct Callout<'d> {
    pub place: Place,
    /// Worst first.
    pub rows: Vec<Row<'d>>,
    /// Column it stands in; what has no place stands below the vehicle.
    pub side: Option<Side>,
    /// Top edge.
    pub top: f64,
    /// Spot on the vehicle: from its left, from its front.
    pub anchor: (f64, f64),
}

impl Callout<'_> {
    /// The name of its place, in as many lines as the column needs.
    pub fn name(&self) -> Vec<String> {
        let name = self.place.name();
        match name.split_once(", ") {
            Some((what, corner)) if name.len() > LETTERS => vec![format!("{what},"), corner.to_string()],
            _ => vec![name],
        }
    }

    /// Height of its name.
    pub fn head(&self) -> f64 {
        NAME * self.name().len() as f64
    }

    /// Height from the top of its name to the end of its marks.
    pub fn height(&self) -> f64 {
        self.head() + self.rows.iter().map(Row::height).sum::<f64>()
    }
}

/// Callouts laid out around the vehicle.
#[derive(Debug, Clone)]
pub struct Layout<'d> {
    /// From front to rear.
    pub callouts: Vec<Callout<'d>>,
    /// What vehicle and columns take.
    pub height: f64,
    /// Where the vehicle's front end is.
    pub down: f64,
}

/// All callouts in their places.
pub fn callouts<'d>(groups: &[(Group, Numbered<'d>)], guidance: &Guidance, outline: Outline) -> Layout<'d> {
    let mut at: BTreeMap<Place, Vec<Row<'d>>> = BTreeMap::new();
    for &(group, ref found) in groups {
        for &(number, finding) in found {
            for place in Place::of(finding, guidance) {
                let rows = at.entry(place).or_default();
                let mark = Mark { number, finding };
                match rows.last_mut() {
                    Some(row) if row.group == group => row.marks.push(mark),
                    _ => rows.push(Row { group, marks: vec![mark] }),
                }
            }
        }
    }
    let mut all: Vec<Callout<'d>> = at
        .into_iter()
        .map(|(place, rows)| Callout {
            place,
            rows,
            side: place.side,
            top: 0.0,
            anchor: outline::anchor(outline, place),
        })
        .collect();
    all.sort_by(|a, b| a.anchor.1.total_cmp(&b.anchor.1).then(a.place.cmp(&b.place)));
    share_out(&mut all);
    let sides = [Side::Left, Side::Right];
    let height = sides.map(|side| held(&all, side) - GAP).into_iter().fold(outline::length(outline), f64::max);
    // the vehicle stands in the middle, so that the leaders stay short
    let down = (height - outline::length(outline)) / 2.0;
    all.iter_mut().for_each(|c| c.anchor.1 += down);
    for side in sides {
        stack(all.iter_mut().filter(|c| c.side == Some(side)).collect(), height);
    }
    Layout { callouts: all, height, down }
}

/// Height of a column.
fn held(all: &[Callout<'_>], side: Side) -> f64 {
    all.iter().filter(|c| c.side == Some(side)).map(|c| c.height() + GAP).sum()
}

/// Places in the middle go to whichever column holds less.
fn share_out(all: &mut [Callout<'_>]) {
    for i in 0..all.len() {
        if all[i].side.is_none() && all[i].place.zone.is_some() {
            let left = held(all, Side::Left) <= held(all, Side::Right);
            all[i].side = Some(if left { Side::Left } else { Side::Right });
        }
    }
}

/// Sets a column within a height that holds it: in their order, without touching, and as near to their spots as that allows (least
/// squares by pooling neighbors that would overlap: isotonic regression, Barlow et al. 1972).
fn stack(mut column: Vec<&mut Callout<'_>>, height: f64) {
    let mut above = 0.0;
    // what each would shift by if all stood one below the other; pooled, how many and their mean
    let mut pools: Vec<(usize, f64)> = Vec::new();
    let mut starts = Vec::new();
    for c in &column {
        let mut pool = (1, c.anchor.1 - NAME - above);
        while let Some(last) = pools.pop_if(|last| last.1 > pool.1) {
            let n = last.0 + pool.0;
            pool = (n, (last.1 * last.0 as f64 + pool.1 * pool.0 as f64) / n as f64);
        }
        pools.push(pool);
        starts.push(above);
        above += c.height() + GAP;
    }
    let room = (height - (above - GAP)).max(0.0);
    let shifts = pools.iter().flat_map(|(n, shift)| std::iter::repeat_n(shift.clamp(0.0, room), *n));
    for ((c, start), shift) in column.iter_mut().zip(starts).zip(shifts) {
        c.top = start + shift;
    }
}

#[cfg(test)]
mod tests {
    use std::sync::LazyLock;

    use proptest::prelude::{TestCaseError, prop, prop_assert, proptest};

    use super::*;
    use crate::findings::Component;
    use crate::lexicon::{Lexicon, LexiconError, Position, UrgencyId, Verdict};

    static LEXICON: LazyLock<Result<Lexicon, LexiconError>> = LazyLock::new(Lexicon::builtin);
    const SYSTEMS: [&str; 9] =
        ["brakes", "lights", "engine", "glass-wipers", "interior", "exhaust", "trailer", "coupling", ""];
    const OUTLINES: [Outline; 4] = [Outline::Car, Outline::Van, Outline::Truck, Outline::Trailer];

    fn finding(n: usize, system: usize, places: u16, verdict: usize, urgency: usize) -> Finding {
        let component = Component { id: "x".into(), name: "x".into(), system: SYSTEMS[system].into(), aliases: vec![] };
        let at = Position::ALL.iter().enumerate().filter(|(i, _)| places >> i & 1 == 1);
        Finding {
            id: n.to_string(),
            component,
            position: at.map(|(_, p)| *p).collect(),
            verdict: Verdict::ALL[verdict],
            conditions: vec![],
            urgency: UrgencyId::ALL.get(urgency).copied(),
            actions: vec![],
            alternatives: vec![],
            measurements: vec![],
            confidence: 1.0,
            evidence: vec![],
            why: vec![],
            review: None,
        }
    }

    proptest! {
        #[test]
        fn nothing_covers_anything_and_nothing_is_lost(
            cases in prop::collection::vec((0..9_usize, 0..512_u16, 0..4_usize, 0..6_usize), 0..120),
            outline in 0..4_usize,
        ) {
            let lexicon = LEXICON.as_ref().map_err(|e| TestCaseError::fail(e.to_string()))?;
            let findings: Vec<Finding> =
                cases.iter().enumerate().map(|(n, c)| finding(n, c.0, c.1, c.2, c.3)).collect();
            let mut groups: Vec<(Group, Numbered<'_>)> = Vec::new();
            for (n, f) in findings.iter().enumerate() {
                match groups.iter_mut().find(|(g, _)| *g == Group::of(f)) {
                    Some((_, found)) => found.push((n, f)),
                    None => groups.push((Group::of(f), vec![(n, f)])),
                }
            }
            let layout = callouts(&groups, &lexicon.guidance, OUTLINES[outline]);
            for side in [Side::Left, Side::Right] {
                let mut bottom = f64::NEG_INFINITY;
                let mut column: Vec<_> = layout.callouts.iter().filter(|c| c.side == Some(side)).collect();
                column.sort_by(|a, b| a.top.total_cmp(&b.top));
                for c in column {
                    prop_assert!(c.name().iter().all(|line| line.len() <= LETTERS), "{} is cut off", c.place.name());
                    prop_assert!(c.top > bottom && c.top > -1e-6, "{} at {} covers {}", c.place.name(), c.top, bottom);
                    bottom = c.top + c.height();
                    prop_assert!(bottom <= layout.height + 1e-6);
                }
            }
            for f in &findings {
                let at = Place::of(f, &lexicon.guidance);
                let shown = layout.callouts.iter().filter(|c| {
                    c.rows.iter().any(|r| r.group == Group::of(f) && r.marks.iter().any(|m| m.finding.id == f.id))
                });
                let shown: Vec<Place> = shown.map(|c| c.place).collect();
                prop_assert!(!at.is_empty() && shown.len() == at.len() && at.iter().all(|p| shown.contains(p)));
            }
        }
    }
}
