//! What a configuration of recognisers may say, and what is told of one that can't stand.

use hoistnote::diagnostic::{Kind, SourceFile};
use hoistnote::voice::Configuration;

use super::Checked;

/// Kinds of problems with line and column.
fn problems(text: &str) -> Vec<(&'static str, usize, usize)> {
    let file = SourceFile::new("voice.toml", text);
    let wrong = Configuration::read(&file).err().unwrap_or_default();
    let place = |p: &hoistnote::voice::VoiceProblem| p.at.file.position(p.at.span.start);
    wrong.iter().map(|p| (p.kind.name(), place(p).0, place(p).1)).collect()
}

#[test]
fn what_is_wrong_is_told_with_its_place() {
    type Told = &'static [(&'static str, usize, usize)];
    let table: [(&str, Told); 12] = [
        ("[hear]\nrun = [\"a\", \"{audio}\"]\n", &[]),
        ("[hear]\nrun = [\"a\", \"{audio}\", \"{{x}}\"]\ntimeout = \"1h 5m\"\nhint = 90\n[live]\nrun = [\"b\"]\n", &[]),
        ("", &[]),
        ("[hear]\nrun = []\n", &[("no_program", 2, 7)]),
        ("[hear]\nrun = [\" \", \"{audio}\"]\n", &[("no_program", 2, 7)]),
        ("[hear]\nrun = [\"a\"]\n", &[("misplaced", 2, 7)]),
        ("[hear]\nrun = [\"a\", \"{audoi}\"]\n", &[("no_placeholder", 2, 13), ("misplaced", 2, 7)]),
        ("[live]\nrun = [\"a\", \"{audio}\"]\n", &[("misplaced", 2, 13)]),
        ("[hear]\nprepare = [\"sox\", \"{recording}\"]\nrun = [\"a\", \"{audio}\"]\n", &[("misplaced", 2, 11)]),
        ("[hear]\nrun = [\"a\", \"{audio}\"]\ntimeout = \"soon\"\n", &[("no_time", 3, 11)]),
        ("[hear]\nrun = \"a {audio}\"\n", &[("unreadable", 2, 7)]),
        ("[hear]\nrun = [\"a\", \"{audio}\"]\nshell = true\n", &[("unreadable", 3, 1)]),
    ];
    for (text, wanted) in table {
        assert_eq!(problems(text), wanted, "{text}");
    }
}

/// The recipes that are shipped are fine, and the second is three lines.
#[test]
fn recipes() -> Checked {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/recognisers");
    for (name, lines) in [("whisper.toml", 5), ("pocketsphinx.toml", 3)] {
        let text = std::fs::read_to_string(format!("{folder}/{name}"))?;
        assert_eq!(problems(&text), [], "{name}");
        assert_eq!(text.lines().filter(|l| !l.starts_with('#') && !l.is_empty()).count(), lines, "{name}");
    }
    Ok(())
}
