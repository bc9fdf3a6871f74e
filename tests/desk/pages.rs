//! What the pages hold, and the way from the list to handing over.

use std::fs;
use std::thread::sleep;
use std::time::Duration;

use serde_json::json;

use super::{Answer, Checked, NOTES, Server};

fn depot() -> std::io::Result<tempfile::TempDir> {
    let dir = tempfile::tempdir()?;
    fs::create_dir(dir.path().join("2026-03-02 unit 14"))?;
    fs::write(dir.path().join("2026-03-02 unit 14/notes.txt"), NOTES)?;
    Ok(dir)
}

const NAME: &str = "2026-03-02%20unit%2014";

fn page(s: &Server) -> Result<String, Box<dyn std::error::Error>> {
    Ok(s.get(&format!("/inspection/{NAME}"))?.text())
}

/// Ids on a page, in its order.
fn ids(page: &str) -> Vec<String> {
    page.split("data-id=\"").skip(1).filter_map(|r| r.split('"').next()).map(str::to_string).collect()
}

fn id_of(page: &str, part: &str) -> Option<String> {
    let card = page.split("<article").find(|c| c.contains("data-id=") && c.contains(&format!(">{part}<")))?;
    ids(card).pop()
}

/// Waits until the list says something, as a reader would.
fn wait_for(s: &Server, words: &str) -> Checked {
    for _ in 0..100 {
        if s.get("/")?.text().contains(words) {
            return Ok(());
        }
        sleep(Duration::from_millis(100));
    }
    Err(format!("the list never said {words}: {}", s.get("/")?.text()).into())
}

#[test]
fn the_list_follows_the_folder() -> Checked {
    let dir = depot()?;
    let s = Server::open(dir.path(), &[])?;
    wait_for(&s, "1 do not drive")?;
    let text = s.get("/")?.text();
    assert!(text.contains(">unit 14<") && text.contains("2026-03-02"), "{text}");
    let before = s.get("/changes")?.text();
    fs::create_dir(dir.path().join("unit-22"))?;
    fs::write(dir.path().join("unit-22/notes.txt"), "unit 22\nhorn is broken\n")?;
    wait_for(&s, ">unit 22<")?;
    assert_ne!(s.get("/changes")?.text(), before);
    fs::write(dir.path().join("unit-22/notes.txt"), "unit 23\nhorn is broken\nbattery ok\n")?;
    wait_for(&s, ">unit 23<")?;
    Ok(())
}

#[test]
fn from_the_list_to_handing_over() -> Checked {
    let dir = depot()?;
    let s = Server::open(dir.path(), &[])?;
    let first = page(&s)?;
    assert!(first.contains("Look at these first") && first.contains("the doohickey is cracked"));
    let hose = id_of(&first, "brake hose").ok_or("no hose")?;
    for file in ["report.html", "work-list.html", "findings.csv", "findings.json"] {
        assert_eq!(s.get(&format!("/inspection/{NAME}/{file}"))?.status, 409, "{file} before all was looked at");
    }
    assert_eq!(s.decide(NAME, 0, json!({"do": "hand_over"}))?.status, 422);
    let mut revision = 0;
    let mut decide = |edit| -> Result<Answer, Box<dyn std::error::Error>> {
        let answer = s.decide(NAME, revision, edit)?;
        revision += usize::from(answer.status == 200);
        Ok(answer)
    };
    let wording = json!({"wording": "The hose to the left front brake has cracked."});
    let saved = decide(json!({"do": "correct", "id": hose, "change": wording}))?;
    assert_eq!((saved.status, &saved.json()?["revision"]), (200, &json!(1)));
    for id in ids(&first) {
        decide(json!({"do": "pass", "id": id}))?;
    }
    for line in 1..=5 {
        decide(json!({"do": "pass_words", "line": line}))?;
    }
    assert!(page(&s)?.contains("Ready to hand over"));
    assert_eq!(decide(json!({"do": "hand_over"}))?.status, 200);
    let report = s.get(&format!("/inspection/{NAME}/report.html"))?;
    let text = report.text();
    assert_eq!(report.status, 200);
    assert!(
        text.contains("This vehicle is not to be driven")
            && text.contains("The hose to the left front brake has cracked.")
    );
    assert!(
        report.header("content-security-policy").is_some_and(|p| !p.contains("script-src")),
        "nothing runs in a report"
    );
    assert!(s.get(&format!("/inspection/{NAME}/work-list.html"))?.text().contains("brake hose"));
    let document = s.get(&format!("/inspection/{NAME}/findings.json"))?.json()?;
    assert_eq!(document["handed_over"], json!(revision));
    wait_for(&s, "handed over")?;
    assert_eq!(fs::read_to_string(dir.path().join("2026-03-02 unit 14/notes.txt"))?, NOTES);
    Ok(())
}

