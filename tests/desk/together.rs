//! Two pages on one inspection, and a server that is killed.

use std::fs;
use std::io::Write;
use std::time::Duration;

use hoistnote::review::{Entry, Log};
use serde_json::json;

use super::{Checked, NOTES, Server};

fn depot() -> std::io::Result<tempfile::TempDir> {
    let dir = tempfile::tempdir()?;
    fs::create_dir(dir.path().join("unit-14"))?;
    fs::write(dir.path().join("unit-14/notes.txt"), NOTES)?;
    Ok(dir)
}

/// The second is told that nothing was saved, and shown what changed.
#[test]
fn the_second_page_overwrites_nothing() -> Checked {
    let dir = depot()?;
    let s = Server::open(dir.path(), &[])?;
    assert_eq!(s.decide("unit-14", 0, json!({"do": "pass_words", "line": 1}))?.status, 200);
    let second = s.decide("unit-14", 0, json!({"do": "pass_words", "line": 2}))?;
    assert_eq!(second.status, 409);
    let told = second.json()?;
    assert_eq!(told["revision"], 1);
    assert!(told["said"].as_str().is_some_and(|t| t.starts_with("Not saved")), "{told}");
    assert!(told["changed"][0].as_str().is_some_and(|t| t.contains("passed over line 1")), "{told}");
    assert_eq!(Log::of(&dir.path().join("unit-14")).read()?.revision(), 1);
    Ok(())
}

/// What was not seen is not accepted: the dictation has changed since the page was laid out.
#[test]
fn what_reads_otherwise_by_now_is_not_decided_on() -> Checked {
    let dir = depot()?;
    let s = Server::open(dir.path(), &[])?;
    let page = s.get("/inspection/unit-14")?.text();
    let (reading, id) = (s.reading("unit-14")?, page.split("data-id=\"").nth(1).and_then(|r| r.split('"').next()));
    let accept = json!({"do": "accept", "id": id.ok_or("no finding")?});
    fs::write(dir.path().join("unit-14/notes.txt"), format!("{NOTES}horn does not work\n"))?;
    let late = s.decide_on("unit-14", 0, &reading, accept.clone())?;
    assert_eq!(late.status, 409);
    assert!(late.text().contains("the dictation or the lexicon has changed"), "{}", late.text());
    assert_eq!(Log::of(&dir.path().join("unit-14")).read()?.revision(), 0);
    assert_eq!(s.decide("unit-14", 0, accept)?.status, 200);
    Ok(())
}

/// The same holds for the command line and another desk on the same folder.
#[test]
fn other_programs_are_noticed() -> Checked {
    let dir = depot()?;
    let (one, two) = (Server::open(dir.path(), &[])?, Server::open(dir.path(), &[])?);
    assert_eq!(one.decide("unit-14", 0, json!({"do": "pass_words", "line": 1}))?.status, 200);
    assert_eq!(two.decide("unit-14", 0, json!({"do": "pass_words", "line": 2}))?.status, 409);
    assert_eq!(two.decide("unit-14", 1, json!({"do": "pass_words", "line": 2}))?.status, 200);
    assert!(one.get("/inspection/unit-14")?.text().contains("data-revision=\"2\""));
    Ok(())
}

/// Kills the server this many times while decisions are sent. Gives how many it had reported as saved.
fn kill(times: u64) -> Result<usize, Box<dyn std::error::Error>> {
    let dir = depot()?;
    let folder = dir.path().join("unit-14");
    let mut reported = 0;
    for n in 0..times {
        let server = Server::open(dir.path(), &[])?;
        let seen = Log::of(&folder).read()?.revision();
        let reading = server.reading("unit-14")?;
        reported = std::thread::scope(|scope| -> Result<usize, Box<dyn std::error::Error>> {
            let sender = scope.spawn(|| {
                let mut saved = seen;
                // until the server is gone
                let edit = json!({"do": "pass_words", "line": 1});
                while let Ok(answer) = server.decide_on("unit-14", saved, &reading, edit.clone()) {
                    if answer.status != 200 {
                        break;
                    }
                    saved += 1;
                }
                saved
            });
            std::thread::sleep(Duration::from_micros(5_000 + n * 7_919 % 100_000));
            server.kill()?;
            Ok(sender.join().map_err(|_| "sender failed")?)
        })?;
        let contents = Log::of(&folder).read()?;
        assert!(contents.revision() >= reported, "{reported} reported as saved, {} there", contents.revision());
        assert!(contents.entries.iter().all(|e| matches!(e, Entry::Decision(_))), "a line can't be read");
    }
    Ok(reported)
}

#[test]
fn killed_three_times() -> Checked {
    kill(3)?;
    Ok(())
}

/// `cargo test --test all desk::together::killed_two_hundred_times -- --ignored --nocapture` prints the figure.
#[test]
#[ignore = "takes a minute or two"]
fn killed_two_hundred_times() -> Checked {
    let saved = kill(200)?;
    writeln!(std::io::stdout(), "200 kills of the server, {saved} decisions reported as saved, none lost")?;
    assert!(saved > 100, "next to nothing was under way when it was killed");
    Ok(())
}
