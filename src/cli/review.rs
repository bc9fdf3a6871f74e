//! Owns `final` and `decide`: the final list of an inspection, and decisions on it without the page.

use std::path::Path;

use jiff::Timestamp;
use jiff::civil::Date;

use crate::report;
use crate::review::{self, Edit, Inspection, Line, Log};

use super::find::{Reader, Writer};
use super::outcome::{Failure, Outcome, say};
use super::request::{Output, Reading};

/// An inspection, read, with the decisions on it.
pub(super) struct Opened {
    pub reader: Reader,
    pub log: Log,
    pub list: review::FinalList,
    /// Lines of the log.
    pub entries: Vec<review::Entry>,
    pub is_whole: bool,
    /// When the visit was.
    pub day: Option<Date>,
}

/// Reads an inspection; what is out of order is told on standard error.
pub(super) fn open(folder: &Path, reading: &Reading) -> Result<Opened, Failure> {
    let reader = Reader::open(reading)?;
    let shown = report::shown(&folder.display().to_string());
    let inspection =
        Inspection::open(folder).map_err(|e| Failure::unreadable(&shown, &e, "name the folder of one inspection"))?;
    for recording in &inspection.unheard {
        say(&format!("{recording}: what is said in it is not in the list; write it down with `hoistnote hear`"));
    }
    if inspection.dictations.is_empty() {
        return Err(Failure::Input(format!("{shown}: no dictation or notes in it; name the folder of one inspection")));
    }
    let extraction = inspection.extract(reader.interpreter(), reader.settings());
    extraction.problems.iter().for_each(|p| say(p));
    let log = Log::of(folder);
    let contents = log.read().map_err(Failure::Log)?;
    if let Some(torn) = &contents.torn {
        say(&format!(
            "{}: its last line was never written to its end and does not count: {torn}",
            log.path().display()
        ));
    }
    let list = extraction.final_list(&contents.entries, reader.interpreter(), reader.settings());
    for line in &list.unreadable {
        say(&format!("{}:{line}: can't be read; the line is kept and does not count", log.path().display()));
    }
    Ok(Opened {
        reader,
        log,
        list,
        entries: contents.entries,
        is_whole: extraction.problems.is_empty() && inspection.unheard.is_empty(),
        day: inspection.day,
    })
}

/// Runs `final`.
pub(super) fn run_final(folder: &Path, reading: &Reading, output: &Output) -> Result<Outcome, Failure> {
    let opened = open(folder, reading)?;
    let mut writer = Writer::open(output, &opened.reader)?;
    for stale in opened.list.stale.iter().filter(|s| !s.is_passed) {
        say(&format!(
            "{}:{}: this decision no longer applies: {}",
            opened.log.path().display(),
            stale.line,
            stale.reason
        ));
    }
    let n = opened.list.open();
    if n > 0 {
        let things = report::count(n, "thing", "things");
        say(&format!(
            "{}: {things} not yet looked at; decide on each with `hoistnote desk` or `hoistnote decide`:",
            folder.display()
        ));
        not_looked_at(&opened.list).iter().for_each(|line| say(line));
    }
    writer.write_final(&opened.list, opened.day)?;
    writer.finish()?;
    Ok(if opened.is_whole { Outcome::Fine } else { Outcome::SomeUnread })
}

/// What keeps the list from being handed over, a line each: the words that `decide` takes, then what it is.
fn not_looked_at(list: &review::FinalList) -> Vec<String> {
    let document = &list.document;
    let open = document.findings.iter().zip(&list.items).filter(|(_, i)| i.is_open());
    let findings = open.map(|(f, i)| {
        let at = report::part_at(&f.component, &f.position);
        format!("  {} {at}, {}: {}", report::short_id(document, &f.id), report::verdict(f.verdict), i.doubts.join("; "))
    });
    let loose = list.loose.iter().filter(|l| !l.is_settled);
    let words = loose.map(|l| format!("  line {}, {}: \"{}\"", l.line, l.reason, report::shown(&l.text)));
    let stale = list.stale.iter().filter(|s| s.is_open());
    let decisions = stale.map(|s| format!("  decision {} no longer applies: {}", s.line, s.reason));
    findings.chain(words).chain(decisions).collect()
}

/// Runs `decide`.
pub(super) fn run_decide(folder: &Path, edit: &Edit, reading: &Reading) -> Result<Outcome, Failure> {
    let opened = open(folder, reading)?;
    let decision = review::decide(edit, &opened.list, opened.reader.interpreter().lexicon())
        .map_err(|r| Failure::Usage(format!("{}: {r}", folder.display())))?;
    let line = Line { when: Timestamp::now().to_string(), decision };
    let contents = opened.log.append(opened.list.revision, &line).map_err(Failure::Log)?;
    say(&format!("{}: saved as line {}", opened.log.path().display(), contents.revision()));
    Ok(Outcome::Fine)
}
