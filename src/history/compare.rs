//! Owns the comparison of visits: what became of each part at each place, and how measured parts wear.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::findings::{Document, Finding, Odometer};
use crate::lexicon::{DegreeId, Position, UrgencyId, Verdict};
use crate::limits;
use crate::pricing::Site;
use crate::report;
use crate::review::Figure;
use crate::text::Unit;

use super::wear::{self, Reading, Wear, is_worn_in};

/// Value of [`Comparison::schema`].
pub const SCHEMA: &str = "hoistnote/comparison/1";

/// One visit: its findings and when it was.
#[derive(Debug, Clone)]
pub struct VisitAt<'d> {
    /// The findings.
    pub document: &'d Document,
    /// When; `None` where not known.
    pub day: Option<Date>,
}

/// What became of a part between the last two visits; what asks for a look stands first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Became {
    /// Wrong before, and more so now.
    Worse,
    /// Wrong now, not before.
    New,
    /// Wrong before, and nobody spoke of it now: not to be taken for sound.
    NoLongerMentioned,
    /// Wrong before, and not checked now.
    Unchecked,
    /// Wrong before and now.
    Same,
    /// Wrong before, less so now.
    Better,
    /// Wrong before, sound or serviced now.
    Gone,
}

impl Became {
    /// All of them, in order.
    pub const ALL: [Became; 7] = [
        Became::Worse,
        Became::New,
        Became::NoLongerMentioned,
        Became::Unchecked,
        Became::Same,
        Became::Better,
        Became::Gone,
    ];

    /// The word that stands for it in every file.
    pub fn as_str(self) -> &'static str {
        match self {
            Became::Worse => "worse",
            Became::New => "new",
            Became::NoLongerMentioned => "no_longer_mentioned",
            Became::Unchecked => "unchecked",
            Became::Same => "same",
            Became::Better => "better",
            Became::Gone => "gone",
        }
    }

    /// For people.
    pub fn title(self) -> &'static str {
        match self {
            Became::Worse => "Worse",
            Became::New => "New",
            Became::Same => "The same",
            Became::Better => "Better",
            Became::NoLongerMentioned => "No longer mentioned: not thereby sound",
            Became::Unchecked => "Not checked this time",
            Became::Gone => "Gone",
        }
    }
}

/// Two or more visits of one vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Comparison {
    /// Always [`SCHEMA`].
    pub schema: String,
    /// How the vehicle was called.
    pub vehicle: Option<String>,
    /// The visits, oldest first.
    pub visits: Vec<VisitInfo>,
    /// What became of each part that was wrong at one of the last two visits.
    pub changes: Vec<Changed>,
    /// Figures of the same part at two visits or more.
    pub wear: Vec<Wear>,
    /// What every reader must know.
    pub cautions: Vec<String>,
}

/// A visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VisitInfo {
    /// What was read.
    pub source: String,
    /// When; null where not known.
    pub day: Option<String>,
    /// What the vehicle had run; null where not said.
    pub odometer: Option<Odometer>,
}

/// A part at its places, then and now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Changed {
    /// What became of it.
    pub became: Became,
    /// Lexicon id.
    pub component: String,
    /// Name.
    pub part: String,
    /// Where.
    pub position: Vec<Position>,
    /// Id of the finding at the visit before; null where it was not spoken of.
    pub earlier: Option<String>,
    /// Id of the finding at the last visit; null where it was not spoken of.
    pub later: Option<String>,
    /// How it was said to be then.
    pub was: Option<String>,
    /// How it is said to be now.
    pub is: Option<String>,
}

type Key<'d> = (&'d str, Site);

/// Compares the last visit with the one before it, and follows figures over all of them. `own_limits`, by part id,
/// go before published ones.
pub fn compare(visits: &[VisitAt], own_limits: &[(String, Figure)]) -> Comparison {
    let info = |v: &VisitAt| VisitInfo {
        source: v.document.source.path.clone(),
        day: v.day.map(|d| d.to_string()),
        odometer: v.document.vehicle.odometer.clone(),
    };
    let changes = match visits {
        [.., earlier, later] => changes(earlier.document, later.document),
        _ => Vec::new(),
    };
    Comparison {
        schema: SCHEMA.into(),
        vehicle: visits.iter().find_map(|v| v.document.vehicle.identification.clone()),
        visits: visits.iter().map(info).collect(),
        changes,
        wear: worn(visits, own_limits),
        cautions: cautions(visits),
    }
}

