//! Owns the machine-readable forms: one document a line, and the schema of it.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::findings::Document;

/// The document in one line, ended by a line feed.
///
/// # Errors
/// What serde_json reports; no document made from a dictation gives cause.
pub fn json(document: &Document) -> Result<String, serde_json::Error> {
    json_line(document)
}

/// The JSON Schema of [`json`]'s lines, generated from the types.
///
/// # Errors
/// What serde_json reports.
pub fn schema() -> Result<String, serde_json::Error> {
    json_schema::<Document>()
}

/// A value in one line, ended by a line feed.
///
/// # Errors
/// What serde_json reports.
pub fn json_line<T: Serialize>(value: &T) -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string(value)? + "\n")
}

/// The JSON Schema of a type as it is written.
///
/// # Errors
/// What serde_json reports.
pub fn json_schema<T: JsonSchema>() -> Result<String, serde_json::Error> {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    Ok(serde_json::to_string_pretty(&generator.into_root_schema_for::<T>())? + "\n")
}
