//! Owns `lexicon suggest`: proposals shown, asked for one by one at a terminal, and written where they are taken.

use std::collections::BTreeSet;
use std::io::{self, BufRead, IsTerminal, Write};
use std::path::Path;

use crate::cli::outcome::{Failure, Outcome, say};
use crate::cli::sink::Sink;
use crate::dictation::{self, Dictation, gather};
use crate::report::shown;
use crate::review::{Decision, LOG_NAME, Log};
use crate::shop::{self, Choice, Suggestion};

use super::args::{ListForm, RawSuggest};
use super::folder::{self, Loaded};
use super::{print_csv, print_json};

/// The log of an inspection lies at most this many folders above its dictations.
const DEPTH: usize = 3;

/// Runs `lexicon suggest`.
pub(super) fn run(args: &RawSuggest) -> Result<Outcome, Failure> {
    let (dictations, decisions, mut outcome) = read(&args.paths)?;
    // what could not be read is told; nothing is said of words that nobody saw
    if dictations.is_empty() && outcome != Outcome::Fine {
        return Ok(outcome);
    }
    let folder = args.folder.lexicon.as_deref();
    // a folder that is not there yet is made when something is written to it
    let loaded = Loaded::open(folder.filter(|f| f.is_dir() || args.accept.is_none()))?;
    let list = shop::suggest(&dictations, &decisions, &loaded.interpreter);
    let top = &list[..args.most.min(list.len())];
    let choices = match &args.accept {
        Some(which) => chosen(which, top)?,
        None if args.format == ListForm::Text && folder.is_some() && io::stdin().is_terminal() => ask(top)?,
        None => {
            print(top, args.format)?;
            return Ok(outcome);
        }
    };
    let (additions, wrong) = shop::additions(&choices, &list, loaded.interpreter.lexicon());
    for (row, what) in &wrong {
        say(&if *row > 0 { format!("row {row}: {what}") } else { what.clone() });
        outcome = Outcome::SomeUnread;
    }
    if let (Some(folder), false) = (folder, additions.is_empty()) {
        let files = folder::write(folder, &loaded.ours, &additions)?;
        let names: Vec<String> = files.iter().map(|f| shown(&f.display().to_string())).collect();
        let n = additions.len();
        say(&format!("{n} written to {}; now run `hoistnote lexicon check`", names.join(", ")));
    }
    Ok(outcome)
}

/// Dictations and the decisions on them: the log of an inspection lies in its folder.
fn read(paths: &[String]) -> Result<(Vec<Dictation>, Vec<Decision>, Outcome), Failure> {
    let (sources, problems) = gather(paths);
    problems.iter().for_each(|p| say(&p.to_string()));
    let mut outcome = if problems.is_empty() { Outcome::Fine } else { Outcome::SomeUnread };
    let (mut dictations, mut decisions) = (Vec::new(), Vec::new());
    let mut folders: BTreeSet<&Path> = BTreeSet::new();
    for source in &sources {
        folders.extend(Path::new(&source.path).ancestors().skip(1).take(DEPTH).filter(|f| f.join(LOG_NAME).is_file()));
        match source.load().and_then(|bytes| dictation::read(&source.path, &bytes)) {
            Ok(d) => dictations.push(d),
            Err(p) => {
                say(&p.to_string());
                outcome = Outcome::SomeUnread;
            }
        }
    }
    for folder in folders {
        let contents = Log::of(folder).read().map_err(Failure::Log)?;
        decisions.extend(contents.entries.iter().filter_map(|e| e.decision().cloned()));
    }
    Ok((dictations, decisions, outcome))
}

/// What `--accept` names.
fn chosen(which: &str, list: &[Suggestion]) -> Result<Vec<Choice>, Failure> {
    if Path::new(which).is_file() {
        let unreadable = |what: String| Failure::Input(format!("{}: {what}", shown(which)));
        let bytes = std::fs::read(which)
            .map_err(|e| Failure::unreadable(&shown(which), &e, "name a list made with --format csv"))?;
        let text = String::from_utf8(bytes).map_err(|_| unreadable("not UTF-8 text".into()))?;
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.trim_start_matches('\u{feff}').as_bytes());
        let rows: Result<Vec<Choice>, csv::Error> = reader.deserialize().collect();
        return rows.map_err(|e| {
            let line = e.position().map_or(0, csv::Position::line);
            unreadable(format!("line {line}: {e}; make the list with --format csv and change its cells only"))
        });
    }
    let mut taken = vec![which == "all"; list.len()];
    for piece in which.split(',').filter(|_| which != "all") {
        let (from, to) = piece.split_once('-').unwrap_or((piece, piece));
        let bad =
            || Failure::Usage(format!("--accept {which}: write numbers of the list (1,3-5), `all`, or a CSV file"));
        let (from, to): (usize, usize) =
            (from.trim().parse().map_err(|_| bad())?, to.trim().parse().map_err(|_| bad())?);
        if from == 0 || to < from || to > list.len() {
            return Err(Failure::Usage(format!("--accept {piece}: the list has the numbers 1 to {}", list.len())));
        }
        taken[from - 1..to].fill(true);
    }
    let take = |t: &bool| if *t { "y".to_string() } else { String::new() };
    Ok(list.iter().zip(&taken).map(|(s, t)| Choice { take: take(t), ..Choice::of(s) }).collect())
}

/// Asks for each at the terminal.
fn ask(list: &[Suggestion]) -> Result<Vec<Choice>, Failure> {
    let mut out = Vec::new();
    let mut lines = io::stdin().lock().lines();
    'list: for (n, s) in list.iter().enumerate() {
        let mut question = format!("{}take it? [y]es, [n]o, [q]uit: ", entry(n, s));
        // a slip of the finger is no answer
        let take = loop {
            let mut terminal = io::stderr().lock();
            let _ = write!(terminal, "{question}");
            let _ = terminal.flush();
            let Some(line) = lines.next() else { break 'list };
            let line = line.map_err(|e| Failure::Input(format!("the terminal can't be read: {e}")))?;
            match line.trim().to_lowercase().as_str() {
                "y" | "yes" => break "y",
                "n" | "no" | "" => break "n",
                "q" | "quit" => break 'list,
                _ => question = "write y, n or q: ".to_string(),
            }
        };
        out.push(Choice { take: take.to_string(), ..Choice::of(s) });
    }
    Ok(out)
}

fn print(list: &[Suggestion], format: ListForm) -> Result<(), Failure> {
    let mut sink = Sink::open(None)?;
    match format {
        ListForm::Json => print_json(&mut sink, &list)?,
        ListForm::Csv => print_csv(&mut sink, Choice::COLUMNS, list.iter().map(|s| Choice::of(s).cells()))?,
        ListForm::Text => {
            for (n, s) in list.iter().enumerate() {
                sink.plain(&entry(n, s))?;
            }
            if list.is_empty() {
                sink.plain("Nothing to propose: the lexicon has all words of these texts.\n")?;
            }
        }
    }
    Ok(())
}

/// A proposal for people.
fn entry(n: usize, s: &Suggestion) -> String {
    let place = match s.kind {
        _ if s.family == "spelling" => format!("of \"{}\": [spelling] {} = [\"{}\"]", s.id, s.id, s.words),
        _ => format!("[[{}]] id = \"{}\", {}", s.family, s.id, s.key),
    };
    let mut out = format!("{:4}. {}   {} ({}x)\n      {place}\n", n + 1, shown(&s.words), s.kind.words(), s.count);
    for line in &s.examples {
        out.push_str(&format!("      \"{}\"\n", shown(line)));
    }
    out
}