fn cautions(visits: &[VisitAt]) -> Vec<String> {
    let mut out = vec!["What nobody spoke of at a visit is not thereby sound.".to_string()];
    if visits.iter().any(|v| v.day.is_none()) {
        out.push("The day of a visit is not known: no wear by time is told from it.".into());
    }
    if visits.iter().any(|v| v.document.vehicle.odometer.is_none()) {
        out.push("The odometer was not said at every visit: no wear by distance is told from those.".into());
    }
    let run: Vec<f64> = visits
        .iter()
        .filter_map(|v| v.document.vehicle.odometer.as_ref())
        .filter_map(|o| limits::convert(o.value, o.unit, Unit::Kilometre))
        .collect();
    if run.windows(2).any(|w| w[1] < w[0]) {
        out.push("An odometer runs backwards between two visits: check what was said.".into());
    }
    out
}

/// The gravest finding of each part at each place.
fn by_site(document: &Document) -> BTreeMap<Key<'_>, &Finding> {
    let mut out: BTreeMap<Key, &Finding> = BTreeMap::new();
    for f in &document.findings {
        for site in Site::all(&f.position) {
            let known = out.entry((&f.component.id, site)).or_insert(f);
            if grade(f) > grade(known) {
                *known = f;
            }
        }
    }
    out
}

fn changes(earlier: &Document, later: &Document) -> Vec<Changed> {
    let (then, now) = (by_site(earlier), by_site(later));
    let mut pairs: Vec<(Option<Key>, Option<Key>)> = Vec::new();
    let (mut left_then, mut left_now): (BTreeSet<Key>, BTreeSet<Key>) = (BTreeSet::new(), BTreeSet::new());
    for key in then.keys().chain(now.keys()).copied().collect::<BTreeSet<Key>>() {
        match (then.contains_key(&key), now.contains_key(&key)) {
            (true, true) => pairs.push((Some(key), Some(key))),
            (true, false) => drop(left_then.insert(key)),
            (_, _) => drop(left_now.insert(key)),
        }
    }
    // a place that one of the two visits left unsaid: the only one that can be meant is meant
    for key in left_then.clone() {
        let fits = |k: &&Key| k.0 == key.0 && agree(k.1, key.1);
        let meant: Vec<Key> = left_now.iter().filter(fits).copied().collect();
        let rivals = left_then.iter().filter(|k| meant.first().is_some_and(|m| k.0 == m.0 && agree(k.1, m.1))).count();
        if let ([one], 1) = (meant.as_slice(), rivals) {
            pairs.push((Some(key), Some(*one)));
            left_then.remove(&key);
            left_now.remove(one);
        }
    }
    pairs.extend(left_then.into_iter().map(|k| (Some(k), None)));
    pairs.extend(left_now.into_iter().map(|k| (None, Some(k))));

    let mut out: Vec<Changed> = Vec::new();
    for (a, b) in pairs {
        let (was, is) = (a.and_then(|k| then.get(&k).copied()), b.and_then(|k| now.get(&k).copied()));
        let Some(became) = became(was, is) else { continue };
        let Some((any, site)) = is.or(was).zip(b.or(a).map(|k| k.1)) else { continue };
        let changed = Changed {
            became,
            component: any.component.id.clone(),
            part: report::part(&any.component),
            position: site.position(),
            earlier: was.map(|f| f.id.clone()),
            later: is.map(|f| f.id.clone()),
            was: was.map(state),
            is: is.map(state),
        };
        // places of one finding that share their fate stand in one line
        let same = |c: &&mut Changed| {
            c.became == became
                && c.component == changed.component
                && c.earlier == changed.earlier
                && c.later == changed.later
        };
        match out.iter_mut().find(same) {
            Some(known) => {
                known.position.extend(changed.position);
                known.position.sort_unstable();
                known.position.dedup();
            }
            None => out.push(changed),
        }
    }
    out.sort_by(|x, y| (x.became, &x.component, &x.position).cmp(&(y.became, &y.component, &y.position)));
    out
}

