//! Owns the rows for spreadsheets: RFC 4180, one priced line a row, the sums last. The amounts of all rows but `subtotal` and
//! `total` add up to the total.

use crate::findings::Vehicle;
use crate::report;

use super::super::estimate::{About, Estimate, JobOut, PartOut};
use super::super::money::Amount;
use super::super::need::Tier;
use super::plain;

const COLUMNS: [&str; 13] = [
    "vehicle",
    "line",
    "id",
    "name",
    "position",
    "urgency",
    "quantity",
    "unit",
    "price_low",
    "price_high",
    "amount_low",
    "amount_high",
    "findings",
];

type Row = [String; COLUMNS.len()];

/// The estimate as rows, with the row of column names.
///
/// # Errors
/// What the csv crate reports.
pub fn csv(estimate: &Estimate) -> Result<String, csv::Error> {
    let mut rows: Vec<Row> = vec![COLUMNS.map(str::to_string)];
    for job in &estimate.jobs {
        let mut row = Line::new("labour", &job.job, &job.name).at(&job.position).urgent(job.urgency);
        row.findings = findings(&job.findings);
        (row.quantity, row.unit) = (plain(job.hours), "h");
        rows.push(row.amount(Some(Amount::exact(job.labour))).row(&estimate.vehicle));
        rows.extend(job.parts.iter().filter(|p| p.used).map(|p| part(p, job, &estimate.vehicle)));
    }
    for step in &estimate.steps {
        let served: Vec<&JobOut> = step.jobs.iter().filter_map(|n| estimate.jobs.get(*n)).collect();
        let about: Vec<About> = served.iter().flat_map(|j| j.findings.iter().cloned()).collect();
        let mut row = Line::new("step", &step.operation, &step.name).at(&step.position).urgent(step.urgency);
        row.findings = findings(&about);
        (row.quantity, row.unit) = (plain(step.hours), "h");
        rows.push(row.amount(Some(Amount::exact(step.labour))).row(&estimate.vehicle));
        for p in step.parts.iter().filter(|p| p.used) {
            let row = of_part(p).at(&step.position).urgent(step.urgency);
            rows.push(row.row(&estimate.vehicle));
        }
    }
    for lack in &estimate.unpriced {
        let name = &lack.about.part;
        let mut row = Line::new("without price", "", name).at(&lack.position).urgent(lack.about.urgency);
        row.findings.clone_from(&lack.about.finding);
        row.name = lack.action.map_or_else(|| name.clone(), |a| format!("{} {name}", report::action(a)));
        rows.push(row.row(&estimate.vehicle));
    }
    let t = &estimate.totals;
    rows.push(Line::new("supplies", "", "shop supplies").amount(Some(t.supplies)).row(&estimate.vehicle));
    for tax in &t.taxes {
        rows.push(Line::new("tax", "", &tax.name).amount(Some(tax.amount)).row(&estimate.vehicle));
    }
    for (name, amount) in [("labour", Amount::exact(t.labour)), ("parts", t.parts)] {
        rows.push(Line::new("subtotal", "", name).amount(Some(amount)).row(&estimate.vehicle));
    }
    rows.push(Line::new("total", "", &estimate.book.currency).amount(Some(t.total)).row(&estimate.vehicle));
    report::csv_rows(rows)
}

#[derive(Default)]
struct Line {
    kind: &'static str,
    id: String,
    name: String,
    position: String,
    urgency: Option<Tier>,
    quantity: String,
    unit: &'static str,
    price: Option<Amount>,
    amount: Option<Amount>,
    findings: String,
}

impl Line {
    fn new(kind: &'static str, id: &str, name: &str) -> Line {
        Line { kind, id: id.to_string(), name: name.to_string(), ..Line::default() }
    }

    fn at(mut self, position: &[crate::lexicon::Position]) -> Line {
        self.position = position.iter().map(|p| p.as_str()).collect::<Vec<_>>().join(" ");
        self
    }

    fn urgent(mut self, urgency: Tier) -> Line {
        self.urgency = Some(urgency);
        self
    }

    fn amount(mut self, amount: Option<Amount>) -> Line {
        self.amount = amount;
        self
    }

    fn row(self, vehicle: &Vehicle) -> Row {
        let low = |a: Option<Amount>| a.map(|a| a.low.to_string()).unwrap_or_default();
        let high = |a: Option<Amount>| a.map(|a| a.high.to_string()).unwrap_or_default();
        [
            vehicle.identification.clone().unwrap_or_default(),
            self.kind.to_string(),
            self.id,
            self.name,
            self.position,
            self.urgency.map(|u| u.as_str().to_string()).unwrap_or_default(),
            self.quantity,
            self.unit.to_string(),
            low(self.price),
            high(self.price),
            low(self.amount),
            high(self.amount),
            self.findings,
        ]
    }
}

fn of_part(p: &PartOut) -> Line {
    let mut row = Line::new("part", &p.id, &p.name).amount(p.amount);
    row.quantity = plain(p.quantity);
    row.price = p.price;
    row
}

fn part(p: &PartOut, job: &JobOut, vehicle: &Vehicle) -> Row {
    let mut row = of_part(p).at(&job.position).urgent(job.urgency);
    row.findings = findings(&job.findings);
    row.row(vehicle)
}

fn findings(about: &[About]) -> String {
    let mut ids: Vec<&str> = about.iter().map(|a| a.finding.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    ids.join(" ")
}
