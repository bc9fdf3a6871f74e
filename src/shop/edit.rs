//! Owns changes to a lexicon file: phrases are added where they belong; comments, order and layout stay as they are.

use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, TomlError, Value, value};

use super::reading::Key;
use crate::lexicon::{ActionId, ConditionId, Family, Lexicon, Shape};

/// A phrase to be added.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Addition {
    /// Family of the entry.
    pub family: Family,
    /// Its id; of a word spelt otherwise, the word.
    pub id: String,
    /// System of the part, for an entry that makes a new one.
    pub system: Option<String>,
    /// Where in the entry.
    pub key: Key,
    /// The words.
    pub phrase: String,
}

/// Head of a file that begins with the first addition.
const HEAD: &str =
    "# Words of our shop, on top of the built-in lexicon. Edit freely; `hoistnote lexicon check` finds slips.\n";

/// The text of a file with additions; what it has already is not written twice. An empty text gets a head.
///
/// # Errors
/// The text is no TOML.
pub fn with_additions(text: &str, additions: &[Addition]) -> Result<String, TomlError> {
    let mut document: DocumentMut = text.parse()?;
    let fresh = document.is_empty() && text.trim().is_empty();
    for a in additions {
        let empty = match a.family.shape() {
            Shape::Tables => Item::ArrayOfTables(ArrayOfTables::new()),
            Shape::Words => value(Array::new()),
            Shape::Map => Item::Table(Table::new()),
        };
        match document.entry(a.family.key()).or_insert(empty) {
            // `[spelling]`: the word, then how else it is written
            Item::Table(map) => {
                if let Some(list) = map.entry(&a.id).or_insert(value(Array::new())).as_array_mut() {
                    push(list, &a.phrase);
                }
            }
            Item::Value(Value::Array(list)) if a.family.shape() == Shape::Words => push(list, &a.phrase),
            Item::ArrayOfTables(tables) => add_to_tables(tables, a),
            // `part = [{ … }]`: the same in one line
            Item::Value(Value::Array(inline)) => add_to_inline(inline, a),
            _ => {}
        }
    }
    let out = document.to_string();
    Ok(if fresh && !out.is_empty() { format!("{HEAD}{out}") } else { out })
}

fn add_to_tables(tables: &mut ArrayOfTables, a: &Addition) {
    if let Some(table) = tables.iter_mut().find(|t| has_id(*t, &a.id)) {
        return fill(table, a);
    }
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    begin(&mut table, a);
    fill(&mut table, a);
    tables.push(table);
}

fn add_to_inline(entries: &mut Array, a: &Addition) {
    if let Some(table) = entries.iter_mut().filter_map(Value::as_inline_table_mut).find(|t| has_id(*t, &a.id)) {
        return fill(table, a);
    }
    let mut table = InlineTable::new();
    begin(&mut table, a);
    fill(&mut table, a);
    entries.push(table);
}

fn has_id(entry: &dyn TableLike, id: &str) -> bool {
    entry.get("id").and_then(Item::as_str) == Some(id)
}

fn begin(entry: &mut dyn TableLike, a: &Addition) {
    entry.insert("id", value(&a.id));
    if let Some(system) = &a.system {
        entry.insert("system", value(system));
    }
}

/// Adds the phrase to its entry; a name that is there stays.
fn fill(entry: &mut dyn TableLike, a: &Addition) {
    let key = a.key.name();
    if a.key == Key::Name {
        entry.entry(key).or_insert(value(&a.phrase));
    } else if let Some(list) = entry.entry(key).or_insert(value(Array::new())).as_array_mut() {
        push(list, &a.phrase);
    }
}

/// Adds a phrase behind the last one, laid out like it.
fn push(list: &mut Array, phrase: &str) {
    if list.iter().any(|v| v.as_str() == Some(phrase)) {
        return;
    }
    let lines =
        list.iter().last().and_then(|v| v.decor().prefix()).and_then(|p| p.as_str()).filter(|p| p.contains('\n'));
    let lines = lines.map(str::to_string);
    match lines {
        Some(prefix) => list.push_formatted(Value::from(phrase).decorated(prefix, "")),
        None => list.push(phrase),
    }
}

/// The entry that a term stands for: a part by its id or any firm name, else a condition or action by its id.
pub fn entry_of(term: &str, lexicon: &Lexicon) -> Option<(Family, String)> {
    let id = term.trim();
    if lexicon.part_by_id(id).is_some() {
        return Some((Family::Part, id.to_string()));
    }
    if let Some(part) = lexicon.strong_part(&lexicon.fold(term)) {
        return Some((Family::Part, lexicon.parts[part].id.clone()));
    }
    let word = id.to_lowercase().replace(' ', "_");
    if ConditionId::ALL.iter().any(|c| c.as_str() == word) {
        return Some((Family::Condition, word));
    }
    ActionId::ALL.iter().any(|a| a.as_str() == word).then_some((Family::Action, word))
}
