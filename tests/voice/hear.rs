//! `hear` with recognisers that are scripts of a few lines, well-behaved and not.
#![cfg(unix)]

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use super::{Checked, file, hoistnote, names, run};

const VTT: &str = "WEBVTT\\n\\n00:00:01.000 --> 00:00:03.000\\nThe battery is dead, replace it.\\n";

/// A folder with a recording and a recogniser that runs this shell script, given the audio, the hint, its file and the output.
fn folder(script: &str, more: &str) -> Result<tempfile::TempDir, Box<dyn std::error::Error>> {
    let dir = tempfile::tempdir()?;
    file(dir.path(), "walk.wav", b"RIFF no more than a name")?;
    recogniser(dir.path(), script, more)?;
    Ok(dir)
}

fn recogniser(dir: &Path, script: &str, more: &str) -> Checked {
    file(dir, "recogniser.sh", script)?;
    let output = if script.contains("$4") { ", \"{output}\"" } else { "" };
    let arguments = format!("[\"/bin/sh\", \"recogniser.sh\", \"{{audio}}\", \"{{hint}}\", \"{{hint_file}}\"{output}]");
    file(dir, "voice.toml", format!("[hear]\nrun = {arguments}\n{more}"))?;
    Ok(())
}

fn hear(dir: &Path, more: &[&str]) -> Result<(String, String, Option<i32>), Box<dyn std::error::Error>> {
    run(hoistnote().args(["hear", "walk.wav", "--format", "csv"]).args(more).current_dir(dir))
}

#[test]
fn a_recording_is_heard_once() -> Checked {
    let dir = folder(&format!("echo x >> runs\nprintf '{VTT}'\n"), "")?;
    for _ in 0..2 {
        let (out, err, code) = hear(dir.path(), &[])?;
        assert_eq!((code, err.as_str()), (Some(0), ""));
        assert!(out.contains("battery"), "{out}");
    }
    assert_eq!(fs::read_to_string(dir.path().join("runs"))?, "x\n");
    assert_eq!(fs::read(dir.path().join("walk.wav"))?, b"RIFF no more than a name");
    // the list is that of find on what is kept
    let (heard, found) = (
        run(hoistnote().args(["hear", "walk.wav", "--format", "json"]).current_dir(dir.path()))?,
        run(hoistnote().args(["find", "walk.vtt", "--format", "json"]).current_dir(dir.path()))?,
    );
    assert_eq!(heard, found);
    Ok(())
}

#[test]
fn again_sets_the_old_transcript_aside() -> Checked {
    let dir = folder(&format!("printf '{VTT}'\n"), "")?;
    file(dir.path(), "walk.srt", "1\n00:00:01,000 --> 00:00:02,000\nhorn works\n")?;
    let (out, _, code) = hear(dir.path(), &[])?;
    assert!(code == Some(0) && out.contains("horn"), "{out}");
    let (out, _, code) = hear(dir.path(), &["--again"])?;
    assert!(code == Some(0) && out.contains("battery"), "{out}");
    assert_eq!(names(dir.path())?, ["recogniser.sh", "voice.toml", "walk.srt.bak", "walk.vtt", "walk.wav"]);
    Ok(())
}

