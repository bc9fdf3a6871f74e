//! Owns the machine-readable forms: one document a line, and the schema of it.

use schemars::generate::SchemaSettings;

use crate::findings::Document;

/// The document in one line, ended by a line feed.
///
/// # Errors
/// What serde_json reports; no document made from a dictation gives cause.
pub fn json(document: &Document) -> Result<String, serde_json::Error> {
    let mut line = serde_json::to_string(document)?;
    line.push('\n');
    Ok(line)
}

/// The JSON Schema of [`json`]'s lines, generated from the types.
///
/// # Errors
/// What serde_json reports.
pub fn schema() -> Result<String, serde_json::Error> {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let mut text = serde_json::to_string_pretty(&generator.into_root_schema_for::<Document>())?;
    text.push('\n');
    Ok(text)
}
