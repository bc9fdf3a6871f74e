//! Owns what goes beyond one visit: customers' answers and the follow-ups they make, visits compared, wear. Pure functions; folders,
//! clocks and terminals are in `cli`.

mod answer;
mod calendar;
mod compare;
mod fit;
mod follow_up;
mod horizon;
mod shown;
mod spreadsheet;
mod visit;
mod wear;

pub use answer::{AnswerLine, HorizonFrom, answer_on, answers};
pub use calendar::calendar;
pub use compare::{Became, Changed, Comparison, VisitAt, VisitInfo, compare};
pub use fit::{Fit, LEVEL};
pub use follow_up::{FollowUp, csv, follow_up, follow_ups, in_order, table as follow_up_table};
pub use horizon::{Horizon, HorizonUnit};
pub use shown::{json, schema, table};
pub use spreadsheet::rows as comparison_csv;
pub use visit::visit;
pub use wear::{Mark, Meets, Reading, Trend, Wear};