/// Script, more configuration → what is told, and what is kept of what came.
#[test]
fn whatever_a_recogniser_does_is_told_and_the_recording_left_alone() -> Checked {
    let half = "WEBVTT\n\n00:00:01.000 --> 00:00:03.000\nhorn works\n";
    let table: [(&str, &str, &str, Option<&str>); 9] = [
        ("echo 'no model here' >&2; exit 3", "", "ended with exit status 3: \"no model here\"", None),
        (&format!("printf '{}'; exit 1", half.replace('\n', "\\n")), "", "ended with exit status 1", Some(half)),
        ("exit 0", "", "heard no words", None),
        ("printf 'WEBVTT\\n'", "", "heard no words", Some("WEBVTT\n")),
        ("echo loading the model", "", "wrote no WebVTT, SubRip, CTM or JSON", Some("loading the model\n")),
        (
            "printf '{\"segments\": [{\"start\": 1, \"end\": 2, \"text\": \"horn wo'",
            "",
            "stopped in the middle",
            Some("{\"segments\""),
        ),
        ("true > \"$4\"", "", "heard no words", None),
        (
            &format!("printf '{}'; sleep 60", half.replace('\n', "\\n")),
            "timeout = \"1s\"\n",
            "took longer than 1s",
            Some(half),
        ),
        // what it started itself is ended with it
        ("sleep 60 & sleep 60", "timeout = \"1s\"\n", "took longer than 1s", None),
    ];
    for (script, more, told, kept) in table {
        let dir = folder(script, more)?;
        let start = Instant::now();
        let (out, err, code) = hear(dir.path(), &[])?;
        assert_eq!((code, out.as_str()), (Some(1), ""), "{script}: {err}");
        assert!(start.elapsed() < Duration::from_secs(30), "{script}");
        assert!(
            err.starts_with("walk.wav: ") && err.contains(told) && err.contains("the recording is untouched"),
            "{script}: {err}"
        );
        assert_eq!(err.lines().count(), 1, "{err}");
        let torn = fs::read_to_string(dir.path().join("walk.torn")).ok();
        assert_eq!(torn.is_some(), kept.is_some(), "{script}: {torn:?}");
        assert!(torn.unwrap_or_default().starts_with(kept.unwrap_or_default()), "{script}");
        assert!(!dir.path().join("walk.vtt").exists());
        assert_eq!(fs::read(dir.path().join("walk.wav"))?, b"RIFF no more than a name");
    }
    Ok(())
}

#[test]
fn a_program_that_is_not_there_and_a_configuration_that_is_not_there() -> Checked {
    let dir = folder("", "")?;
    file(dir.path(), "voice.toml", "[hear]\nrun = [\"no-such-recogniser\", \"{audio}\"]\n")?;
    let (_, err, code) = hear(dir.path(), &[])?;
    assert_eq!(code, Some(1));
    assert_eq!(err, "no program no-such-recogniser on this machine; install it, or name it with its whole path\n");
    fs::remove_file(dir.path().join("voice.toml"))?;
    let (_, err, code) = hear(dir.path(), &[])?;
    assert_eq!(code, Some(1));
    assert!(err.starts_with("voice.toml: can't be read: ") && err.contains("--config"), "{err}");
    file(dir.path(), "voice.toml", "[live]\nrun = [\"x\"]\n")?;
    let (_, err, _) = hear(dir.path(), &[])?;
    assert!(err.contains("has no [hear]"), "{err}");
    Ok(())
}

/// No shell reads the arguments: names with anything in them arrive as they are, and so does the hint.
#[test]
fn arguments_arrive_as_they_are() -> Checked {
    let dir = folder("", "")?;
    let name = "un'it 14; $(touch gone) `x` \"y\".wav";
    file(dir.path(), name, "sound")?;
    let script =
        format!("cat \"$1\" > copy\nprintf %s \"$2\" > hint\ncat \"$3\" > hint_file\nprintf '{VTT}' > \"$4\"\n");
    recogniser(dir.path(), &script, "hint = 40\n")?;
    let (out, err, code) = run(hoistnote().args(["hear", "--format", "csv", name]).current_dir(dir.path()))?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(out.contains("battery"), "{out}");
    assert_eq!(fs::read_to_string(dir.path().join("copy"))?, "sound");
    let (hint, _, _) = run(hoistnote().args(["lexicon", "words", "--hint", "40"]))?;
    assert_eq!(fs::read_to_string(dir.path().join("hint"))?, hint.trim_end());
    assert_eq!(fs::read_to_string(dir.path().join("hint_file"))?, hint);
    assert!(!dir.path().join("gone").exists());
    Ok(())
}

