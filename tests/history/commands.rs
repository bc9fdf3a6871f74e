//! `price`, `due` and `compare` on the command line.

use std::path::Path;

use assert_cmd::Command;

use super::Checked;

const RATES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/rates/larkfield");
const NOTES: &str = "unit 14, 71,400 miles\nlf brake pads 2 mm, replace now\nlf tire has cords showing, do not drive\nserpentine belt cracked, it will do two more weeks\n";

fn run(arguments: &[&str]) -> Result<(String, String, Option<i32>), Box<dyn std::error::Error>> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hoistnote"));
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
        command.env_remove(name);
    }
    let output = command.args(arguments).output()?;
    Ok((String::from_utf8(output.stdout)?, String::from_utf8(output.stderr)?, output.status.code()))
}

fn inspection(folder: &Path, name: &str, notes: &str) -> Result<String, Box<dyn std::error::Error>> {
    let path = folder.join(name);
    std::fs::create_dir_all(&path)?;
    std::fs::write(path.join("notes.txt"), notes)?;
    Ok(path.display().to_string())
}

fn ids(folder: &str) -> Result<Vec<(String, String)>, Box<dyn std::error::Error>> {
    let (out, _, _) = run(&["final", folder, "--format", "json"])?;
    let list: serde_json::Value = serde_json::from_str(&out)?;
    let all = list["findings"].as_array().into_iter().flatten();
    let pair = |f: &serde_json::Value| {
        (f["component"]["id"].as_str().unwrap_or_default().into(), f["id"].as_str().unwrap_or_default().into())
    };
    Ok(all.map(pair).collect())
}

#[test]
fn answers_are_kept_and_become_follow_ups() -> Checked {
    let home = tempfile::tempdir()?;
    let folder = inspection(home.path(), "2026-03-02-unit-14", NOTES)?;
    let ids = ids(&folder)?;
    let id = |part: &str| ids.iter().find(|(p, _)| p == part).map(|(_, id)| id.clone()).ok_or(format!("no {part}"));
    let (pad, tire, belt) = (id("brake-pad")?, id("tire")?, id("serpentine-belt")?);
    let answers = ["--approve", &pad, "--decline", &tire, "--later", &belt];
    let (out, err, code) = run(&[&["price", &folder, "--rates", RATES] as &[&str], &answers].concat())?;
    assert_eq!(code, Some(0), "{err}");
    assert!(out.contains("! NOT TO BE DRIVEN, and not in the total: tire, left front"), "{out}");
    assert!(out.contains("brake pad, left front: approved") && !out.contains("replace the serpentine belt"), "{out}");
    // the desk's own lines and these live in one log
    let (_, err, code) = run(&["decide", &folder, "note", &belt, "ask the driver"])?;
    assert_eq!(code, Some(0), "{err}");
    let log = std::fs::read_to_string(Path::new(&folder).join("decisions.ndjson"))?;
    assert_eq!(log.lines().count(), 4);
    let home = home.path().display().to_string();
    let (out, _, code) = run(&["due", &home, "--format", "json"])?;
    assert_eq!(code, Some(0));
    let due: Vec<serde_json::Value> = out.lines().map(serde_json::from_str).collect::<Result<_, _>>()?;
    assert_eq!(
        due.iter().map(|f| f["part"].as_str().unwrap_or_default()).collect::<Vec<_>>(),
        ["tire", "serpentine belt"]
    );
    let (out, _, _) = run(&["due", &home, "--until", "2020-01-01"])?;
    assert!(out.contains("0 due, 0 to come"), "{out}");
    let (out, _, _) = run(&["due", &home, "--on", "2099-01-01"])?;
    assert!(out.contains("2 due, 0 to come"), "{out}");
    Ok(())
}

#[test]
fn wrong_wishes_are_told_and_nothing_is_written() -> Checked {
    let home = tempfile::tempdir()?;
    let folder = inspection(home.path(), "unit-14", NOTES)?;
    let file = home.path().join("doc.json");
    std::fs::write(&file, run(&["final", &folder, "--format", "json"])?.0)?;
    let file = file.display().to_string();
    let first = ids(&folder)?.swap_remove(0).1;
    let table: [(&[&str], &str); 10] = [
        (&["price", &folder, "--rates", RATES, "--later", &first, "--approve", &first[..6]], "two answers on"),
        (&["price", &folder, "--rates", RATES, "--pin", "front-padz"], "\"front-pads\" is the one most alike"),
        (&["price", &folder, "--rates", RATES, "--pin", "clutch"], "serves none of these findings"),
        (&["price", &folder, "--rates", RATES, "--pin", "tire@middle"], "no place \"middle\""),
        (&["price", &folder, "--rates", RATES, "--only", "ffff"], "no finding has an id"),
        (&["price", &folder, "--rates", RATES, "--take", "gold"], "has no part with this id"),
        (&["price", &folder, "--rates", RATES, "--budget", "much"], "no sum of money"),
        (&["price", &folder, "--rates", RATES, "--later", "ffff"], "no finding has an id that begins with ffff"),
        (&["price", &file, "--rates", RATES, "--later", "ffff"], "name the folder"),
        (&["compare", &folder, &folder, "--limit", "battery"], "battery=12.2V"),
    ];
    for (arguments, told) in table {
        let (out, err, code) = run(arguments)?;
        assert_eq!((out.as_str(), code), ("", Some(2)), "{arguments:?} {err}");
        assert!(err.contains(told), "{err}");
    }
    assert!(!Path::new(&folder).join("decisions.ndjson").exists());
    Ok(())
}

