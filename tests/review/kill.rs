//! Killed at any moment: what was reported as saved is there, and the log can be read.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use hoistnote::review::{Decision, Entry, Line, Log};

use super::Checked;

const FOLDER: &str = "HOISTNOTE_KILL_TEST_FOLDER";

fn line(n: usize) -> Line {
    Line { when: "2026-03-02T10:15:00Z".into(), decision: Decision::HandOver { revision: n } }
}

/// Not a test of its own: the process that is killed. Says `saved N` for each line that the log took.
#[test]
fn writer() -> Checked {
    let Some(folder) = std::env::var_os(FOLDER) else { return Ok(()) };
    let log = Log::of(Path::new(&folder));
    let mut seen = log.read()?.revision();
    let mut out = std::io::stdout().lock();
    loop {
        seen = log.append(seen, &line(seen))?.revision();
        writeln!(out, "\nsaved {seen}")?;
        out.flush()?;
    }
}

/// Kills a writer this many times. Gives how many lines were saved and how often a line was torn.
fn kill(times: u64) -> Result<(usize, usize), Box<dyn std::error::Error>> {
    let dir = tempfile::tempdir()?;
    let (mut known, mut torn) = (0, 0);
    for n in 0..times {
        let mut writer = Command::new(std::env::current_exe()?)
            .args(["--exact", "review::kill::writer", "--nocapture"])
            .env(FOLDER, dir.path())
            .stdout(Stdio::piped())
            .spawn()?;
        let lines = BufReader::new(writer.stdout.take().ok_or("no output")?).lines();
        let reader = std::thread::spawn(move || {
            lines.map_while(Result::ok).filter_map(|l| l.strip_prefix("saved ")?.parse::<usize>().ok()).last()
        });
        std::thread::sleep(Duration::from_micros(15_000 + n * 7_919 % 30_000));
        writer.kill()?;
        writer.wait()?;
        let reported = reader.join().map_err(|_| "reader failed")?.unwrap_or(known);
        let contents = Log::of(dir.path()).read()?;
        assert!(contents.revision() >= reported.max(known), "{reported} reported, {} there", contents.revision());
        for (i, entry) in contents.entries.iter().enumerate() {
            assert_eq!(entry, &Entry::Decision(Box::new(line(i))), "line {} is not what was written", i + 1);
        }
        torn += usize::from(contents.torn.is_some());
        known = contents.revision();
    }
    Ok((known, torn))
}

#[test]
fn twelve_times() -> Checked {
    let (saved, _) = kill(12)?;
    assert!(saved > 0, "nothing was ever written, so nothing was tested");
    Ok(())
}

/// `cargo test --test all review::kill::two_hundred_times -- --ignored --nocapture` prints the figures.
#[test]
#[ignore = "takes a quarter of a minute"]
fn two_hundred_times() -> Checked {
    let (saved, torn) = kill(200)?;
    println!("200 kills, {saved} decisions saved, none lost, {torn} torn lines set aside");
    assert!(saved > 200);
    Ok(())
}
