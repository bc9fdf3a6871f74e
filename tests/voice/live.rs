//! `live`: the list as it grows, the same as `find` gives on the whole, and nothing that was shown is lost.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use serde_json::Value;

use super::{Checked, file, hoistnote, names, run};

const DEMO: &str = include_str!("../../samples/demo-walkaround.vtt");

/// The words of captions, a caption a line.
fn words(vtt: &str) -> Vec<String> {
    hoistnote::dictation::read("", vtt.as_bytes())
        .map(|d| d.utterances.into_iter().map(|u| u.text).collect())
        .unwrap_or_default()
}

/// The only dictation of a folder.
fn kept(folder: &Path) -> Result<PathBuf, Box<dyn std::error::Error>> {
    let names = names(folder)?;
    let only = names.iter().find(|n| n.ends_with(".vtt")).ok_or("nothing was kept")?;
    Ok(folder.join(only))
}

/// A session that is talked to.
struct Session {
    process: Child,
    shown: Receiver<String>,
}

impl Session {
    fn open(folder: &Path) -> Result<Session, Box<dyn std::error::Error>> {
        let mut command = hoistnote();
        command.arg("live").arg(folder).args(["--format", "json"]);
        let mut process = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn()?;
        let err = process.stderr.take().ok_or("no standard error")?;
        let (sender, shown) = channel();
        std::thread::spawn(move || {
            for line in BufReader::new(err).lines().map_while(Result::ok) {
                if sender.send(line).is_err() {
                    return;
                }
            }
        });
        Ok(Session { process, shown })
    }

    fn say(&mut self, line: &str) -> Checked {
        let input = self.process.stdin.as_mut().ok_or("no standard input")?;
        writeln!(input, "{line}")?;
        Ok(input.flush()?)
    }

    /// Waits until these words are shown; gives how long it took.
    fn until_shown(&self, words: &str) -> Result<Duration, Box<dyn std::error::Error>> {
        let start = Instant::now();
        loop {
            let line = self.shown.recv_timeout(Duration::from_secs(60))?;
            if line.contains(words) {
                return Ok(start.elapsed());
            }
        }
    }

    /// Says no more; gives the list at the end.
    fn list(mut self) -> Result<Value, Box<dyn std::error::Error>> {
        drop(self.process.stdin.take());
        let output = self.process.wait_with_output()?;
        assert_eq!(output.status.code(), Some(0));
        Ok(serde_json::from_slice(&output.stdout)?)
    }
}

fn find(path: &Path) -> Result<Value, Box<dyn std::error::Error>> {
    let (out, _, _) = run(hoistnote().args(["find", "--format", "json"]).arg(path))?;
    Ok(serde_json::from_str(&out)?)
}

/// All but where it was read from.
const ALIKE: [&str; 6] = ["vehicle", "utterances", "findings", "general_talk", "withdrawn", "unplaced"];

#[test]
fn the_list_at_the_end_is_that_of_find_on_the_whole() -> Checked {
    let mut dictations = vec![words(DEMO)];
    // invented dictations, by their authors
    let work = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/dictations/work");
    for name in ["a/wa01.json", "e/we04.json"] {
        let gold: Value = serde_json::from_str(&fs::read_to_string(format!("{work}/{name}"))?)?;
        let lines = gold["lines"].as_array().ok_or("no lines")?;
        dictations.push(lines.iter().filter_map(|l| l.as_str().map(str::to_string)).collect());
    }
    for (n, lines) in dictations.iter().enumerate() {
        let dir = tempfile::tempdir()?;
        let mut session = Session::open(dir.path())?;
        for (k, line) in lines.iter().enumerate() {
            // plain words, words with times, and words that were not settled at first
            match k % 3 {
                0 => session.say(line)?,
                1 => session.say(&serde_json::json!({"start": k * 4, "end": k * 4 + 3, "text": line}).to_string())?,
                _ => {
                    session.say(&serde_json::json!({"partial": &line[..line.len() / 2]}).to_string())?;
                    session.say(&serde_json::json!({"text": line, "final": true}).to_string())?;
                }
            }
        }
        let list = session.list()?;
        let found = find(&kept(dir.path())?)?;
        for part in ALIKE {
            assert_eq!(list[part], found[part], "dictation {n}, {part}");
        }
        // text without times is parted into its sentences
        let said: Vec<&str> =
            list["utterances"].as_array().ok_or("no lines")?.iter().filter_map(|u| u["text"].as_str()).collect();
        assert_eq!(said.join(" "), lines.iter().map(|l| l.trim()).collect::<Vec<_>>().join(" "), "dictation {n}");
    }
    Ok(())
}

