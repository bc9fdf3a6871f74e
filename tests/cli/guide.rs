//! The foreman's guide shows what its commands print: they are run one after the other in an empty folder.

use std::path::Path;

use super::{Checked, hoistnote};

const GUIDE: &str = include_str!("../../lexicon/README.md");

/// Lines of files move; all else stays.
fn without_lines(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(".toml:") {
        let (head, tail) = rest.split_at(at + ".toml:".len());
        out.push_str(head);
        rest = tail.trim_start_matches(|c: char| c.is_ascii_digit());
    }
    out + rest
}

/// The words of a command line; double quotes keep words together.
fn words(line: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => out.push(String::new()),
            c => out.iter_mut().last().into_iter().for_each(|w| w.push(c)),
        }
    }
    out
}

/// What a command prints on both streams.
fn output(line: &str, folder: &Path) -> Result<String, Box<dyn std::error::Error>> {
    let arguments = words(line);
    let run = hoistnote().args(&arguments[1..]).current_dir(folder).output()?;
    Ok(String::from_utf8(run.stdout)? + &String::from_utf8(run.stderr)?)
}

#[test]
fn the_guide_shows_what_its_commands_print() -> Checked {
    let folder = tempfile::tempdir()?;
    let mut commands = 0;
    for block in GUIDE.split("```").skip(1).step_by(2) {
        let (info, body) = block.split_once('\n').ok_or("an empty block")?;
        if let Some((_, name)) = info.split_once(' ') {
            let path = folder.path().join(name);
            path.parent().map_or(Ok(()), std::fs::create_dir_all)?;
            std::fs::write(path, body)?;
        }
        if info != "console" {
            continue;
        }
        let mut printed = String::new();
        for line in body.lines().filter(|l| l.starts_with("$ ")) {
            printed.push_str(&format!("{line}\n{}", output(&line[2..], folder.path())?));
            commands += 1;
        }
        assert_eq!(without_lines(&printed), without_lines(body));
    }
    assert!(commands > 6, "the guide has next to no commands");
    Ok(())
}

#[test]
fn the_guide_names_every_key_of_a_part() {
    for key in hoistnote::lexicon::Family::Part.keys() {
        assert!(GUIDE.contains(&format!("| `{key}` |")) || GUIDE.contains(&format!("| `{key} = ")), "{key}");
    }
}