#[test]
fn bad_rate_books_are_shown_with_their_lines() -> Checked {
    let home = tempfile::tempdir()?;
    let bad = home.path().join("bad.toml");
    std::fs::write(&bad, "currency = \"USD\"\n[[labour]]\nid = \"m\"\nrate = -4\n")?;
    let (out, err, code) = run(&["price", "--rates", &bad.display().to_string()])?;
    assert_eq!((out.as_str(), code), ("", Some(1)));
    assert!(
        err.contains("bad.toml:4:8") && err.contains("rate = -4") && err.contains("1 problem in the rate book"),
        "{err}"
    );
    let (out, _, code) = run(&["price", "--rates", RATES])?;
    assert!(code == Some(0) && out.contains("nothing wrong with it"), "{out}");
    let (_, err, code) = run(&["price", "--rates", "no-such-file"])?;
    assert!(code == Some(1) && err.contains("no-such-file"), "{err}");
    Ok(())
}

#[test]
fn findings_documents_are_checked() -> Checked {
    let home = tempfile::tempdir()?;
    let folder = inspection(home.path(), "unit-14", NOTES)?;
    let good = run(&["find", &format!("{folder}/notes.txt"), "--format", "json"])?.0;
    let table = [
        (good.clone(), Some(0), ""),
        (format!("{good}{good}"), Some(0), ""),
        (good.replacen("\"start\":", "\"start\":9", 1), Some(1), ":1:1: \""),
        (good.replacen("findings/1", "findings/9", 1), Some(1), "this is hoistnote/findings/9"),
        (good[..good.len() / 2].to_string(), Some(1), ":1:"),
        (good.replacen("\"verdict\":\"defect\"", "\"verdict\":\"fine\"", 1), Some(1), "unknown variant `fine`"),
    ];
    for (text, expected, told) in table {
        let file = home.path().join("doc.json");
        std::fs::write(&file, &text)?;
        let (_, err, code) = run(&["price", &file.display().to_string(), "--rates", RATES])?;
        assert_eq!(code, expected, "{err}");
        assert!(err.contains(told), "{err}");
    }
    Ok(())
}

#[test]
fn visits_must_be_of_one_vehicle_and_in_order() -> Checked {
    let home = tempfile::tempdir()?;
    let early = inspection(home.path(), "2026-01-05-unit-14", "unit 14, 40,000 miles\nlf brake pads 9 mm\n")?;
    let late = inspection(home.path(), "2026-06-05-unit-14", "unit 14, 45,000 miles\nlf brake pads 7 mm\n")?;
    let other = inspection(home.path(), "2026-07-05-unit-7", "unit 7, 45,000 miles\nlf brake pads 7 mm\n")?;
    let (out, err, code) = run(&["compare", &early, &late])?;
    assert_eq!(code, Some(0), "{err}");
    assert!(out.contains("brake pad, left front: 9 mm, then 7 mm") && out.contains("2026-06-05"), "{out}");
    let (out, err, code) = run(&["compare", &early, &late, "--format", "csv"])?;
    assert_eq!(code, Some(0), "{err}");
    let mut read = csv::Reader::from_reader(out.as_bytes());
    let head = read.headers()?.clone();
    let cell = |row: &csv::StringRecord, name: &str| {
        head.iter().position(|h| h == name).and_then(|n| row.get(n)).unwrap_or_default().to_string()
    };
    let rows = read.records().collect::<Result<Vec<_>, _>>()?;
    let wear = rows.iter().find(|r| cell(r, "row") == "wear").ok_or("no wear")?;
    // 2 mm in 5,000 miles
    let named = ["component", "position", "unit", "first", "last", "visits", "per_1000", "odometer_unit"];
    assert_eq!(named.map(|n| cell(wear, n)), ["brake-pad", "front left", "mm", "9", "7", "2", "-0.4", "mi"]);
    for (a, b, told) in [(&late, &early, "not in the order"), (&early, &other, "several vehicles (unit 14, unit 7)")] {
        let (_, err, code) = run(&["compare", a, b])?;
        assert!(code == Some(2) && err.contains(told), "{err}");
    }
    Ok(())
}