#[test]
fn each_line_is_shown_with_what_it_did() -> Checked {
    let dir = tempfile::tempdir()?;
    let mut session = Session::open(dir.path())?;
    let table = [
        ("Driver says it pulls a bit when he brakes.", "? part and condition"),
        ("Left front. Brake pads are worn.", "+ brake pad, left front: worn"),
        ("They need replacing.", "~ brake pad, left front: worn; to do: replace"),
        ("The left rear tire is worn.", "+ tire, left rear: worn"),
        ("No, scratch that tire.", "- tire, left rear: worn"),
    ];
    for (line, shown) in table {
        session.say(line)?;
        session.until_shown(shown)?;
    }
    session.list().map(|_| ())
}

/// Killed as `kill -9` does: what was shown is on the disk, and the next session adds to it.
#[test]
fn nothing_that_was_shown_is_lost() -> Checked {
    let lines = words(DEMO);
    for n in 1..=5 {
        let dir = tempfile::tempdir()?;
        let mut session = Session::open(dir.path())?;
        for line in &lines[..n * 3] {
            session.say(line)?;
        }
        session.until_shown(&lines[n * 3 - 1])?;
        session.process.kill()?;
        session.process.wait()?;
        let on_disk = words(&fs::read_to_string(kept(dir.path())?)?);
        assert_eq!(on_disk, &lines[..n * 3]);
        let mut again = Session::open(dir.path())?;
        for line in &lines[n * 3..] {
            again.say(line)?;
        }
        let list = again.list()?;
        assert_eq!(
            list["utterances"].as_array().map(Vec::len),
            Some(lines.len()),
            "both sessions are of one inspection"
        );
    }
    Ok(())
}

#[test]
fn a_session_without_a_word_leaves_nothing_behind() -> Checked {
    let dir = tempfile::tempdir()?;
    Session::open(dir.path())?.list()?;
    assert_eq!(names(dir.path())?, Vec::<String>::new());
    Ok(())
}

#[cfg(unix)]
#[test]
fn a_recogniser_is_started_and_its_end_told() -> Checked {
    for (end, code, told) in
        [("", 0, ""), ("echo 'no microphone' >&2; exit 2", 1, "stopped: \"no microphone\"; all that came is kept")]
    {
        let dir = tempfile::tempdir()?;
        file(dir.path(), "say.sh", format!("echo '{{\"partial\": \"the batt\"}}'\necho the battery is dead\n{end}\n"))?;
        file(dir.path(), "voice.toml", "[live]\nrun = [\"/bin/sh\", \"say.sh\"]\n")?;
        let mut command = hoistnote();
        command.args(["live", "visit", "--start", "--format", "csv"]).current_dir(dir.path());
        let (out, err, got) = run(command.stdin(Stdio::null()))?;
        assert_eq!(got, Some(code), "{err}");
        assert!(out.contains("battery") && err.contains(told), "{out}{err}");
    }
    Ok(())
}

/// Notes typed beside it count in the list, as on the desk.
#[test]
fn notes_of_the_inspection_are_in_the_list() -> Checked {
    let dir = tempfile::tempdir()?;
    file(dir.path(), "notes.txt", "rr shock lkg\n")?;
    let mut session = Session::open(dir.path())?;
    session.say("the battery is dead")?;
    let list = session.list()?;
    let parts: Vec<&str> =
        list["findings"].as_array().ok_or("none")?.iter().filter_map(|f| f["component"]["id"].as_str()).collect();
    assert_eq!(parts, ["battery", "shock-absorber"]);
    Ok(())
}

/// From a settled line to the screen, on a dictation of 45 minutes. `cargo test --release --test all voice::live -- --ignored
/// --nocapture` prints the figures.
#[test]
#[ignore = "figures mean something in a release build alone"]
fn a_line_is_on_the_screen_soon() -> Checked {
    // fifteen lines a minute for 45 minutes, the demo over and over
    let lines: Vec<String> = words(DEMO).into_iter().cycle().take(15 * 45).collect();
    let dir = tempfile::tempdir()?;
    let mut session = Session::open(dir.path())?;
    lines.iter().try_for_each(|l| session.say(l))?;
    session.say("That was all.")?;
    session.until_shown("That was all.")?;
    std::thread::sleep(Duration::from_secs(1));
    let (mut words, mut list) = (Vec::new(), Vec::new());
    // parts that the demo does not speak of, so that each is news
    let lexicon = hoistnote::lexicon::Lexicon::builtin()?;
    for part in lexicon.parts.iter().filter(|p| p.name.ends_with(" sensor")).take(40) {
        let line = format!("The {} is broken.", part.name);
        let start = Instant::now();
        session.say(&line)?;
        session.until_shown(&line)?;
        words.push(start.elapsed());
        session.until_shown("  + ")?;
        list.push(start.elapsed());
    }
    assert!(words.len() > 20);
    for (what, took) in [("words", &mut words), ("list", &mut list)] {
        took.sort();
        let (middle, worst) = (took[took.len() / 2], took[took.len() - 1]);
        println!("{} lines, {what}: {middle:?} in the middle, {worst:?} at worst", lines.len());
        assert!(worst < Duration::from_millis(100), "{what}: {worst:?}");
    }
    Ok(())
}
