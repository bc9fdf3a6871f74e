//! Owns what a finding asks for: how pressing it is, each piece of work at each single place, and which jobs of a book do it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::findings::Finding;
use crate::lexicon::{ActionId, ConditionId, Position, UrgencyId, Verdict};

use super::book::{Cover, Job, RateBook};
use super::site::Site;

/// How pressing, most pressing first. A defect that nobody graded stands before one that may wait: it may be worse than it sounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Tier {
    /// Not to be driven.
    Stop,
    /// Needs doing.
    Now,
    /// Next visit.
    Soon,
    /// A defect without a word on how pressing it is.
    Unsaid,
    /// Keep an eye on it.
    Watch,
}

impl Tier {
    /// All of them, most pressing first.
    pub const ALL: [Tier; 5] = [Tier::Stop, Tier::Now, Tier::Soon, Tier::Unsaid, Tier::Watch];

    /// Of a finding.
    pub fn of(finding: &Finding) -> Tier {
        match finding.urgency {
            Some(UrgencyId::Stop) => Tier::Stop,
            Some(UrgencyId::Now) => Tier::Now,
            Some(UrgencyId::Soon) => Tier::Soon,
            Some(UrgencyId::Watch) => Tier::Watch,
            None => Tier::Unsaid,
        }
    }

    /// The word that stands for it in every file.
    pub fn as_str(self) -> &'static str {
        match self {
            Tier::Stop => "stop",
            Tier::Now => "now",
            Tier::Soon => "soon",
            Tier::Unsaid => "unsaid",
            Tier::Watch => "watch",
        }
    }

    /// For people.
    pub fn title(self) -> &'static str {
        match self {
            Tier::Stop => "Do not drive",
            Tier::Now => "Needs doing now",
            Tier::Soon => "Needs doing soon",
            Tier::Unsaid => "Urgency not said",
            Tier::Watch => "Keep an eye on",
        }
    }
}

/// What is to become of a finding in an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Treatment {
    /// It asks for work.
    Work,
    /// It is only to be watched.
    Watched,
    /// Nothing is to be done for it.
    None,
}

impl Treatment {
    /// Of a finding. A failed limit and an urgency ask for work whatever else is said.
    pub fn of(f: &Finding) -> Treatment {
        let failed = f.fails_limit();
        let only_watch = !f.actions.is_empty() && f.actions.iter().all(|a| *a == ActionId::Monitor);
        let may_wait = matches!(f.urgency, None | Some(UrgencyId::Watch));
        let asks = match f.verdict {
            Verdict::Defect => true,
            Verdict::Unchecked => f.actions.iter().any(|a| *a != ActionId::Monitor),
            Verdict::Sound | Verdict::Serviced => false,
        };
        match (failed || asks || f.urgency.is_some(), only_watch && may_wait && !failed) {
            (true, true) => Treatment::Watched,
            (true, false) => Treatment::Work,
            (false, _) => Treatment::None,
        }
    }
}

/// One piece of work at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Need {
    /// Place.
    pub site: Site,
    /// Work asked for; `None` where none was named.
    pub action: Option<ActionId>,
}

/// All that a finding asks for: each action at each place. "Monitor" beside other work asks for nothing more.
pub fn needs(f: &Finding) -> Vec<Need> {
    let mut actions: Vec<Option<ActionId>> =
        f.actions.iter().filter(|a| **a != ActionId::Monitor).map(|a| Some(*a)).collect();
    if actions.is_empty() {
        actions.push(None);
    }
    let sites = Site::all(&f.position);
    sites.into_iter().flat_map(|site| actions.iter().map(move |action| Need { site, action: *action })).collect()
}

/// A job that does what is needed, at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Candidate {
    /// Index into [`RateBook::jobs`].
    pub job: usize,
    /// Where it is done.
    pub site: Site,
}

/// Every job that does what is needed, in the order of the book; those the speaker offered in words are among them.
pub fn candidates(book: &RateBook, finding: &Finding, need: Need) -> Vec<Candidate> {
    let asked = Asked { part: &finding.component.id, action: need.action, conditions: &finding.conditions_said() };
    let offered =
        finding.alternatives.iter().map(|a| Asked { part: &a.component.id, action: Some(a.action), conditions: &[] });
    let asked: Vec<Asked> = std::iter::once(asked).chain(offered).collect();
    let does = |job: &Job| asked.iter().any(|a| job.covers.iter().any(|c| a.is_covered(c, need.site)));
    let fits = book.jobs.iter().enumerate().filter(|(_, job)| need.site.fits(&job.at) && does(job));
    fits.map(|(n, job)| Candidate { job: n, site: need.site.for_job(job.per, &job.at) }).collect()
}

/// Whether the speaker named this job's part as another repair for the finding.
pub fn is_offered(finding: &Finding, job: &Job, site: Site) -> bool {
    finding.alternatives.iter().any(|a| {
        let asked = Asked { part: &a.component.id, action: Some(a.action), conditions: &[] };
        job.covers.iter().any(|c| asked.is_covered(c, site))
    })
}

/// Work that counts as putting a part right where no work was named.
const PUTS_RIGHT: [ActionId; 3] = [ActionId::Replace, ActionId::Repair, ActionId::Reseal];

struct Asked<'f> {
    part: &'f str,
    action: Option<ActionId>,
    conditions: &'f [ConditionId],
}

impl Asked<'_> {
    /// The part is covered here, and so is the work. A cover that names conditions is for findings of which nothing else was said
    /// to be wrong. Where no work was named, only work that puts a part right will do, or what names the conditions.
    fn is_covered(&self, cover: &Cover, site: Site) -> bool {
        let limited = !cover.conditions.is_empty();
        let named = !self.conditions.is_empty() && self.conditions.iter().all(|c| cover.conditions.contains(c));
        let does = match self.action {
            Some(action) => cover.actions.contains(&action) && (!limited || named || self.conditions.is_empty()),
            None if limited => named,
            None => cover.actions.iter().any(|a| PUTS_RIGHT.contains(a)),
        };
        cover.part == self.part && does && site.fits(&cover.at)
    }
}

impl Finding {
    /// Kinds of defect, without their degrees.
    fn conditions_said(&self) -> Vec<ConditionId> {
        self.conditions.iter().map(|c| c.id).collect()
    }
}

/// Words that put findings in one order whatever order they came in.
pub fn order_key(f: &Finding) -> (Tier, &str, Vec<Position>, &str) {
    (Tier::of(f), &f.component.id, f.position.clone(), &f.id)
}
