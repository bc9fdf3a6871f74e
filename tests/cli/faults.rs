//! What befalls files: a full disk, a folder that can't be written to, files that vanish, a killed writer. A clear error or a right
//! result, and never half a file.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use super::{Checked, NOTES, file, hoistnote, run};

/// A small file system in memory, taken away again at the end. Only root may have one.
struct Disk(PathBuf);

impl Disk {
    fn new(at: &Path, size: &str) -> Option<Disk> {
        fs::create_dir_all(at).ok()?;
        let options = format!("size={size}");
        let done = Command::new("mount").args(["-t", "tmpfs", "-o", &options, "tmpfs"]).arg(at).output().ok()?;
        if !done.status.success() {
            println!("no small disk can be had here: not tested");
            return None;
        }
        Some(Disk(at.to_path_buf()))
    }

    fn read_only(&self) -> bool {
        let done = Command::new("mount").args(["-o", "remount,ro"]).arg(&self.0).status();
        done.is_ok_and(|s| s.success())
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

/// All files of a folder with their bytes, ballast apart.
fn contents(folder: &Path) -> Result<BTreeMap<String, Vec<u8>>, Box<dyn std::error::Error>> {
    let mut found = BTreeMap::new();
    for entry in walkdir::WalkDir::new(folder) {
        let entry = entry?;
        if entry.file_type().is_file() && entry.file_name() != "ballast" {
            found.insert(entry.path().strip_prefix(folder)?.display().to_string(), fs::read(entry.path())?);
        }
    }
    Ok(found)
}

/// A command that writes: what it is called here, and its arguments.
type Writer = (&'static str, Vec<String>);

/// Every command that writes, with the folder it writes to.
fn writers(from: &Path, to: &Path) -> Vec<Writer> {
    let path = |folder: &Path, name: &str| folder.join(name).display().to_string();
    let (many, table, rates) = (path(from, "many"), path(from, "names.csv"), "samples/rates/larkfield".to_string());
    let (list, unit) = (path(to, "list"), path(to, "unit-14"));
    let words = |line: &str| line.split(' ').map(str::to_string).collect::<Vec<_>>();
    vec![
        ("find", [words("find --format json --out"), vec![list.clone(), many.clone()]].concat()),
        ("report", [words("demo --format html --out"), vec![list.clone()]].concat()),
        ("results", [words("find --format json --out"), vec![path(to, "results/"), many]].concat()),
        ("decide", [words("decide"), vec![unit.clone()], words("note 00 looked-at")].concat()),
        ("price", [words("price --rates"), vec![rates, "--out".into(), list, unit.clone()]].concat()),
        ("answer", [words("price --rates samples/rates/larkfield --decline"), vec![String::new(), unit]].concat()),
        ("import", [words("lexicon import"), vec![table, "--lexicon".into(), path(to, "words")]].concat()),
    ]
}

/// Fills the folders that [`writers`] read and write, and puts the id of a finding into those that decide on one.
fn ready(from: &Path, to: &Path) -> Result<Vec<Writer>, Box<dyn std::error::Error>> {
    for folder in [from.join("many"), to.join("unit-14"), to.join("words"), to.join("results")] {
        fs::create_dir_all(folder)?;
    }
    for n in 0..12 {
        file(&from.join("many"), &format!("unit-{n:02}.txt"), NOTES.repeat(20))?;
    }
    file(from, "names.csv", (0..400).map(|n| format!("brake caliper,clamper {n}\n")).collect::<String>())?;
    file(&to.join("unit-14"), "notes.txt", NOTES)?;
    file(&to.join("words"), "words.toml", "[[part]]\nid = \"brake-caliper\"\nalso = [\"the clamper\"]\n")?;
    file(to, "list", "old")?;
    let (list, _, _) = run(hoistnote().args(["final", "--format", "json"]).arg(to.join("unit-14")))?;
    let document: serde_json::Value = serde_json::from_str(&list)?;
    let id = document["findings"][0]["id"].as_str().ok_or("no finding")?.to_string();
    let mut all = writers(from, to);
    for (name, arguments) in &mut all {
        for a in arguments.iter_mut() {
            match (*name, a.as_str()) {
                ("decide", "00") => *a = id.clone(),
                ("answer", "") => *a = id.clone(),
                _ => {}
            }
        }
    }
    Ok(all)
}

#[test]
fn a_full_disk_is_told_and_spoils_nothing() -> Checked {
    let dir = tempfile::tempdir()?;
    let Some(disk) = Disk::new(&dir.path().join("small"), "1m") else { return Ok(()) };
    let all = ready(dir.path(), &disk.0)?;
    for room in [0_usize, 4096] {
        let ballast = disk.0.join("ballast");
        // as much as there is room for
        let mut bytes = vec![0_u8; 2 << 20];
        while fs::write(&ballast, &bytes).is_err() {
            let there = fs::metadata(&ballast)?.len() as usize;
            bytes.truncate(if there > 0 && there < bytes.len() { there } else { bytes.len() / 2 });
        }
        fs::OpenOptions::new().write(true).open(&ballast)?.set_len((bytes.len().saturating_sub(room)) as u64)?;
        for (name, arguments) in &all {
            let before = contents(&disk.0)?;
            let (_, told, code) = run(hoistnote().args(arguments))?;
            let after = contents(&disk.0)?;
            assert!(!told.contains("panicked"), "{name}: {told}");
            if code == Some(0) {
                // there was room enough for it
                assert!(room > 0, "{name} wrote to a full disk");
                continue;
            }
            assert_eq!(code, Some(1), "{name}, {room} bytes free: {told}");
            assert!(told.contains("space"), "{name}: {told}");
            let is_new = |n: &str| !before.contains_key(n);
            for (n, bytes) in &after {
                let whole = n.ends_with(".json") && bytes.ends_with(b"\n") || n == "results/.hoistnote-done.ndjson";
                let log = n.ends_with("decisions.ndjson") && bytes.is_empty();
                assert!(before.get(n) == Some(bytes) || is_new(n) && (whole || log), "{name}: {n} is half written");
            }
            assert!(before.keys().all(|n| after.contains_key(n)), "{name}: a file is lost");
        }
        fs::remove_file(&ballast)?;
    }
    // with room again all goes on
    for (name, arguments) in &all {
        let (_, told, code) = run(hoistnote().args(arguments))?;
        assert_eq!(code, Some(0), "{name}: {told}");
    }
    Ok(())
}

#[test]
fn what_can_not_be_written_to_is_told() -> Checked {
    let dir = tempfile::tempdir()?;
    let Some(disk) = Disk::new(&dir.path().join("fixed"), "4m") else { return Ok(()) };
    let all = ready(dir.path(), &disk.0)?;
    assert!(disk.read_only());
    let before = contents(&disk.0)?;
    for (name, arguments) in &all {
        let (out, told, code) = run(hoistnote().args(arguments))?;
        assert_eq!((code, told.lines().count()), (Some(1), 1), "{name}: {told}");
        assert!(told.to_lowercase().contains("read-only"), "{name}: {told}");
        assert!(name == &"answer" || out.is_empty(), "{name}: {out}");
        assert_eq!(contents(&disk.0)?, before, "{name}");
    }
    Ok(())
}

/// Standard output to a full disk.
#[cfg(target_os = "linux")]
#[test]
fn output_that_no_room_is_left_for_is_told() -> Checked {
    for arguments in [&["demo"][..], &["demo", "--format", "json"], &["schema"], &["demo", "--text"]] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full")?;
        let done = Command::new(env!("CARGO_BIN_EXE_hoistnote")).args(arguments).stdout(full).output()?;
        let told = String::from_utf8(done.stderr)?;
        assert_eq!(done.status.code(), Some(1), "{arguments:?}: {told}");
        assert!(told.starts_with("standard output: can't be written") && told.contains("space"), "{told}");
    }
    Ok(())
}

/// Files that go away while others are read: each is either in the results or told.
#[test]
fn files_that_vanish_are_told_and_the_rest_is_done() -> Checked {
    const MANY: usize = 120;
    let dir = tempfile::tempdir()?;
    let (from, out) = (dir.path().join("from"), dir.path().join("out"));
    fs::create_dir(&from)?;
    fs::create_dir(&out)?;
    for n in 0..MANY {
        file(&from, &format!("{n:03}.txt"), NOTES.repeat(4))?;
    }
    let child = Command::new(env!("CARGO_BIN_EXE_hoistnote"))
        .args(["find", "--format", "json", "--out"])
        .args([&out, &from])
        .stderr(Stdio::piped())
        .spawn()?;
    while !out.join("000.txt.json").exists() {
        std::thread::sleep(Duration::from_millis(1));
    }
    for n in (0..MANY).rev() {
        fs::remove_file(from.join(format!("{n:03}.txt")))?;
    }
    let done = child.wait_with_output()?;
    let told = String::from_utf8(done.stderr)?;
    let missing = told.lines().filter(|l| l.contains("no such file")).count();
    let written = contents(&out)?.keys().filter(|n| n.ends_with(".json")).count();
    assert_eq!((missing + written, told.lines().count()), (MANY, missing), "{told}");
    assert_eq!(done.status.code(), Some(i32::from(missing > 0)));
    assert!(missing > 0 && written > 0, "{missing} vanished, {written} read: nothing was tested");
    Ok(())
}

/// Whatever writes a file of its own is killed again and again: the file is the old one or the new one.
#[test]
fn killed_writers_leave_whole_files() -> Checked {
    let dir = tempfile::tempdir()?;
    let all = ready(dir.path(), dir.path())?;
    for (name, target) in [("find", "list"), ("report", "list"), ("price", "list"), ("import", "words/words.toml")] {
        let (_, arguments) = all.iter().find(|(n, _)| *n == name).ok_or("no such writer")?;
        let target = dir.path().join(target);
        let old = fs::read(&target)?;
        let start = std::time::Instant::now();
        let (_, told, code) = run(hoistnote().args(arguments))?;
        let took = start.elapsed();
        assert_eq!(code, Some(0), "{name}: {told}");
        let new = fs::read(&target)?;
        assert_ne!(old, new, "{name}");
        for n in 0..8_u32 {
            fs::write(&target, &old)?;
            let mut child = Command::new(env!("CARGO_BIN_EXE_hoistnote"))
                .args(arguments)
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()?;
            // late, where it writes
            std::thread::sleep(took * (80 + n * 3) / 100);
            child.kill()?;
            child.wait()?;
            let now = fs::read(&target)?;
            assert!(now == old || now == new, "{name}: half a file");
        }
        fs::write(&target, &old)?;
    }
    Ok(())
}

/// The program to give large inputs to: `HOISTNOTE` names an optimised one.
fn quick() -> assert_cmd::Command {
    assert_cmd::Command::new(std::env::var_os("HOISTNOTE").unwrap_or(env!("CARGO_BIN_EXE_hoistnote").into()))
}

/// `HOISTNOTE=$PWD/target/release/hoistnote cargo test --test all large_inputs -- --ignored --nocapture` prints what each takes.
#[test]
#[ignore = "takes minutes without an optimised program"]
fn large_inputs() -> Checked {
    let dir = tempfile::tempdir()?;
    let line = "left front tire is at 4 mm, brake pads are worn, and the ball joint has play ";
    let many_lines = |n: usize| (0..n).map(|i| format!("{line} {i}\n")).collect::<String>();
    let captions = |n: usize| {
        let cue = |i: usize| {
            let (h, m, s) = (i / 3600, i / 60 % 60, i % 60);
            format!("{h:02}:{m:02}:{s:02}.000 --> {h:02}:{m:02}:{s:02}.900\n{line}\n\n")
        };
        format!("WEBVTT\n\n{}", (0..n).map(cue).collect::<String>())
    };
    let long = |bytes: usize, unit: &str| unit.repeat(bytes / unit.len());
    const MB: usize = 1 << 20;
    let table: [(&str, String, i32); 10] = [
        ("200,000 lines of notes", many_lines(200_000), 0),
        ("200,000 captions", captions(200_000), 0),
        ("one line of 50 MB, talk", long(50 * MB, line), 0),
        ("one line of 50 MB, one word", long(50 * MB, "a"), 0),
        ("one line of 50 MB, signs", long(50 * MB, "-. "), 0),
        ("a caption of 50 MB", format!("WEBVTT\n\n00:01.000 --> 00:02.000\n{}", long(50 * MB, "<i>so ")), 0),
        ("JSON nested 50 million deep", long(50 * MB, "["), 0),
        ("JSON objects nested 10 million deep", long(50 * MB, "{\"a\":"), 1),
        ("a JSON text of 50 MB", format!("{{\"text\":\"{}\"}}", long(50 * MB, "so it goes. ")), 0),
        ("50 MB of zeros", long(50 * MB, "\0"), 1),
    ];
    for (name, text, code) in table {
        let path = file(dir.path(), "large", text)?;
        let start = std::time::Instant::now();
        let (out, told, ended) =
            run(quick().args(["find", "--format", "json"]).arg(&path).timeout(Duration::from_secs(600)))?;
        println!("{name}: {:.1} s, {} bytes of findings", start.elapsed().as_secs_f64(), out.len());
        assert_eq!(ended, Some(code), "{name}: {told}");
        assert!(code == 1 || out.ends_with("}\n"), "{name}");
    }
    Ok(())
}
