//! The JSON Schema: the copy that is checked in is the one generated, and what is printed keeps to it.

use hoistnote::findings::Document;
use hoistnote::report;
use serde_json::{Map, Value};

use super::made;

type Checked = Result<(), Box<dyn std::error::Error>>;

/// Where a value breaks its schema; an error too for a keyword this check does not know, so that nothing goes unchecked.
pub fn breaks(value: &Value, schema: &Value, root: &Value, at: &str) -> Result<(), String> {
    let Value::Object(rules) = schema else {
        return if schema == &Value::Bool(true) { Ok(()) } else { Err(format!("{at}: nothing may stand here")) };
    };
    for (keyword, rule) in rules {
        keeps(keyword, rule, rules, value, root, at)?;
    }
    Ok(())
}

fn keeps(
    keyword: &str,
    rule: &Value,
    rules: &Map<String, Value>,
    value: &Value,
    root: &Value,
    at: &str,
) -> Result<(), String> {
    let any = |of: &Value| of.as_array().map_or(0, |a| a.iter().filter(|s| breaks(value, s, root, at).is_ok()).count());
    let kept = match keyword {
        "$schema" | "$defs" | "title" | "description" | "default" | "format" => true,
        "$ref" => {
            let Some(target) = rule.as_str().and_then(|r| root.pointer(r.trim_start_matches('#'))) else {
                return Err(format!("{at}: {rule} leads nowhere"));
            };
            return breaks(value, target, root, at);
        }
        "type" => match rule {
            Value::Array(names) => names.iter().any(|n| is(value, n)),
            name => is(value, name),
        },
        "const" => value == rule,
        "enum" => rule.as_array().is_some_and(|a| a.contains(value)),
        "oneOf" => any(rule) == 1,
        "anyOf" => any(rule) > 0,
        "minimum" => value.as_f64().is_none_or(|v| rule.as_f64().is_some_and(|r| v >= r)),
        "pattern" => {
            let pattern = regex::Regex::new(rule.as_str().unwrap_or_default()).map_err(|e| e.to_string())?;
            value.as_str().is_none_or(|v| pattern.is_match(v))
        }
        "additionalProperties" => rule == &Value::Bool(false), // "properties" is stricter
        "minItems" => value.as_array().is_none_or(|a| a.len() as u64 >= rule.as_u64().unwrap_or(u64::MAX)),
        "maxItems" => value.as_array().is_none_or(|a| a.len() as u64 <= rule.as_u64().unwrap_or(0)),
        "prefixItems" => {
            let mut pairs = value.as_array().into_iter().flatten().zip(rule.as_array().into_iter().flatten());
            return pairs.try_for_each(|(v, s)| breaks(v, s, root, at));
        }
        "required" => {
            let names = rule.as_array().into_iter().flatten().filter_map(Value::as_str);
            names.into_iter().all(|n| value.get(n).is_some())
        }
        "items" => {
            let items = value.as_array().into_iter().flatten().enumerate();
            return items.into_iter().try_for_each(|(i, v)| breaks(v, rule, root, &format!("{at}/{i}")));
        }
        "properties" => {
            let members = value.as_object().into_iter().flatten();
            return members.into_iter().try_for_each(|(name, v)| match rule.get(name) {
                Some(s) => breaks(v, s, root, &format!("{at}/{name}")),
                // stricter than the schema: a name that it does not list is a mistake here
                None => Err(format!("{at}/{name}: not in the schema")),
            });
        }
        other => return Err(format!("{at}: the check does not know the keyword {other}")),
    };
    if kept { Ok(()) } else { Err(format!("{at}: {value} breaks {keyword} {}", rules.get(keyword).unwrap_or(rule))) }
}

fn is(value: &Value, name: &Value) -> bool {
    match name.as_str() {
        Some("object") => value.is_object(),
        Some("array") => value.is_array(),
        Some("string") => value.is_string(),
        Some("number") => value.is_number(),
        Some("integer") => value.is_u64() || value.is_i64(),
        Some("boolean") => value.is_boolean(),
        Some("null") => value.is_null(),
        _ => false,
    }
}

fn schema() -> Result<Value, Box<dyn std::error::Error>> {
    Ok(serde_json::from_str(&report::schema()?)?)
}

#[test]
fn the_copy_checked_in_is_the_one_generated() -> Checked {
    let generated = report::schema()?;
    let kept = include_str!("../../samples/findings.schema.json").replace("\r\n", "\n");
    assert!(generated == kept, "the types changed: run `hoistnote schema > samples/findings.schema.json`");
    Ok(())
}

#[test]
fn documents_keep_to_the_schema() -> Checked {
    let schema = schema()?;
    for document in [made::document(), made::empty()] {
        let value: Value = serde_json::from_str(&report::json(&document)?)?;
        breaks(&value, &schema, &schema, "")?;
    }
    Ok(())
}

#[test]
fn the_check_sees_what_is_wrong() -> Checked {
    let schema = schema()?;
    let good: Value = serde_json::from_str(&report::json(&made::document())?)?;
    let broken = [
        ("/findings/0/verdict", Value::from("splendid")),
        ("/findings/0/position/0", Value::from("sideways")),
        ("/findings/0/confidence", Value::from("high")),
        ("/utterances/0/n", Value::from(-1)),
        ("/source", Value::Null),
    ];
    for (at, wrong) in broken {
        let mut value = good.clone();
        let Some(place) = value.pointer_mut(at) else { panic!("{at} is not there") };
        *place = wrong;
        assert!(breaks(&value, &schema, &schema, "").is_err(), "{at}");
    }
    Ok(())
}

/// One document a line: the text of a line can't break it.
#[test]
fn a_document_is_one_line_and_reads_back() -> Checked {
    let mut document = made::document();
    document.utterances[0].text = "two\nlines\r\n\u{2028}".into();
    let json = report::json(&document)?;
    assert_eq!(json.matches('\n').count(), 1);
    assert!(json.ends_with('\n'));
    assert_eq!(serde_json::from_str::<Document>(&json)?, document);
    Ok(())
}
