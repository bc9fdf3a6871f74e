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
    // README may leave lines out of the middle, marked with a line of dots
    let mut rest = out.as_str();
    for piece in shown.split("[…]\n") {
        let at =
            rest.find(piece.trim_end()).ok_or_else(|| format!("the demo does not print this any more:\n{piece}"))?;
        rest = &rest[at + piece.trim_end().len()..];
    }
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
