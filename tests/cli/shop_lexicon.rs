//! A shop's own lexicon folder on top of the built-in one.

use super::{Checked, file, hoistnote, run};

const NOTES: &str = "right front clamper is leaking\n";

#[test]
fn a_nickname_of_the_shop_is_known() -> Checked {
    let folder = tempfile::tempdir()?;
    file(
        folder.path(),
        "parts.toml",
        "system = \"brakes\"\n\n[[part]]\nid = \"brake-caliper\"\nalso = [\"clamper\"]\n",
    )?;
    let (out, _, code) = run(hoistnote().args(["find", "-", "--lexicon"]).arg(folder.path()).write_stdin(NOTES))?;
    assert_eq!(code, Some(0));
    assert!(out.contains("brake caliper, right front"), "{out}");
    Ok(())
}

#[test]
fn what_is_wrong_in_a_file_is_named_with_its_place() -> Checked {
    for (text, wants) in [
        (
            "system = \"brakes\"\n\n[[part]]\nid = \"brake-calliper\"\nalso = [\"clamper\"]\n",
            ":4:6: no part has the id \"brake-calliper\"",
        ),
        ("system = \"brakes\"\n\n[[part]]\nid = \"brake-calliper\"\nretire = true\n", "\"brake-caliper\"?"),
        ("system = \"brakes\"\n\n[[part]]\nid = \"x\"\nnmae = \"x\"\n", ":5:1: unknown field `nmae`"),
        ("[[part]]\nid = \"x\"\nname = \"x\"\n", "missing field `system`"),
        ("system = \"brakes\"\n[[part\n", ":2:"),
    ] {
        let folder = tempfile::tempdir()?;
        file(folder.path(), "parts.toml", text)?;
        let (out, err, code) = run(hoistnote().args(["find", "-", "--lexicon"]).arg(folder.path()).write_stdin(NOTES))?;
        assert_eq!(code, Some(1), "{text}: {err}");
        assert!(out.is_empty(), "{out}");
        assert!(err.contains(wants), "{text}: {err}");
        let all = format!("`hoistnote lexicon check {}` shows all", folder.path().display());
        assert!(err.contains(&all), "{text}: {err}");
    }
    Ok(())
}

#[test]
fn a_limit_of_the_shop_takes_the_place_of_a_built_in_one() -> Checked {
    let folder = tempfile::tempdir()?;
    file(
        folder.path(),
        "limits.toml",
        "[[limit]]\nid = \"us-light-tread\"\nparts = [\"tire-tread\"]\nunit = \"1/32in\"\nvalue = 3\nfails = \"below\"\n\
         class = \"light\"\njurisdiction = \"us\"\nurgency = \"now\"\nsource = \"Larkfield's own rule\"\n",
    )?;
    let read = |with: &[&std::ffi::OsStr]| {
        let mut command = hoistnote();
        command.args(["find", "-", "--vehicle", "light", "--format", "json"]).args(with);
        run(command.write_stdin("left front tire tread measures 5/32\n"))
    };
    let (before, _, _) = read(&[])?;
    assert!(before.contains("49 CFR 570.9(a)") && !before.contains("Larkfield"), "{before}");
    let (after, err, _) = read(&["--lexicon".as_ref(), folder.path().as_os_str()])?;
    assert!(after.contains("Larkfield's own rule") && !after.contains("49 CFR 570.9(a)"), "{after}{err}");
    Ok(())
}