/// Nothing said of one speaks against the other.
fn agree(a: Site, b: Site) -> bool {
    a.fits(&b.position()) && b.fits(&a.position())
}

/// Whether something is wrong with it.
fn wrong(f: &Finding) -> bool {
    f.verdict == Verdict::Defect || f.fails_limit()
}

fn became(was: Option<&Finding>, is: Option<&Finding>) -> Option<Became> {
    match (was, is) {
        (Some(a), Some(b)) if wrong(a) && wrong(b) => Some(worse_or_better(a, b)),
        (Some(a), Some(b)) if wrong(a) && b.verdict == Verdict::Unchecked => Some(Became::Unchecked),
        (Some(a), Some(_)) if wrong(a) => Some(Became::Gone),
        (Some(a), None) if wrong(a) => Some(Became::NoLongerMentioned),
        (_, Some(b)) if wrong(b) => Some(Became::New),
        _ => None,
    }
}

/// Urgency and degree decide; where they are alike, a figure that fell does.
fn worse_or_better(a: &Finding, b: &Finding) -> Became {
    match grade(b).cmp(&grade(a)) {
        std::cmp::Ordering::Greater => return Became::Worse,
        std::cmp::Ordering::Less => return Became::Better,
        std::cmp::Ordering::Equal => {}
    }
    let figure = a.measurements.iter().find(|m| is_worn_in(m.unit));
    let pair =
        figure.and_then(|m| Some((wear::least(&a.measurements, m.unit)?, wear::least(&b.measurements, m.unit)?)));
    match pair {
        Some((then, now)) if now < then - 1e-9 => Became::Worse,
        Some((then, now)) if now > then + 1e-9 => Became::Better,
        _ => Became::Same,
    }
}

/// How grave: wrong or not, how pressing, how strong.
fn grade(f: &Finding) -> (bool, u8, Option<DegreeId>) {
    let urgency = match f.urgency {
        Some(UrgencyId::Stop) => 4,
        Some(UrgencyId::Now) => 3,
        Some(UrgencyId::Soon) => 2,
        None => 1,
        Some(UrgencyId::Watch) => 0,
    };
    (wrong(f), urgency, f.conditions.iter().filter_map(|c| c.degree).max())
}

/// How a part was said to be, in a few words.
fn state(f: &Finding) -> String {
    let mut words: Vec<String> = f.conditions.iter().map(report::condition).collect();
    if words.is_empty() {
        words.push(report::verdict(f.verdict).to_string());
    }
    words.extend(f.measurements.iter().map(report::measurement));
    words.extend(f.urgency.map(|u| report::urgency(u).to_string()));
    words.join(", ")
}

fn worn(visits: &[VisitAt], own_limits: &[(String, Figure)]) -> Vec<Wear> {
    let mut out: BTreeMap<Key, Wear> = BTreeMap::new();
    for (n, visit) in visits.iter().enumerate() {
        for f in &visit.document.findings {
            let Some(m) = f.measurements.iter().find(|m| is_worn_in(m.unit)) else { continue };
            for site in Site::all(&f.position) {
                let series = out.entry((&f.component.id, site)).or_insert_with(|| Wear {
                    component: f.component.id.clone(),
                    part: report::part(&f.component),
                    position: site.position(),
                    unit: m.unit,
                    readings: Vec::new(),
                    limit: None,
                    by_time: None,
                    by_distance: None,
                });
                let Some(value) = wear::least(&f.measurements, series.unit) else { continue };
                let published = m.limit.as_ref().and_then(|l| limits::convert(l.value, l.unit, series.unit));
                let own = own_limits.iter().filter(|(part, _)| *part == f.component.id);
                let own = own.filter_map(|(_, l)| limits::convert(l.value, l.unit, series.unit)).next();
                series.limit = own.or(published).or(series.limit);
                match series.readings.last_mut().filter(|r| r.visit == n + 1) {
                    Some(known) => known.value = known.value.min(value),
                    None => series.readings.push(Reading {
                        visit: n + 1,
                        day: visit.day.map(|d| d.to_string()),
                        odometer: visit.document.vehicle.odometer.clone(),
                        value,
                    }),
                }
            }
        }
    }
    out.into_values().filter(|w| w.readings.len() > 1).map(Wear::fitted).collect()
}
