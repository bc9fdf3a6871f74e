//! The other commands: `why`, `demo`, `schema`, `completions`, `--version`, `--help`.

use serde_json::Value;

use super::{Checked, NOTES, hoistnote, run};

/// Ids of the findings of the notes.
fn ids() -> Result<Vec<String>, Box<dyn std::error::Error>> {
    let (out, _, _) = run(hoistnote().args(["find", "-", "--format", "json"]).write_stdin(NOTES))?;
    let document: Value = serde_json::from_str(&out)?;
    let findings = document["findings"].as_array().into_iter().flatten();
    Ok(findings.filter_map(|f| f["id"].as_str().map(str::to_string)).collect())
}

#[test]
fn why_takes_an_id_or_the_start_of_one() -> Checked {
    let ids = ids()?;
    let Some(id) = ids.first() else { panic!("no findings in the notes") };
    let start =
        (1..=id.len()).filter_map(|n| id.get(..n)).find(|s| ids.iter().filter(|i| i.starts_with(s)).count() == 1);
    for id in [id.as_str(), start.unwrap_or(id), &format!("#{}", id.to_uppercase())] {
        let (out, err, code) = run(hoistnote().args(["why", "-", id]).write_stdin(NOTES))?;
        assert_eq!((code, err.as_str()), (Some(0), ""), "{id}");
        for head in ["THE WORDS", "THE PART", "THE VERDICT"] {
            assert!(out.contains(head), "{out}");
        }
    }
    Ok(())
}

#[test]
fn why_lists_the_ids_when_none_fits() -> Checked {
    let (out, err, code) = run(hoistnote().args(["why", "-", "zzzz"]).write_stdin(NOTES))?;
    assert_eq!((code, out.as_str()), (Some(2), ""));
    for id in ids()? {
        assert!(id.get(..4).is_some_and(|start| err.contains(start)), "{id}: {err}");
    }
    Ok(())
}

#[test]
fn why_of_what_is_not_there() -> Checked {
    let (_, err, code) = run(hoistnote().args(["why", "no-such-file", "a"]))?;
    assert_eq!(code, Some(1));
    assert!(err.starts_with("no-such-file: "), "{err}");
    let dir = tempfile::tempdir()?;
    for name in ["a.txt", "b.txt"] {
        super::file(dir.path(), name, NOTES)?;
    }
    let (_, err, code) = run(hoistnote().arg("why").arg(dir.path()).arg("a"))?;
    assert_eq!(code, Some(2), "{err}");
    Ok(())
}

/// In every form the demo says that it is invented.
#[test]
fn the_demo_is_marked_as_invented() -> Checked {
    for format in ["table", "json", "csv", "markdown"] {
        let (out, _, code) = run(hoistnote().args(["demo", "--format", format]))?;
        assert_eq!(code, Some(0));
        let second = out.lines().filter(|l| !l.is_empty()).nth(usize::from(format != "json")).unwrap_or_default();
        assert!(second.contains("invented example"), "{format}: {second}");
    }
    Ok(())
}

#[test]
fn the_demo_shows_the_very_dictation_it_reads() -> Checked {
    let (text, _, code) = run(hoistnote().args(["demo", "--text"]))?;
    assert_eq!(code, Some(0));
    assert_eq!(text, include_str!("../../samples/demo-walkaround.vtt"));
    let (by_demo, _, _) = run(hoistnote().args(["demo", "--format", "json"]))?;
    let (by_find, warnings, _) = run(hoistnote().args(["find", "-", "--format", "json"]).write_stdin(text))?;
    assert_eq!(warnings, "");
    let (by_demo, by_find): (Value, Value) = (serde_json::from_str(&by_demo)?, serde_json::from_str(&by_find)?);
    assert_eq!(by_demo["findings"], by_find["findings"]);
    Ok(())
}

#[test]
fn the_schema_is_the_one_checked_in() -> Checked {
    let (out, _, code) = run(hoistnote().arg("schema"))?;
    assert_eq!(code, Some(0));
    assert_eq!(out, include_str!("../../samples/findings.schema.json"));
    Ok(())
}

/// What the program prints keeps to the schema that the program prints.
#[test]
fn real_output_keeps_to_the_schema() -> Checked {
    let (schema, _, _) = run(hoistnote().arg("schema"))?;
    let (out, _, _) = run(hoistnote().args(["demo", "--format", "json"]))?;
    let (schema, value): (Value, Value) = (serde_json::from_str(&schema)?, serde_json::from_str(&out)?);
    crate::reports::schema::breaks(&value, &schema, &schema, "")?;
    Ok(())
}

#[test]
fn completions_for_every_shell() -> Checked {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (out, err, code) = run(hoistnote().args(["completions", shell]))?;
        assert_eq!((code, err.as_str()), (Some(0), ""), "{shell}");
        assert!(out.contains("hoistnote") && out.contains("drives-on"), "{shell}");
    }
    Ok(())
}

#[test]
fn version_and_help_are_no_errors() -> Checked {
    let (out, _, code) = run(hoistnote().arg("--version"))?;
    assert_eq!((code, out.as_str()), (Some(0), concat!("hoistnote ", env!("CARGO_PKG_VERSION"), "\n")));
    let (out, _, code) = run(hoistnote().args(["find", "--help"]))?;
    assert_eq!(code, Some(0));
    assert!(out.contains("--drives-on"));
    Ok(())
}
