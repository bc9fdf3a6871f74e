//! Prices: rate books, the cheapest set of jobs, estimates, plans and the forms they are shown in. All figures are invented.

mod book;
mod forms;
mod hand;
mod plans;
mod properties;
mod sample;

use std::sync::Arc;

use hoistnote::diagnostic::SourceFile;
use hoistnote::findings::{Component, Condition, Finding, Vehicle};
use hoistnote::lexicon::{ActionId, ConditionId, Position, UrgencyId, Verdict};
use hoistnote::pricing::{BookProblem, Estimate, JobAt, RateBook, Visit, Wishes};

/// What a test comes to.
type Checked = Result<(), Box<dyn std::error::Error>>;

/// Parts that the books of these tests may name.
const PARTS: [&str; 8] = ["arm", "bushing", "joint", "pad", "rotor", "pump", "belt", "lamp"];

/// A book of one file.
fn read(text: &str) -> Result<RateBook, Vec<BookProblem>> {
    RateBook::read(&[file("book.toml", text)], PARTS)
}

fn book(text: &str) -> RateBook {
    read(text).unwrap_or_else(|problems| {
        let all: Vec<String> = problems.iter().map(|p| p.render(100)).collect();
        panic!("{}", all.join("\n"))
    })
}

fn file(name: &str, text: &str) -> Arc<SourceFile> {
    SourceFile::new(name, text)
}

/// A defect of a part at a place.
fn defect(id: &str, part: &str, position: &[Position]) -> Finding {
    Finding {
        id: id.into(),
        component: Component { id: part.into(), name: part.into(), system: String::new(), aliases: Vec::new() },
        position: position.to_vec(),
        verdict: Verdict::Defect,
        conditions: vec![Condition { id: ConditionId::Worn, degree: None }],
        urgency: Some(UrgencyId::Now),
        actions: vec![ActionId::Replace],
        alternatives: Vec::new(),
        measurements: Vec::new(),
        confidence: 0.9,
        evidence: Vec::new(),
        why: Vec::new(),
        review: None,
    }
}

fn with_urgency(mut finding: Finding, urgency: Option<UrgencyId>) -> Finding {
    finding.urgency = urgency;
    finding
}

fn visit(findings: &[Finding]) -> Visit<'_> {
    Visit {
        vehicle: Vehicle::default(),
        sources: Vec::new(),
        answers: Vec::new(),
        findings: findings.iter().collect(),
        open: 0,
        cautions: Vec::new(),
    }
}

fn estimate(book: &RateBook, findings: &[Finding], wishes: &Wishes) -> Estimate {
    hoistnote::pricing::estimate(book, &visit(findings), wishes).unwrap_or_else(|e| panic!("{e}"))
}

fn job(id: &str) -> JobAt {
    JobAt { job: id.into(), at: Vec::new() }
}

/// Ids of the jobs of an estimate, sorted.
fn jobs(estimate: &Estimate) -> Vec<&str> {
    let mut out: Vec<&str> = estimate.jobs.iter().map(|j| j.job.as_str()).collect();
    out.sort_unstable();
    out
}

/// The upper end of the total.
fn total(estimate: &Estimate) -> String {
    estimate.totals.total.high.to_string()
}
