//! What is handed over from the command line: the customer's report, the work list, checklists.

use super::{Checked, NOTES, file, hoistnote, run};

#[test]
fn a_report_for_the_customer() -> Checked {
    let (out, err, code) = run(hoistnote().args(["find", "-", "--format", "html"]).write_stdin(NOTES))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(out.starts_with("<!DOCTYPE html>") && out.trim_end().ends_with("</html>"), "{out}");
    for words in
        ["Not yet reviewed.", "Brake pad, left front", "left front brake pads are at 2 mm, replace them", "<svg"]
    {
        assert!(out.contains(words), "{words}");
    }
    assert!(!out.contains("Not spoken of"), "a checklist is shown only when it is asked for");
    Ok(())
}

#[test]
fn the_demo_is_marked_as_invented_here_too() -> Checked {
    for format in ["html", "work"] {
        let (out, _, code) = run(hoistnote().args(["demo", "--format", format]))?;
        assert_eq!(code, Some(0));
        assert!(out.to_lowercase().contains("invented example"), "{format}");
    }
    Ok(())
}

#[test]
fn a_work_list_goes_round_the_vehicle() -> Checked {
    let notes = "right rear shock is leaking\nleft front brake pads are at 2 mm, replace them\nhorn works\n";
    let (out, err, code) = run(hoistnote().args(["find", "-", "--format", "work"]).write_stdin(notes))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    let at = |words: &str| out.find(words).ok_or(format!("{words} is not in\n{out}"));
    assert!(
        at("LEFT FRONT")? < at("brake pad, left front")? && at("brake pad, left front")? < at("RIGHT REAR")?,
        "{out}"
    );
    assert!(at("RIGHT REAR")? < at("shock absorber")?, "{out}");
    assert!(!out.contains("horn"), "what is fine is no work:\n{out}");
    Ok(())
}

#[test]
fn a_checklist_names_what_nobody_spoke_of() -> Checked {
    for format in ["table", "markdown", "html", "work"] {
        let arguments = ["find", "-", "--checklist", "light", "--format", format];
        let (out, err, code) = run(hoistnote().args(arguments).write_stdin(NOTES))?;
        assert_eq!((code, err.as_str()), (Some(0), ""), "{format}");
        let out = out.to_lowercase();
        assert!(out.contains("not spoken of") && out.contains("parking brake"), "{format}: {out}");
        assert!(out.contains("pads, shoes or linings (rear)"), "{format}: {out}");
        assert!(!out.contains("battery and wiring"), "{format}: the battery was spoken of");
    }
    Ok(())
}

#[test]
fn a_shop_may_have_a_checklist_of_its_own() -> Checked {
    let dir = tempfile::tempdir()?;
    let list = "[[checklist]]\nid = \"quick\"\nname = \"Depot round\"\nsource = \"the depot's own\"\n\
                point = [{ heading = \"1 All\", name = \"sound of the horn\", parts = [\"horn\"] }]\n";
    file(dir.path(), "lists.toml", list)?;
    let (out, err, code) =
        run(hoistnote().args(["find", "-", "--checklist", "quick", "--lexicon"]).arg(dir.path()).write_stdin(NOTES))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(out.contains("sound of the horn") && out.contains("Depot round"), "{out}");
    Ok(())
}

#[test]
fn what_cannot_be_meant_is_told() -> Checked {
    let dir = tempfile::tempdir()?;
    file(dir.path(), "a.txt", NOTES)?;
    file(dir.path(), "b.txt", NOTES)?;
    let (out, err, code) = run(hoistnote().args(["find", "--format", "html"]).arg(dir.path()))?;
    assert_eq!((code, out.as_str()), (Some(2), ""));
    assert!(err.contains("2 dictations are named; name one"), "{err}");
    let (out, err, code) = run(hoistnote().args(["find", "-", "--checklist", "lihgt"]).write_stdin(NOTES))?;
    assert_eq!((code, out.as_str()), (Some(2), ""));
    assert!(err.contains("lihgt") && err.contains("light, heavy, trailer"), "{err}");
    for format in ["json", "csv"] {
        let arguments = ["find", "-", "--checklist", "light", "--format", format];
        let (out, err, code) = run(hoistnote().args(arguments).write_stdin(NOTES))?;
        assert_eq!((code, out.as_str()), (Some(2), ""));
        assert!(err.contains("--format table, markdown, html and work"), "{err}");
    }
    Ok(())
}