#[test]
fn what_prepares_the_audio_runs_before_and_its_work_is_gone_after() -> Checked {
    let dir = folder("", "")?;
    let configuration = "[hear]\nprepare = [\"/bin/cp\", \"{recording}\", \"{audio}\"]\n\
                         run = [\"/bin/sh\", \"recogniser.sh\", \"{audio}\", \"{folder}\", \"{list}\"]\n";
    file(dir.path(), "voice.toml", configuration)?;
    file(
        dir.path(),
        "recogniser.sh",
        format!("echo \"$1\" > audio\ncmp \"$1\" \"$2/$(cat \"$3\").wav\" && printf '{VTT}'\n"),
    )?;
    let (out, err, code) = hear(dir.path(), &[])?;
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(out.contains("battery"), "{out}");
    let audio = fs::read_to_string(dir.path().join("audio"))?;
    assert!(audio.ends_with("audio.wav\n") && !Path::new(audio.trim()).exists(), "{audio}");
    Ok(())
}

#[test]
fn one_bad_recording_keeps_the_others_from_nothing() -> Checked {
    let dir = folder("", "")?;
    file(dir.path(), "a.wav", "bad")?;
    file(dir.path(), "b.ogg", "good")?;
    fs::remove_file(dir.path().join("walk.wav"))?;
    recogniser(dir.path(), &format!("grep -q good \"$1\" && printf '{VTT}'\n"), "")?;
    let (out, err, code) =
        run(hoistnote().args(["hear", ".", "nothing.wav", "--format", "csv"]).current_dir(dir.path()))?;
    assert_eq!(code, Some(1));
    assert!(out.contains("battery"), "{out}");
    assert_eq!(err.lines().count(), 2, "{err}");
    assert_eq!(names(dir.path())?, ["a.wav", "b.ogg", "b.vtt", "recogniser.sh", "voice.toml"]);
    Ok(())
}

/// Ctrl-C ends the recogniser too; what came is kept, and no other recording is begun.
#[test]
fn an_interrupted_recogniser_leaves_what_came() -> Checked {
    let dir = folder(&format!("echo $$ > pid.$(basename \"$1\")\nprintf '{VTT}'\nsleep 60\n"), "")?;
    file(dir.path(), "zebra.wav", "another")?;
    let mut command = hoistnote();
    command.args(["hear", "walk.wav", "zebra.wav"]).current_dir(dir.path());
    let child = command.stdout(std::process::Stdio::piped()).stderr(std::process::Stdio::piped()).spawn()?;
    let start = Instant::now();
    while !dir.path().join("pid.walk.wav").exists() && start.elapsed() < Duration::from_secs(30) {
        std::thread::sleep(Duration::from_millis(50));
    }
    std::thread::sleep(Duration::from_millis(500));
    std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status()?;
    let output = child.wait_with_output()?;
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.code() == Some(1) && told.contains("was interrupted"), "{told}");
    assert!(fs::read_to_string(dir.path().join("walk.torn"))?.contains("The battery is dead"));
    assert!(!dir.path().join("pid.zebra.wav").exists());
    let pid = fs::read_to_string(dir.path().join("pid.walk.wav"))?;
    assert!(!Path::new("/proc").join(pid.trim()).exists() || !cfg!(target_os = "linux"), "it goes on");
    Ok(())
}

#[test]
fn neither_a_recording_nor_its_transcript_is_written_over() -> Checked {
    let dir = folder(&format!("printf '{VTT}'\n"), "")?;
    for out in ["walk.wav", "walk.vtt"] {
        let (_, err, code) = hear(dir.path(), &["--out", out])?;
        assert_eq!(code, Some(2), "{err}");
    }
    assert_eq!(fs::read(dir.path().join("walk.wav"))?, b"RIFF no more than a name");
    Ok(())
}
