//! Owns prices: a shop's rate book, the cheapest complete set of jobs for the findings of a visit, the estimate and plans made of
//! it. Pure functions; files are read and written by `cli`.

mod answer;
mod book;
mod book_check;
mod book_file;
mod cover;
mod cycles;
mod estimate;
mod figure;
mod money;
mod need;
mod plan;
mod problem;
mod reckon;
mod shown;
mod site;
mod solve;
mod totals;

pub use answer::{Answer, Answered};
pub use book::{Base, Cover, HoursAt, Job, Labour, Operation, PartChoice, PartLine, RateBook, Supplies, Tax, Work};
pub use book_file::{BookFault, BookProblem};
pub use estimate::{
    About, BookInfo, Choice, Estimate, InsteadOut, JobOut, OtherJob, PartOut, StepOut, TierSum, Unpriced, WishesOut,
    WithoutJob,
};
pub use money::{Amount, Rounding, rounded, sum};
pub use need::{Need, Tier};
pub use plan::{BetterNow, BudgetPlan, JobRef, Plans, RepeatedStep, VisitOut, VisitPlan, over_visits, within_budget};
pub use problem::{Cost, Instance, Item, JobAt, Problem, Step, Wishes};
pub use reckon::{Visit, estimate};
pub use shown::{Ask, STYLE, choice_costs, csv, json, page, schema, sheet, table, total};
pub use site::{Per, Site};
pub use solve::{Goal, Unsolved, cheapest};
pub use totals::{TaxAmount, Totals, exact};
