//! README's own commands do what README shows.

use super::{Checked, hoistnote, run};

const README: &str = include_str!("../../README.md");

/// The fenced block between two markers of README.
fn block(name: &str) -> Option<&'static str> {
    let marked = README.split(&format!("<!-- {name} -->")).nth(1)?.split(&format!("<!-- /{name} -->")).next()?;
    let fenced = marked.split("```").nth(1)?;
    Some(fenced.split_once('\n')?.1)
}

#[test]
fn the_demo_prints_what_readme_shows() -> Checked {
    let (out, _, code) = run(hoistnote().arg("demo"))?;
    let shown = block("demo").ok_or("README has no demo block")?;
    assert_eq!(code, Some(0));
    holds(&out, shown)
}

/// README may leave lines out of the middle, marked with a line of dots.
fn holds(out: &str, shown: &str) -> Checked {
    let mut rest = out;
    for piece in shown.split("[…]\n") {
        let at = rest.find(piece.trim_end()).ok_or_else(|| format!("this is not printed any more:\n{piece}"))?;
        rest = &rest[at + piece.trim_end().len()..];
    }
    Ok(())
}

#[test]
fn the_demo_is_priced_as_readme_shows() -> Checked {
    let (found, _, _) = run(hoistnote().args(["demo", "--format", "json"]))?;
    let rates = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/rates/larkfield");
    let (out, _, code) = run(hoistnote().args(["price", "-", "--rates", rates]).write_stdin(found))?;
    assert_eq!(code, Some(0));
    holds(&out, block("price").ok_or("README has no price block")?)
}

#[test]
fn the_record_of_readme_is_read() -> Checked {
    let shown = block("records").ok_or("README has no records block")?;
    let record = shown.split('\'').nth(1).ok_or("no quoted record")?;
    let (out, err, code) = run(hoistnote().args(["find", "--records"]).write_stdin(record))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(out.contains("\"path\":\"unit-14\"") && out.contains("brake-pad"), "{out}");
    Ok(())
}

#[test]
fn the_notes_of_readme_are_read() -> Checked {
    let shown = block("notes").ok_or("README has no notes block")?;
    let notes = shown.split('\'').nth(1).ok_or("no quoted notes")?.replace("\\n", "\n");
    let (out, _, code) = run(hoistnote().args(["find", "-"]).write_stdin(notes))?;
    assert_eq!(code, Some(0));
    for part in ["brake pad, left front", "brake pad, right front", "shock absorber, right rear", "battery"] {
        assert!(out.contains(part), "{part} is not in\n{out}");
    }
    Ok(())
}
