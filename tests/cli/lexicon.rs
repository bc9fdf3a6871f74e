//! `lexicon`, as a foreman uses it.

use std::path::Path;

use serde_json::Value;

use super::{Checked, file, hoistnote, run};

const CLAMPER: &str = "# Larkfield's own words\nsystem = \"brakes\"\n\n[[part]]\nid = \"brake-caliper\"\nalso = [\"clamper\"] # said by all\n";
/// Invented notes of Larkfield depot.
const NOTES: &str = "left front brake pads are at 2 mm, replace them\nright rear clamper leaking\nhorn not working\n";

fn lexicon(
    arguments: &[&str],
    folder: Option<&Path>,
) -> Result<(String, String, Option<i32>), Box<dyn std::error::Error>> {
    let mut command = hoistnote();
    command.arg("lexicon").args(arguments);
    if let Some(folder) = folder {
        command.arg("--lexicon").arg(folder);
    }
    run(&mut command)
}

#[test]
fn check_tells_the_status() -> Checked {
    let folder = tempfile::tempdir()?;
    let path = folder.path().to_string_lossy().into_owned();
    file(folder.path(), "parts.toml", CLAMPER)?;
    let (out, _, code) = lexicon(&["check", &path], None)?;
    assert_eq!((out.as_str(), code), ("1 file, 1 entry, 0 examples: no problems, 0 warnings\n", Some(0)));
    file(folder.path(), "more.toml", "[[part]]\nid = \"brake-caliper\"\nalso = [\"horse\"]\n")?;
    let (out, _, code) = lexicon(&["check", &path], None)?;
    assert!(
        out.contains("warning[plain_word]") && out.contains("also = [\"horse\"]") && out.contains("^^^^^^^"),
        "{out}"
    );
    assert_eq!(code, Some(0), "warnings pass");
    assert_eq!(lexicon(&["check", &path, "--strict"], None)?.2, Some(1));
    file(folder.path(), "more.toml", "[[part]]\nid = \"brake-calliper\"\nalso = [\"zz\"]\n")?;
    let (out, _, code) = lexicon(&["check", &path, "--format", "json"], None)?;
    assert_eq!(code, Some(1));
    let answer: Value = serde_json::from_str(&out)?;
    let problem = &answer["problems"][0];
    assert_eq!(
        (&problem["kind"], &problem["line"], &problem["column"]),
        (&"unknown_reference".into(), &2.into(), &6.into())
    );
    assert!(problem["file"].as_str().is_some_and(|f| f.ends_with("more.toml")));
    let (_, err, code) = lexicon(&["check", "no-such-folder"], None)?;
    assert_eq!(code, Some(1));
    assert!(err.contains("no folder"), "{err}");
    let empty = tempfile::tempdir()?;
    let (out, err, code) = lexicon(&["check", &empty.path().display().to_string()], None)?;
    assert_eq!((out.as_str(), code), ("", Some(1)));
    assert!(err.contains("nothing to check"), "{err}");
    Ok(())
}

/// A list without its end spoils all that follows: one problem is told, where the list opens, and what stands before is read.
#[test]
fn a_list_left_open_is_one_problem_where_it_opens() -> Checked {
    let folder = tempfile::tempdir()?;
    let sound = "system = \"brakes\"\n\n[[part]]\nid = \"w\"\nname = \"w thing\"\n\n";
    let broken = "[[part]]\nid = \"x\"\nname = \"x thing\"\nalso = [\"a thing\",\n  \"b thing\"\n\n";
    let after = "[[part]]\nid = \"y\"\nname = \"y thing\"\nalso = [\"c thing\"]\n";
    file(folder.path(), "a.toml", format!("{sound}{broken}{after}"))?;
    let path = folder.path().display().to_string();
    let (out, _, code) = lexicon(&["check", &path, "--format", "json"], None)?;
    assert_eq!(code, Some(1));
    let answer: Value = serde_json::from_str(&out)?;
    let problem = &answer["problems"][0];
    assert_eq!((&answer["errors"], &answer["entries"]), (&1.into(), &1.into()), "{out}");
    assert_eq!(
        (&problem["kind"], &problem["line"], &problem["column"]),
        (&"syntax".into(), &10.into(), &8.into()),
        "{out}"
    );
    Ok(())
}

