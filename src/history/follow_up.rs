//! Owns follow-ups: what was declined or put off, with the day it is to be asked again.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::findings::Odometer;
use crate::lexicon::{Position, UrgencyId};
use crate::limits;
use crate::pricing::Answer;
use crate::report::{self, Columns};
use crate::review::Entry;

use super::answer::{AnswerLine, HorizonFrom, answers};
use super::horizon::Horizon;

/// Value of [`FollowUp::schema`].
pub const SCHEMA: &str = "hoistnote/follow-up/1";

/// Something to ask again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FollowUp {
    /// Always [`SCHEMA`].
    pub schema: String,
    /// Name of the inspection's folder.
    pub inspection: String,
    /// How the vehicle was called.
    pub vehicle: Option<String>,
    /// Id of the finding.
    pub finding: String,
    /// Name of the part.
    pub part: String,
    /// Where.
    pub position: Vec<Position>,
    /// How pressing it was.
    pub urgency: Option<UrgencyId>,
    /// Declined or put off.
    pub answer: Answer,
    /// When that was answered, RFC 3339.
    pub answered: String,
    /// How long it may wait.
    pub horizon: Horizon,
    /// Where the horizon is from.
    pub horizon_from: HorizonFrom,
    /// The day it is due; null where it is due by distance.
    pub due: Option<String>,
    /// What the vehicle will have run when it is due; null where that is not known.
    pub due_odometer: Option<Odometer>,
    /// The words behind the finding.
    pub words: Vec<String>,
}

/// The follow-ups of one inspection's log. Days are those of `zone`.
pub fn follow_ups(inspection: &str, entries: &[Entry], zone: &TimeZone) -> Vec<FollowUp> {
    answers(entries).iter().filter_map(|line| follow_up(inspection, line, zone)).collect()
}

/// The follow-up of an answer; none of an approval.
pub fn follow_up(inspection: &str, line: &AnswerLine, zone: &TimeZone) -> Option<FollowUp> {
    let (horizon, from) = (line.horizon?, line.horizon_from?);
    if line.answer == Answer::Approve {
        return None;
    }
    let day = line.when.to_zoned_datetime(zone.clone()).date();
    let odometer = line.odometer.as_ref().zip(horizon.distance()).and_then(|(o, (more, unit))| {
        Some(Odometer { value: o.value + limits::convert(more, unit, o.unit)?, unit: o.unit })
    });
    Some(FollowUp {
        schema: SCHEMA.into(),
        inspection: inspection.to_string(),
        position: line.position().to_vec(),
        vehicle: line.vehicle.clone(),
        finding: line.finding.id.clone(),
        part: line.part.clone(),
        urgency: line.urgency,
        answer: line.answer,
        answered: line.when.to_string(),
        horizon,
        horizon_from: from,
        due: horizon.end(day).map(|d| d.to_string()),
        due_odometer: odometer,
        words: line.words.clone(),
    })
}

/// Not to be driven first, then by day; what is due by distance last.
pub fn in_order(follow_ups: &mut [FollowUp]) {
    let key = |f: &FollowUp| {
        let stop = f.urgency != Some(UrgencyId::Stop);
        (stop, f.due.is_none(), f.due.clone(), f.inspection.clone(), f.finding.clone())
    };
    follow_ups.sort_by_cached_key(key);
}

impl FollowUp {
    /// The day it is due, where it has one.
    pub fn day(&self) -> Option<Date> {
        self.due.as_deref()?.parse().ok()
    }

    /// Vehicle, part and place in one phrase.
    pub fn title(&self) -> String {
        let vehicle = self.vehicle.as_deref().unwrap_or(&self.inspection);
        format!("{vehicle}: {}", report::at(&self.part, &self.position))
    }

    /// What was answered, how long it may wait and on whose word.
    pub fn facts(&self) -> String {
        let from = match self.horizon_from {
            HorizonFrom::Given => "as agreed",
            HorizonFrom::Said => "as the technician said",
            HorizonFrom::Usual => "as is usual",
        };
        let urgency = self.urgency.map_or("urgency not said", report::urgency);
        let day = self.answered.get(..10).unwrap_or_default();
        format!("{urgency}; {} {day}; {}, {from}", self.answer.done(), self.horizon)
    }

    /// When it is due, for people.
    pub fn when(&self) -> String {
        match (&self.due, &self.due_odometer) {
            (Some(day), _) => day.clone(),
            (None, Some(o)) => format!("at {}", report::quantity(o.value, o.unit)),
            (None, None) => format!("after {}", self.horizon),
        }
    }
}

/// The list for a terminal; what is due on or before `today` stands first.
pub fn table(follow_ups: &[FollowUp], today: Date, width: usize) -> String {
    let mut out = Columns::new(width);
    let is_due = |f: &&FollowUp| f.day().is_some_and(|d| d <= today);
    let overdue: Vec<&FollowUp> = follow_ups.iter().filter(is_due).collect();
    let coming: Vec<&FollowUp> = follow_ups.iter().filter(|f| !is_due(f)).collect();
    out.head(&format!("Follow-ups on {today}: {} due, {} to come", overdue.len(), coming.len()));
    for (title, list) in [("Due", overdue), ("To come", coming)] {
        if list.is_empty() {
            continue;
        }
        out.title(title);
        for f in list {
            let mark = if f.urgency == Some(UrgencyId::Stop) { "! " } else { "" };
            out.line(2, &format!("{mark}{}", f.title()), &f.when());
            out.words(6, &f.facts());
            if let Some(words) = f.words.first() {
                out.words(6, &format!("\"{words}\""));
            }
        }
    }
    out.finish()
}

/// Rows for spreadsheets, RFC 4180.
///
/// # Errors
/// What the csv crate reports.
pub fn csv(follow_ups: &[FollowUp]) -> Result<String, csv::Error> {
    let head = [
        "due",
        "due_odometer",
        "vehicle",
        "inspection",
        "finding",
        "part",
        "position",
        "urgency",
        "answer",
        "answered",
        "horizon",
        "words",
    ];
    let row = |f: &FollowUp| {
        let position: Vec<&str> = f.position.iter().map(|p| p.as_str()).collect();
        let odometer = f.due_odometer.as_ref().map(|o| report::quantity(o.value, o.unit)).unwrap_or_default();
        [
            f.due.clone().unwrap_or_default(),
            odometer,
            f.vehicle.clone().unwrap_or_default(),
            f.inspection.clone(),
            f.finding.clone(),
            f.part.clone(),
            position.join(" "),
            f.urgency.map(|u| u.as_str().to_string()).unwrap_or_default(),
            f.answer.done().to_string(),
            f.answered.clone(),
            f.horizon.to_string(),
            f.words.join(" / "),
        ]
    };
    report::csv_rows(std::iter::once(head.map(str::to_string)).chain(follow_ups.iter().map(row)))
}