/// What is not to be driven with stands in the customer's report, dropped or not.
#[test]
fn a_stop_reaches_the_customer() -> Checked {
    let dir = depot()?;
    let s = Server::open(dir.path(), &[])?;
    let first = page(&s)?;
    let tire = id_of(&first, "tire").ok_or("no tire")?;
    let lower = json!({"do": "correct", "id": tire, "change": {"urgency": "soon"}});
    assert_eq!(s.decide(NAME, 0, lower)?.status, 422, "lowered without a reason");
    assert_eq!(s.decide(NAME, 0, json!({"do": "drop", "id": tire, "reason": "it is the spare"}))?.status, 200);
    let mut revision = 1;
    for edit in ids(&first)
        .into_iter()
        .map(|id| json!({"do": "pass", "id": id}))
        .chain((1..=5).map(|l| json!({"do": "pass_words", "line": l})))
    {
        revision += usize::from(s.decide(NAME, revision, edit)?.status == 200);
    }
    let report = s.get(&format!("/inspection/{NAME}/report.html"))?;
    assert_eq!(report.status, 200);
    assert!(
        report.text().contains("it is the spare") && report.text().contains("do not drive it"),
        "{}",
        report.text()
    );
    Ok(())
}

#[test]
fn completions_come_from_the_lexicon() -> Checked {
    let dir = depot()?;
    let s = Server::open(dir.path(), &[])?;
    let names = s.get("/parts?q=brake%20h")?.json()?;
    assert_eq!(names[0], "brake hose");
    assert!(names.as_array().is_some_and(|n| n.len() <= 12));
    assert_eq!(s.get("/parts?q=")?.json()?, json!([]));
    Ok(())
}

/// What is wrong with files is told on the page; the rest is there.
#[test]
fn what_can_not_be_read_is_told() -> Checked {
    let dir = depot()?;
    let folder = dir.path().join("2026-03-02 unit 14");
    fs::write(folder.join("broken.vtt"), b"\0\0\0\0")?;
    fs::write(folder.join("decisions.ndjson"), "no json\n{\"when\":\"2026-03-0")?;
    fs::create_dir(dir.path().join("empty"))?;
    let s = Server::open(dir.path(), &[])?;
    let text = page(&s)?;
    assert!(text.contains("broken.vtt") && text.contains("brake hose"), "{text}");
    assert!(
        text.contains("Line 1 of the log can't be read") && text.contains("was never written to its end"),
        "{text}"
    );
    assert!(s.get("/inspection/empty")?.text().contains("no dictation or notes in this folder yet"));
    assert_eq!(s.get("/inspection/nowhere")?.status, 404);
    Ok(())
}

#[test]
fn a_folder_that_is_none_is_told() -> Checked {
    let dir = depot()?;
    let out =
        assert_cmd::Command::new(env!("CARGO_BIN_EXE_hoistnote")).arg("desk").arg(dir.path().join("x")).output()?;
    assert_eq!(out.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&out.stderr).contains("no such folder; name the one that holds the inspections"));
    fs::write(dir.path().join("stray.txt"), "battery ok\n")?;
    let s = Server::open(dir.path(), &[])?;
    assert!(s.get("/")?.text().contains("stray.txt: lies beside the inspections"));
    Ok(())
}