#[test]
fn what_is_not_there_is_unread_input_for_every_command() -> Checked {
    for arguments in [
        &["find", "nowhere"][..],
        &["final", "nowhere"],
        &["decide", "nowhere", "accept", "a"],
        &["desk", "nowhere"],
        &["due", "nowhere"],
        &["price", "--rates", "nowhere"],
        &["lexicon", "replay", "nowhere", "--lexicon", "nowhere"],
        &["lexicon", "suggest", "nowhere"],
        &["lexicon", "check", "nowhere"],
    ] {
        let (out, err, code) = super::run(super::hoistnote().args(arguments))?;
        assert_eq!((out.as_str(), code), ("", Some(1)), "{arguments:?}: {err}");
        assert!(err.contains("nowhere: ") && !err.contains("os error"), "{arguments:?}: {err}");
    }
    Ok(())
}

#[test]
fn try_shows_how_words_are_read() -> Checked {
    let folder = tempfile::tempdir()?;
    file(folder.path(), "parts.toml", CLAMPER)?;
    let (out, _, code) =
        lexicon(&["try", "right front clamper leaking, brake padd thin, the alternater"], Some(folder.path()))?;
    assert_eq!(code, Some(0));
    for line in [
        "right front  place front right",
        "clamper      part brake-caliper\n",
        "leaking      condition leak\n",
        "part brake-pad, by sound as \"brake pad\"",
        "part alternator, by s",
        "the          -\n",
        "brake caliper, right front",
    ] {
        assert!(out.contains(line), "{line} is not in\n{out}");
    }
    let (out, _, _) = lexicon(&["try", "the clampr is leaking"], Some(folder.path()))?;
    assert!(out.contains("clampr"), "{out}");
    let (out, _, _) = lexicon(&["try", "wiper blaze torn", "--format", "json"], None)?;
    let tried: Value = serde_json::from_str(&out)?;
    assert_eq!(tried["tokens"].as_array().map(Vec::len), Some(3));
    Ok(())
}

#[test]
fn what_came_close_is_told_with_the_reason() -> Checked {
    let (out, _, _) = lexicon(&["try", "the alternter bracktt is loose", "--format", "json"], None)?;
    let tried: Value = serde_json::from_str(&out)?;
    let close = tried["close"].as_array().cloned().unwrap_or_default();
    let read = tried["read"].as_array().cloned().unwrap_or_default();
    assert!(!close.is_empty() || read.iter().any(|r| r["by"] == "spelling" || r["by"] == "sound"), "{out}");
    for c in close {
        assert!(c["why_not"].as_str().is_some_and(|w| !w.is_empty()));
        assert!(c["spelling"].as_f64().is_some_and(|s| (0.6..1.0).contains(&s)));
    }
    Ok(())
}

#[test]
fn try_keeps_to_the_columns() -> Checked {
    let (out, _, _) = lexicon(&["try", "left front clamper is leaking, pads are thin"], None)?;
    assert!(out.contains("WHAT CAME CLOSE") && out.lines().all(|l| l.chars().count() <= 80), "{out}");
    let (_, err, code) = lexicon(&["try", " "], None)?;
    assert_eq!(code, Some(2));
    assert!(err.contains("no words to try") && !err.contains("recording"), "{err}");
    Ok(())
}

#[test]
fn words_and_hints() -> Checked {
    let folder = tempfile::tempdir()?;
    file(folder.path(), "parts.toml", CLAMPER)?;
    let (all, _, _) = lexicon(&["words"], Some(folder.path()))?;
    assert!(all.lines().any(|l| l == "clamper") && all.lines().any(|l| l == "brake pad"));
    let sorted = all.lines().collect::<Vec<_>>();
    assert!(sorted.is_sorted() && sorted.len() > 20_000);
    for most in ["5", "60", "224"] {
        let (hint, _, _) = lexicon(&["words", "--hint", most], Some(folder.path()))?;
        assert!(hint.starts_with("clamper"), "the shop's own come first: {hint}");
        assert!(hoistnote::shop::tokens(hint.trim()) <= most.parse()?, "{hint}");
    }
    Ok(())
}

