//! Owns the forms a findings document is shown in. Pure functions from documents to text; knows nothing of files, terminals
//! or how findings are made.

mod columns;
mod csv;
mod drawing;
mod handover;
mod html;
mod json;
mod markdown;
mod place;
mod quote;
mod reasons;
mod sheet;
mod table;
mod why;
mod wording;

pub use columns::Columns;
pub use csv::{csv, csv_header, rows as csv_rows};
pub use drawing::{DRAWING_STYLE, Marks, drawing, outline_of, sign};
pub use handover::{Handover, Photo, PhotoError, SetAside, Standing, customer_report, work_list_html, work_list_text};
pub use html::html_page;
pub use json::{json, json_line, json_schema, schema};
pub use markdown::{markdown, markdown_of_gaps};
pub use quote::{Quote, quotes};
pub use sheet::{Group, Numbered, grouped, part, part_at, short_id, to_do};
pub use table::{table, table_of_gaps};
pub use why::why;
pub use wording::{action, at, condition, count, gap, measurement, place, quantity, shown, time, urgency, verdict};
