//! Owns `lexicon import`: nicknames from a table.

use std::collections::HashSet;

use crate::cli::outcome::{Failure, Outcome, say};
use crate::lexicon::{Family, Lexicon};
use crate::report::{count, shown};
use crate::shop::{Addition, Key, entry_of};

use super::args::RawImport;
use super::folder::{self, Loaded};

/// Runs `lexicon import`.
pub(super) fn run(args: &RawImport) -> Result<Outcome, Failure> {
    let table = shown(&args.table.display().to_string());
    let unreadable = |what: String| Failure::Input(format!("{table}: {what}"));
    let bytes = std::fs::read(&args.table).map_err(|e| Failure::unreadable(&table, &e, "name a table saved as CSV"))?;
    let text = String::from_utf8(bytes)
        .map_err(|_| unreadable("not UTF-8 text; export the table again as \"CSV UTF-8\"".into()))?;
    let text = text.trim_start_matches('\u{feff}');
    if !args.lexicon.is_dir() {
        std::fs::create_dir_all(&args.lexicon)
            .map_err(|e| Failure::unwritten(&shown(&args.lexicon.display().to_string()), e))?;
    }
    let loaded = Loaded::open(Some(&args.lexicon))?;
    let (additions, wrong) = read(text, loaded.interpreter.lexicon());
    wrong.iter().for_each(|(line, what)| say(&format!("{table}:{line}: {what}")));
    let files = folder::write(&args.lexicon, &loaded.ours, &additions)?;
    let names: Vec<String> = files.iter().map(|f| shown(&f.display().to_string())).collect();
    say(&format!(
        "{} taken over{}; {} left out",
        count(additions.len(), "nickname", "nicknames"),
        if names.is_empty() { String::new() } else { format!(" into {}", names.join(", ")) },
        count(wrong.len(), "line", "lines")
    ));
    Ok(if wrong.is_empty() { Outcome::Fine } else { Outcome::SomeUnread })
}

/// What the rows of a table add, and what is wrong with the others, by line.
fn read(text: &str, lexicon: &Lexicon) -> (Vec<Addition>, Vec<(u64, String)>) {
    let separator = if text.lines().next().is_some_and(|l| l.contains(';') && !l.contains(',')) { b';' } else { b',' };
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(separator).from_reader(text.as_bytes());
    let (mut additions, mut wrong) = (Vec::new(), Vec::new());
    let mut had = HashSet::new();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                wrong.push((e.position().map_or(0, csv::Position::line), format!("can't be read as a row ({e})")));
                continue;
            }
        };
        let line = record.position().map_or(0, csv::Position::line);
        let cells: Vec<&str> = record.iter().map(str::trim).collect();
        let [term, nickname] = cells.as_slice() else {
            wrong.push((line, "not two columns; write: term,nickname".into()));
            continue;
        };
        if additions.is_empty() && term.eq_ignore_ascii_case("term") {
            continue;
        }
        let folded = lexicon.fold(nickname);
        match entry_of(term, lexicon) {
            _ if folded.is_empty() => wrong.push((line, "the nickname is empty; write how it is said".into())),
            None => wrong.push((
                line,
                format!("no entry is called \"{}\"; `hoistnote lexicon show` finds what it is called", shown(term)),
            )),
            Some((family, id)) => {
                let taken = lexicon.strong_part(&folded).map(|p| lexicon.parts[p].id.as_str());
                match taken.filter(|_| family == Family::Part) {
                    Some(same) if same == id => {}
                    Some(other) => {
                        wrong.push((line, format!("\"{}\" is a name of part \"{other}\" already", shown(nickname))));
                    }
                    None if had.insert((folded, id.clone())) => {
                        let key = if family == Family::Part { Key::Also } else { Key::Say };
                        additions.push(Addition { family, id, system: None, key, phrase: nickname.to_lowercase() });
                    }
                    None => {}
                }
            }
        }
    }
    (additions, wrong)
}
