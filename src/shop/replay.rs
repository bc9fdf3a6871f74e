//! Owns the safety net of a change: past inspections under the lexicon before and after it, held against what the writer decided.

use serde::Serialize;

use crate::findings::Finding;
use crate::lexicon::Verdict;
use crate::review::{Extraction, FinalList};

/// What became of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fate {
    /// It was found and is no longer, or its defect is no longer called one.
    Lost,
    /// It is found as before, with something else said of it.
    Changed,
    /// It was not found, or not as it should be, and is now.
    Gained,
}

/// What people had made of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// A person stands behind it, or the list it is in was handed over.
    Confirmed,
    /// A person took it out.
    Dropped,
    /// Nobody decided on it.
    Undecided,
}

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// What became of it.
    pub fate: Fate,
    /// What people had made of it.
    pub standing: Standing,
    /// The part and its place.
    pub part: String,
    /// What was said of it under the lexicon before; nothing where it was not found.
    pub before: Option<String>,
    /// What is said of it now; nothing where it is not found.
    pub after: Option<String>,
    /// The first words behind it.
    pub words: String,
}

impl Difference {
    /// What became of the finding, in words.
    pub fn told(&self) -> &'static str {
        match (self.fate, self.standing) {
            (Fate::Lost, Standing::Confirmed) => "LOST, though confirmed",
            (Fate::Lost, Standing::Dropped) => "no longer found, as it was dropped",
            (Fate::Lost, Standing::Undecided) => "lost",
            (Fate::Changed, Standing::Confirmed) => "changed, though confirmed",
            (Fate::Changed, _) => "changed",
            (Fate::Gained, Standing::Confirmed) => "gained, as the writer had it",
            (Fate::Gained, Standing::Dropped) => "found again, though dropped",
            (Fate::Gained, Standing::Undecided) => "gained",
        }
    }
}

/// Counts, and the differences: the worst first.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Replay {
    /// Confirmed findings.
    pub confirmed: usize,
    /// Of these, found as they were confirmed before and after.
    pub found_before: usize,
    /// Found as they were confirmed now.
    pub found_after: usize,
    /// Differences.
    pub differences: Vec<Difference>,
}

impl Replay {
    /// Whether a confirmed finding is lost.
    pub fn loses(&self) -> bool {
        self.differences.iter().any(|d| d.fate == Fate::Lost && d.standing == Standing::Confirmed)
    }
}

/// Compares two extractions of one inspection; `decided` is the final list under the lexicon before.
pub fn replay(before: &Extraction, after: &Extraction, decided: &FinalList) -> Replay {
    let (old, new) = (&before.document.findings, &after.document.findings);
    let (mut old_used, mut new_used) = (vec![false; old.len()], vec![false; new.len()]);
    let mut out = Replay::default();
    let confirmed = decided.document.findings.iter().zip(&decided.items);
    for (want, _) in confirmed.filter(|(_, i)| i.state.is_looked_at() || decided.handed_over.is_some()) {
        out.confirmed += 1;
        let (was, is) = (take(want, old, &mut old_used), take(want, new, &mut new_used));
        out.found_before += usize::from(was.is_some_and(|f| agrees(f, want)));
        out.found_after += usize::from(is.is_some_and(|f| agrees(f, want)));
        let fate = match (was, is) {
            (Some(_), None) => Some(Fate::Lost),
            (None, Some(_)) => Some(Fate::Gained),
            (Some(a), Some(b)) if same(a, b) => None,
            (Some(a), Some(b)) if agrees(a, want) && !agrees(b, want) => Some(Fate::Lost),
            (Some(a), Some(b)) if !agrees(a, want) && agrees(b, want) => Some(Fate::Gained),
            (Some(_), Some(_)) => Some(Fate::Changed),
            // what only the writer knew can't be lost
            (None, None) => None,
        };
        out.differences.extend(fate.map(|fate| difference(fate, Standing::Confirmed, want, was, is)));
    }
    for dropped in &decided.dropped {
        let want = &dropped.finding;
        let (was, is) = (take(want, old, &mut old_used), take(want, new, &mut new_used));
        let fate = match (was, is) {
            (Some(_), None) => Some(Fate::Lost),
            (None, Some(_)) => Some(Fate::Gained),
            _ => None,
        };
        out.differences.extend(fate.map(|fate| difference(fate, Standing::Dropped, want, was, is)));
    }
    let rest: Vec<usize> = (0..old.len()).filter(|n| !old_used[*n]).collect();
    for n in rest {
        let want = &old[n];
        let is = take(want, new, &mut new_used);
        let fate = match is {
            None => Some(Fate::Lost),
            Some(b) if same(want, b) => None,
            Some(_) => Some(Fate::Changed),
        };
        out.differences.extend(fate.map(|fate| difference(fate, Standing::Undecided, want, Some(want), is)));
    }
    for (f, _) in new.iter().zip(&new_used).filter(|(_, used)| !**used) {
        out.differences.push(difference(Fate::Gained, Standing::Undecided, f, None, Some(f)));
    }
    out.differences.sort_by_key(|d| (d.standing, d.fate));
    out
}