/// What can't be read is told once; pages are not sent to look again and again.
#[test]
fn what_stays_unreadable_is_no_news() -> Checked {
    let dir = depot()?;
    fs::create_dir(dir.path().join("2026-03-02 unit 14/decisions.ndjson"))?;
    let s = Server::open(dir.path(), &[])?;
    wait_for(&s, "no plain file")?;
    sleep(Duration::from_millis(1500));
    let before = s.get("/changes")?.text();
    sleep(Duration::from_millis(2500));
    assert_eq!(s.get("/changes")?.text(), before);
    Ok(())
}

/// What the report has no room for is told where it is handed over.
#[test]
fn a_photo_that_is_left_out_is_told() -> Checked {
    let dir = tempfile::tempdir()?;
    let folder = dir.path().join("unit-9");
    fs::create_dir(&folder)?;
    fs::write(folder.join("notes.txt"), "battery ok\n")?;
    fs::write(folder.join("small.png"), b"\x89PNG")?;
    let s = Server::open(dir.path(), &[])?;
    let told = || Ok::<_, Box<dyn std::error::Error>>(s.get("/inspection/unit-9/hand-over")?.text());
    let before = told()?;
    assert!(before.contains("Report for the customer") && !before.contains("left out"), "{before}");
    fs::File::create(folder.join("large.png"))?.set_len((6 << 20) + 1)?;
    assert!(told()?.contains("1 photo is left out of the report"));
    let report = s.get("/inspection/unit-9/report.html")?.text();
    assert!(report.contains("small.png") && !report.contains("large.png"));
    Ok(())
}

/// The only recording belongs to the only dictation with times, or else to the one of its name alone.
#[test]
fn the_only_recording_goes_with_one_dictation() -> Checked {
    let dir = depot()?;
    let folder = dir.path().join("2026-03-02 unit 14");
    let vtt = "WEBVTT\n\n00:01.000 --> 00:04.000\nbattery is fine\n";
    fs::write(folder.join("front.vtt"), vtt)?;
    fs::write(folder.join("20260302_101500.ogg"), b"OggS")?;
    let s = Server::open(dir.path(), &[])?;
    let plays = |text: &str| text.matches("data-ms").count();
    assert_eq!(plays(&page(&s)?), 1, "whatever it is called");
    fs::write(folder.join("rear.vtt"), vtt)?;
    assert_eq!(plays(&page(&s)?), 0, "nothing says which of the two it is of");
    fs::rename(folder.join("20260302_101500.ogg"), folder.join("front.ogg"))?;
    assert_eq!(plays(&page(&s)?), 1, "not the other one's");
    Ok(())
}

/// A time plays the recording of its own dictation, never another one.
#[test]
fn every_dictation_has_its_own_recording() -> Checked {
    let dir = depot()?;
    let folder = dir.path().join("2026-03-02 unit 14");
    let vtt = "WEBVTT\n\n00:01.000 --> 00:04.000\nbattery is fine\n";
    for name in ["front", "rear", "middle"] {
        fs::write(folder.join(format!("{name}.vtt")), vtt)?;
    }
    for name in ["front.ogg", "rear.ogg", "later.ogg"] {
        fs::write(folder.join(name), b"OggS")?;
    }
    let s = Server::open(dir.path(), &[])?;
    let text = page(&s)?;
    let sources: Vec<(&str, Option<&str>, bool)> = text
        .split("<div class=\"source\">")
        .skip(1)
        .map(|p| {
            let part = |from: &str, to: &str| Some(p.split_once(from)?.1.split_once(to)?.0);
            let file = part("src=\"", "\"").and_then(|src| src.rsplit('/').next());
            (part("<h2>", "</h2>").unwrap_or_default(), file, p.contains("data-ms"))
        })
        .collect();
    assert_eq!(
        sources,
        [
            ("later.ogg", Some("later.ogg"), false),
            ("front.vtt", Some("front.ogg"), true),
            ("middle.vtt", None, false),
            ("rear.vtt", Some("rear.ogg"), true),
            ("notes.txt", None, false),
        ]
    );
    Ok(())
}
