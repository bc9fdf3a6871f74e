//! Owns `lexicon replay`.

use serde::Serialize;

use crate::cli::outcome::{Failure, Outcome, say};
use crate::cli::sink::Sink;
use crate::interpretation::Settings;
use crate::report::{count, shown};
use crate::review::{Inspection, Listing, Log};
use crate::shop::{Fate, Replay, Standing, replay};

use super::args::{Form, RawReplay};
use super::folder::Loaded;
use super::print_json;

/// One inspection.
#[derive(Serialize)]
struct Replayed {
    inspection: String,
    #[serde(flatten)]
    replay: Replay,
}

/// Runs `lexicon replay`.
pub(super) fn run(args: &RawReplay) -> Result<Outcome, Failure> {
    let name = shown(&args.inspections.display().to_string());
    let unreadable = |e: std::io::Error| Failure::unreadable(&name, &e, "name a folder of inspections");
    let mut listing = Listing::of(&args.inspections).map_err(unreadable)?;
    listing.inspections.retain(|i| !i.dictations.is_empty());
    if listing.inspections.is_empty() {
        listing.inspections.push(Inspection::open(&args.inspections).map_err(unreadable)?);
    }
    let before = Loaded::open(args.before.as_deref())?.interpreter;
    let after = Loaded::open(Some(&args.lexicon))?.interpreter;
    let settings = Settings::default();
    let mut outcome = Outcome::Fine;
    let mut all = Vec::new();
    for inspection in &listing.inspections {
        let contents = Log::of(&inspection.folder).read().map_err(Failure::Log)?;
        let (old, new) = (inspection.extract(&before, settings), inspection.extract(&after, settings));
        if !old.problems.is_empty() {
            old.problems.iter().for_each(|p| say(&format!("{}: {p}", shown(&inspection.name))));
            outcome = Outcome::SomeUnread;
        }
        let decided = old.final_list(&contents.entries, &before, settings);
        all.push(Replayed { inspection: inspection.name.clone(), replay: replay(&old, &new, &decided) });
    }
    let mut sink = Sink::open(None)?;
    match args.format {
        Form::Json => print_json(&mut sink, &all)?,
        Form::Text => sink.plain(&text(&all))?,
    }
    Ok(if all.iter().any(|r| r.replay.loses()) { Outcome::Problems } else { outcome })
}

fn text(all: &[Replayed]) -> String {
    let mut out = String::new();
    for r in all.iter().filter(|r| !r.replay.differences.is_empty()) {
        out.push_str(&format!("{}\n", shown(&r.inspection)));
        for d in &r.replay.differences {
            let said = |s: &Option<String>| s.clone().unwrap_or_else(|| "not found".into());
            out.push_str(&format!("  {}: {}\n", d.told(), shown(&d.part)));
            out.push_str(&format!("    before: {}\n    after:  {}\n", said(&d.before), said(&d.after)));
            out.push_str(&format!("    words:  \"{}\"\n", shown(&d.words)));
        }
    }
    let sum = |f: &dyn Fn(&Replay) -> usize| all.iter().map(|r| f(&r.replay)).sum::<usize>();
    let of = |fate: Fate, confirmed: bool| {
        sum(&|r| {
            let is = |d: &&crate::shop::Difference| d.fate == fate && (d.standing == Standing::Confirmed) == confirmed;
            r.differences.iter().filter(is).count()
        })
    };
    out.push_str(&format!(
        "{}, {}: {} read as confirmed before, {} after\n",
        count(all.len(), "inspection", "inspections"),
        count(sum(&|r| r.confirmed), "confirmed finding", "confirmed findings"),
        sum(&|r| r.found_before),
        sum(&|r| r.found_after)
    ));
    out.push_str(&format!(
        "confirmed: {} lost, {} changed, {} gained; others: {} lost, {} changed, {} gained\n",
        of(Fate::Lost, true),
        of(Fate::Changed, true),
        of(Fate::Gained, true),
        of(Fate::Lost, false),
        of(Fate::Changed, false),
        of(Fate::Gained, false)
    ));
    out
}