/// The finding that is the wanted one: the part at the place, else the part in the same words; each is taken once.
fn take<'f>(want: &Finding, among: &'f [Finding], used: &mut [bool]) -> Option<&'f Finding> {
    let part = |f: &Finding| f.component.id == want.component.id;
    let place = |f: &Finding| f.position == want.position;
    let words = |f: &Finding| {
        f.evidence.iter().any(|a| {
            want.evidence
                .iter()
                .any(|b| a.utterance == b.utterance && a.start < b.end && b.start < a.end && a.role == b.role)
        })
    };
    let free = |n: &usize| !used[*n];
    let all: Vec<usize> = (0..among.len()).filter(free).filter(|n| part(&among[*n])).collect();
    let at = all
        .iter()
        .find(|n| place(&among[**n]) && words(&among[**n]))
        .or_else(|| all.iter().find(|n| place(&among[**n])))
        .or_else(|| all.iter().find(|n| words(&among[**n])))?;
    used[*at] = true;
    Some(&among[*at])
}

/// Whether a finding says what was confirmed: place, verdict and every condition.
fn agrees(f: &Finding, want: &Finding) -> bool {
    let conditions = want.conditions.iter().all(|c| f.conditions.iter().any(|x| x.id == c.id));
    f.position == want.position && f.verdict == want.verdict && (conditions || want.verdict != Verdict::Defect)
}

fn same(a: &Finding, b: &Finding) -> bool {
    a.position == b.position
        && a.verdict == b.verdict
        && a.conditions == b.conditions
        && a.urgency == b.urgency
        && a.actions == b.actions
        && a.measurements == b.measurements
}

fn difference(
    fate: Fate,
    standing: Standing,
    about: &Finding,
    before: Option<&Finding>,
    after: Option<&Finding>,
) -> Difference {
    let said = |f: &Finding| {
        let place: Vec<&str> = f.position.iter().map(|p| p.as_str()).collect();
        let conditions: Vec<&str> = f.conditions.iter().map(|c| c.id.as_str()).collect();
        let actions: Vec<&str> = f.actions.iter().map(|a| a.as_str()).collect();
        let urgency = f.urgency.map_or("", |u| u.as_str());
        let pieces =
            [place.join(" "), f.verdict.as_str().to_string(), conditions.join(" "), actions.join(" "), urgency.into()];
        pieces.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", ")
    };
    Difference {
        fate,
        standing,
        part: crate::report::part_at(&about.component, &about.position),
        before: before.map(said),
        after: after.map(said),
        words: about.evidence.first().map(|e| e.text.clone()).unwrap_or_default(),
    }
}
