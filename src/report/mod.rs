//! Owns the forms a findings document is shown in. Pure functions from documents to text; knows nothing of files, terminals
//! or how findings are made.

mod csv;
mod json;
mod markdown;
mod quote;
mod reasons;
mod sheet;
mod table;
mod why;
mod wording;

pub use csv::{csv, csv_header, rows as csv_rows};
pub use json::{json, schema};
pub use markdown::markdown;
pub use quote::{Quote, quotes};
pub use sheet::{part, part_at, short_id};
pub use table::table;
pub use why::why;
pub use wording::{action, condition, count, measurement, place, quantity, shown};