#[test]
fn show_stats_and_export() -> Checked {
    let folder = tempfile::tempdir()?;
    file(folder.path(), "parts.toml", CLAMPER)?;
    let (out, _, code) = lexicon(&["show", "clamper"], Some(folder.path()))?;
    assert_eq!(code, Some(0));
    assert!(out.contains("# built-in lexicon/parts/brakes.toml:") && out.contains("also = [\"clamper\"]"), "{out}");
    assert_eq!(lexicon(&["show", "no such thing"], None)?.2, Some(2));
    let (out, _, _) = lexicon(&["stats", "--format", "json"], Some(folder.path()))?;
    let stats: Value = serde_json::from_str(&out)?;
    assert_eq!((&stats["own_phrases"], &stats["own_parts"]), (&1.into(), &0.into()));
    let (out, _, _) = lexicon(&["export", "--own"], Some(folder.path()))?;
    let mut reader = csv::Reader::from_reader(out.as_bytes());
    let rows = reader.records().collect::<Result<Vec<_>, _>>()?;
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0].iter().take(5).collect::<Vec<_>>(), ["part", "brake-caliper", "brakes", "also", "clamper"]);
    let (json, _, _) = lexicon(&["export", "--format", "json"], Some(folder.path()))?;
    let all: Vec<Value> = serde_json::from_str(&json)?;
    let (csv_text, _, _) = lexicon(&["export"], Some(folder.path()))?;
    assert_eq!(csv::Reader::from_reader(csv_text.as_bytes()).records().count(), all.len());
    Ok(())
}

#[test]
fn import_takes_nicknames_over_and_keeps_the_file() -> Checked {
    let folder = tempfile::tempdir()?;
    let ours = file(folder.path(), "parts.toml", CLAMPER)?;
    let table = file(
        folder.path(),
        "nick.csv",
        "term,nickname\ncaliper,squeezer\nalternator,\"Ally, the\"\nbrake caliper,brake pad\nzorp,x\nleak,widdling away\nalternator\n",
    )?;
    let (_, err, code) = lexicon(&["import", &table.to_string_lossy()], Some(folder.path()))?;
    assert_eq!(code, Some(1), "{err}");
    for what in [
        "3 nicknames taken over into ",
        "; 3 lines left out",
        "nick.csv:4: \"brake pad\" is a name of part \"brake-pad\"",
        "nick.csv:5: no entry",
        "nick.csv:7: not two columns",
    ] {
        assert!(err.contains(what), "{what}: {err}");
    }
    let text = std::fs::read_to_string(&ours)?;
    assert_eq!(text, CLAMPER.replace("[\"clamper\"]", "[\"clamper\", \"squeezer\"]"), "comments and layout stay");
    let words = std::fs::read_to_string(folder.path().join("words.toml"))?;
    assert!(
        words.contains("id = \"alternator\"\nalso = [\"ally, the\"]") && words.contains("say = [\"widdling away\"]"),
        "{words}"
    );
    let one = file(folder.path(), "one.csv", "horn,honker\nzorp,x\n")?;
    let (_, err, _) = lexicon(&["import", &one.to_string_lossy()], Some(tempfile::tempdir()?.path()))?;
    assert!(err.contains("1 nickname taken over into ") && err.contains("; 1 line left out"), "{err}");
    // a second time nothing changes
    lexicon(&["import", &table.to_string_lossy()], Some(folder.path()))?;
    assert_eq!(
        (std::fs::read_to_string(&ours)?, std::fs::read_to_string(folder.path().join("words.toml"))?),
        (text, words)
    );
    Ok(())
}

