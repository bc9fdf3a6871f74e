//! Owns the machine-readable form: the estimate in one line, and the schema of it.

use schemars::generate::SchemaSettings;

use super::super::estimate::Estimate;

/// The estimate in one line, ended by a line feed.
///
/// # Errors
/// What serde_json reports; no estimate gives cause.
pub fn json(estimate: &Estimate) -> Result<String, serde_json::Error> {
    let mut line = serde_json::to_string(estimate)?;
    line.push('\n');
    Ok(line)
}

/// The JSON Schema of [`json`]'s lines, generated from the types.
///
/// # Errors
/// What serde_json reports.
pub fn schema() -> Result<String, serde_json::Error> {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let mut text = serde_json::to_string_pretty(&generator.into_root_schema_for::<Estimate>())?;
    text.push('\n');
    Ok(text)
}
