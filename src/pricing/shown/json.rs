//! Owns the machine-readable form: the estimate in one line, and the schema of it.

use super::super::estimate::Estimate;
use crate::report;

/// The estimate in one line, ended by a line feed.
///
/// # Errors
/// What serde_json reports; no estimate gives cause.
pub fn json(estimate: &Estimate) -> Result<String, serde_json::Error> {
    report::json_line(estimate)
}

/// The JSON Schema of [`json`]'s lines, generated from the types.
///
/// # Errors
/// What serde_json reports.
pub fn schema() -> Result<String, serde_json::Error> {
    report::json_schema::<Estimate>()
}