#[test]
fn suggest_proposes_and_writes_what_is_taken() -> Checked {
    let folder = tempfile::tempdir()?;
    let past = tempfile::tempdir()?;
    let lines = "unit 3: replace brake hyraulic hose\nunit 4: grobbler is leaking\nreplace grobbler, cracked\nthe grobbler seal is worn\ncheck hyraulic pump\n";
    file(past.path(), "notes.txt", lines.repeat(3))?;
    let past = past.path().to_string_lossy().into_owned();
    let (out, _, code) = lexicon(&["suggest", &past, "--format", "json"], None)?;
    assert_eq!(code, Some(0));
    let list: Vec<Value> = serde_json::from_str(&out)?;
    let find = |words: &str| list.iter().position(|s| s["words"] == words);
    let (term, slip) = (find("grobbler").ok_or("no grobbler")?, find("hyraulic").ok_or("no hyraulic")?);
    assert_eq!((&list[term]["kind"], &list[term]["count"]), (&"new_part".into(), &9.into()));
    assert_eq!((&list[slip]["kind"], &list[slip]["id"]), (&"mishearing".into(), &"hydraulic".into()));
    assert!(list[slip]["examples"][0].as_str().is_some_and(|l| l.contains("hyraulic hose")));
    let ours = file(folder.path(), "words.toml", "# ours\n[spelling]\n# pumps\npump = [\"pmpe\"]\n")?;
    let number = (slip + 1).to_string();
    let (_, err, code) = lexicon(&["suggest", &past, "--accept", &number], Some(folder.path()))?;
    assert_eq!(code, Some(0), "{err}");
    assert_eq!(
        std::fs::read_to_string(&ours)?,
        "# ours\n[spelling]\n# pumps\npump = [\"pmpe\"]\nhydraulic = [\"hyraulic\"]\n"
    );
    // the list as it is written can be ticked off and read back; what a spreadsheet would run is defused
    let odd = file(folder.path(), "odd.txt", "=1+1 the grobbler is leaking\n")?.to_string_lossy().into_owned();
    let (rows, _, _) = lexicon(&["suggest", &odd, "--format", "csv"], None)?;
    assert!(
        rows.contains(",'=1+1 the grobbler") && rows.contains("\r\n,grobbler,new part,part,grobbler,name,"),
        "{rows}"
    );
    let listed = file(folder.path(), "listed.csv", rows.replace("\n,grobbler", "\ny,grobbler"))?;
    let scratch = tempfile::tempdir()?;
    let (_, err, code) = lexicon(&["suggest", &odd, "--accept", &listed.to_string_lossy()], Some(scratch.path()))?;
    assert!(code == Some(0) && err.starts_with("1 written to "), "{err}");
    // a list ticked off, with a cell changed
    let table = "take,words,kind,family,id,key,system,count,example\ny,grobbler,new_part,part,grobbler,name,fuel,9,x\nn,hyraulic,,spelling,hydraulic,,,1,\ny,never said,,part,x,name,fuel,1,\n";
    let table = file(folder.path(), "ticked.csv", table)?;
    let (_, err, code) = lexicon(&["suggest", &past, "--accept", &table.to_string_lossy()], Some(folder.path()))?;
    assert!(err.contains("row 3: \"never said\" is not among what is proposed"), "{err}");
    assert_eq!(code, Some(1));
    let text = std::fs::read_to_string(&ours)?;
    assert!(text.contains("[[part]]\nid = \"grobbler\"\nsystem = \"fuel\"\nname = \"grobbler\""), "{text}");
    assert_eq!(lexicon(&["check", &folder.path().to_string_lossy()], None)?.2, Some(0), "{text}");
    let (out, _, _) =
        run(hoistnote().args(["find", "-", "--lexicon"]).arg(folder.path()).write_stdin("left grobbler is leaking\n"))?;
    assert!(out.contains("grobbler, left"), "{out}");
    for wrong in ["0", "9999", "x", "3-1"] {
        assert_eq!(lexicon(&["suggest", &past, "--accept", wrong], Some(folder.path()))?.2, Some(2), "{wrong}");
    }
    Ok(())
}

