//! What is recorded at the desk is written down by itself, by recognisers that are scripts of a few lines.
#![cfg(unix)]

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use super::{Checked, Server};

const VTT: &str = "WEBVTT\\n\\n00:00:01.000 --> 00:00:03.000\\nThe battery is dead, replace it.\\n";
const RECORDING: &str = "20260302_101500";

/// A desk over a folder beside which a recogniser stands that runs this shell script, given the recording.
fn desk(dir: &Path, script: &str) -> Result<Server, Box<dyn std::error::Error>> {
    let config = dir.join("voice.toml");
    fs::write(dir.join("recogniser.sh"), script)?;
    fs::write(&config, "[hear]\nrun = [\"/bin/sh\", \"recogniser.sh\", \"{audio}\"]\n")?;
    fs::create_dir_all(dir.join("visits"))?;
    Server::open(&dir.join("visits"), &["--config", config.to_str().ok_or("no path")?])
}

fn send(s: &Server, what: &str, body: &[u8]) -> Checked {
    let headers = [
        format!("x-hoistnote-token: {}", s.token),
        format!("Origin: http://{}", s.host),
        format!("Cookie: {}", s.cookie()),
    ];
    let headers: Vec<&str> = headers.iter().map(String::as_str).collect();
    let answer = s.post_with(&format!("/inspection/unit%2014/{what}"), &headers, body)?;
    assert_eq!(answer.status, 200, "{what}: {}", answer.text());
    Ok(())
}

/// Waits until the review page says this; gives the page.
fn until_shown(s: &Server, words: &str) -> Result<String, Box<dyn std::error::Error>> {
    let begun = Instant::now();
    loop {
        let page = s.get("/inspection/unit%2014")?.text();
        if page.contains(words) {
            return Ok(page);
        }
        if begun.elapsed() > Duration::from_secs(20) {
            return Err(format!("never {words:?}:\n{page}").into());
        }
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn a_recording_is_written_down_once_it_is_whole() -> Checked {
    let dir = tempfile::tempdir()?;
    let s = desk(dir.path(), &format!("echo \"$1\" >> runs\nuntil [ -f go ]; do sleep 0.1; done\nprintf '{VTT}'\n"))?;
    send(&s, &format!("piece?recording={RECORDING}&at=0"), b"sound")?;
    let page = until_shown(&s, "nobody has written it down yet")?;
    assert!(!page.contains("Ready to hand over"), "{page}");
    assert!(s.get("/inspection/unit%2014/hand-over")?.text().contains("is in none of these"));
    assert!(!dir.path().join("runs").exists(), "heard before it was whole");
    let before = s.get("/inspection/unit%2014/changes")?.text();
    send(&s, &format!("end?recording={RECORDING}"), b"")?;
    until_shown(&s, "is being written down")?;
    assert_ne!(s.get("/inspection/unit%2014/changes")?.text(), before, "the page is told");
    fs::write(dir.path().join("go"), "")?;
    let page = until_shown(&s, "The battery is dead")?;
    assert!(!page.contains("is being written down") && !page.contains("written it down"), "{page}");
    // what comes late of it is heard too, and the old transcript is set aside
    send(&s, &format!("piece?recording={RECORDING}&at=5"), b" and more")?;
    send(&s, &format!("end?recording={RECORDING}"), b"")?;
    let begun = Instant::now();
    while fs::read_to_string(dir.path().join("runs"))?.lines().count() < 2 {
        assert!(begun.elapsed() < Duration::from_secs(20), "what came late was not heard");
        std::thread::sleep(Duration::from_millis(50));
    }
    Ok(())
}

#[test]
fn a_recogniser_that_fails_is_told_and_not_run_again_and_again() -> Checked {
    let dir = tempfile::tempdir()?;
    let s = desk(dir.path(), "echo x >> runs\necho 'no model' >&2\nexit 3\n")?;
    send(&s, &format!("piece?recording={RECORDING}&at=0"), b"sound")?;
    send(&s, &format!("end?recording={RECORDING}"), b"")?;
    let page = until_shown(&s, "could not be written down")?;
    assert!(page.contains("ended with exit status 3") && page.contains("no model"), "{page}");
    std::thread::sleep(Duration::from_millis(1500));
    assert_eq!(fs::read_to_string(dir.path().join("runs"))?, "x\n");
    assert_eq!(fs::read(dir.path().join("visits/unit 14").join(format!("{RECORDING}.webm")))?, b"sound");
    Ok(())
}

#[test]
fn what_was_put_there_by_hand_is_left_alone() -> Checked {
    let dir = tempfile::tempdir()?;
    let visit = dir.path().join("visits/unit 14");
    fs::create_dir_all(&visit)?;
    fs::write(visit.join("walk.webm"), b"sound")?;
    let s = desk(dir.path(), &format!("echo x >> runs\nprintf '{VTT}'\n"))?;
    until_shown(&s, "nobody has written it down yet")?;
    std::thread::sleep(Duration::from_millis(1500));
    assert!(!dir.path().join("runs").exists());
    // captions of another name may be what is said in it
    fs::write(visit.join("notes of the day.vtt"), VTT.replace("\\n", "\n"))?;
    let page = until_shown(&s, "The battery is dead")?;
    assert!(!page.contains("written it down"), "{page}");
    Ok(())
}