/// A fault told apart by a word, a word borrowed from the work, a thing known by what is fitted to it; and what an office adds.
#[test]
fn suggest_tells_things_and_faults_from_remarks() -> Checked {
    let past = tempfile::tempdir()?;
    let lines = "supply error\nsupply error again\nlift cylinder leaking\nreplace lift cylinder\nreplace dirty cylinder\n\
                 grobbler pump leaking\nreplace grobbler motor\ngrobbler leaking\nreplace hose TBC\n";
    file(past.path(), "notes.txt", lines)?;
    let (out, _, _) = lexicon(&["suggest", &past.path().to_string_lossy(), "--format", "json"], None)?;
    let list: Vec<Value> = serde_json::from_str(&out)?;
    let place = |words: &str| list.iter().position(|s| s["words"] == words).ok_or(format!("no {words}: {out}"));
    let fault = &list[place("supply error")?];
    assert_eq!(
        (&fault["kind"], &fault["family"], &fault["id"]),
        (&"new_condition".into(), &"condition".into(), &"code".into())
    );
    assert_eq!(list[place("lift cylinder")?]["kind"], "new_part");
    for (first, then) in [("grobbler", "grobbler pump"), ("grobbler", "tbc"), ("lift cylinder", "dirty cylinder")] {
        assert!(
            place(then).is_ok_and(|t| place(first).is_ok_and(|f| f < t)) || place(then).is_err(),
            "{first}, {then}"
        );
    }
    Ok(())
}

/// A folder with one inspection; what was found in front or anywhere is accepted.
fn inspections(decisions: &[&[&str]]) -> Result<tempfile::TempDir, Box<dyn std::error::Error>> {
    let all = tempfile::tempdir()?;
    let one = all.path().join("2026-01-05-unit-14");
    std::fs::create_dir(&one)?;
    file(&one, "notes.txt", NOTES)?;
    let (out, _, _) = run(hoistnote().arg("final").arg(&one).args(["--format", "json"]))?;
    let list: Value = serde_json::from_str(&out)?;
    for f in list["findings"].as_array().into_iter().flatten() {
        let id = f["id"].as_str().unwrap_or_default();
        // "clamper" is not known: what was made of its line is wrong
        if f["position"].as_array().is_some_and(|p| p.contains(&"rear".into())) {
            continue;
        }
        run(hoistnote().arg("decide").arg(&one).args(["accept", id]))?;
    }
    for d in decisions {
        let (_, err, code) = run(hoistnote().arg("decide").arg(&one).args(*d))?;
        assert_eq!(code, Some(0), "{err}");
    }
    Ok(all)
}

#[test]
fn replay_stops_a_change_that_loses_a_confirmed_finding() -> Checked {
    let all = inspections(&[])?;
    let past = all.path().to_string_lossy().into_owned();
    let folder = tempfile::tempdir()?;
    file(folder.path(), "parts.toml", CLAMPER)?;
    let (out, err, code) = lexicon(&["replay", &past], Some(folder.path()))?;
    assert_eq!(code, Some(0), "{out}{err}");
    assert!(out.contains("gained: brake caliper, right rear\n    before: not found\n"), "{out}");
    assert!(out.contains("confirmed: 0 lost"), "{out}");
    file(folder.path(), "parts.toml", "[[part]]\nid = \"horn\"\nretire = true\n")?;
    let (out, _, code) = lexicon(&["replay", &past], Some(folder.path()))?;
    assert_eq!(code, Some(1), "{out}");
    assert!(out.contains("LOST, though confirmed: horn"), "{out}");
    let (out, _, _) = lexicon(&["replay", &past, "--format", "json"], Some(folder.path()))?;
    let answer: Value = serde_json::from_str(&out)?;
    assert_eq!(
        (&answer[0]["differences"][0]["fate"], &answer[0]["differences"][0]["standing"]),
        (&"lost".into(), &"confirmed".into())
    );
    // the same folder before and after: nothing differs
    let same = folder.path().to_string_lossy().into_owned();
    let (out, _, code) = lexicon(&["replay", &past, "--before", &same], Some(folder.path()))?;
    assert_eq!(code, Some(0));
    assert!(!out.contains("before:"), "{out}");
    Ok(())
}

#[test]
fn suggest_learns_from_what_a_writer_added() -> Checked {
    let all = inspections(&[&[
        "add",
        "--line",
        "2",
        "--words",
        "clamper",
        "--part",
        "brake caliper",
        "--verdict",
        "defect",
    ]])?;
    let (out, _, _) = lexicon(&["suggest", &all.path().to_string_lossy(), "--format", "json"], None)?;
    let list: Vec<Value> = serde_json::from_str(&out)?;
    assert_eq!(
        (&list[0]["words"], &list[0]["kind"], &list[0]["id"]),
        (&"clamper".into(), &"nickname".into(), &"brake-caliper".into())
    );
    Ok(())
}
