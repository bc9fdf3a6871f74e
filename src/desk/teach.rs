//! Owns teaching the shop's own lexicon a word for a part: what would be written, what it would change, and writing it. Nothing is
//! written that was not shown, and nothing that does not compile.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use serde::Serialize;

use crate::findings::Role;
use crate::interpretation::Interpreter;
use crate::lexicon::{Lexicon, Part, with_folder};
use crate::report;
use crate::review::{Decision, FinalList, Log};
use crate::shop::{self, Difference, Replay};

use super::change::Teachable;
use super::state::Desk;

/// Longer words are no name of a part.
const LONGEST: usize = 80;
/// Looking what would change stops after this time and says so.
const PATIENCE: Duration = Duration::from_secs(3);
/// So many changes are named.
const NAMED: usize = 8;

/// An addition to the shop's lexicon.
pub struct Addition {
    file: PathBuf,
    name: String,
    text: String,
    system: String,
}

/// What is shown of an addition.
#[derive(Debug, Serialize)]
pub struct Preview {
    /// File in the shop's lexicon folder.
    pub file: String,
    /// What would be added to it.
    pub text: String,
    /// What it would change in the inspections of the desk.
    pub effect: Vec<String>,
}

impl Addition {
    /// The addition that makes `words` mean a part.
    pub fn new(folder: &Path, part: &Part, words: &str) -> Result<Addition, String> {
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        if words.is_empty() || words.len() > LONGEST {
            return Err(format!("a name for a part has 1 to {LONGEST} bytes; mark fewer words"));
        }
        let system = &part.system;
        let name = format!("desk-{}.toml", system.replace(|c: char| !c.is_ascii_alphanumeric(), "-"));
        let quoted = |t: &str| toml::Value::String(t.to_string()).to_string();
        let text = format!("\n[[part]]\nid = {}\nalso = [{}]\n", quoted(&part.id), quoted(&words));
        Ok(Addition { file: folder.join(&name), name, text, system: quoted(system) })
    }

    fn head(&self) -> String {
        format!("# Words taught at the desk.\nsystem = {}\n", self.system)
    }

    /// The lexicon with it.
    fn interpreter(&self, folder: &Path) -> Result<Interpreter, String> {
        let mut raw = with_folder(folder).map_err(|e| e.to_string())?;
        raw.add(&self.name, &format!("{}{}", self.head(), self.text)).map_err(|e| e.to_string())?;
        Lexicon::compile(raw).map(Interpreter::new).map_err(|e| e.to_string())
    }

    /// What would be written, and what would change.
    pub fn preview(&self, desk: &Desk, folder: &Path) -> Result<Preview, String> {
        let with = self.interpreter(folder)?;
        let text = if self.file.exists() { self.text.clone() } else { self.head() + &self.text };
        Ok(Preview { file: self.name.clone(), text, effect: effect(desk, &with) })
    }

    /// Writes it, whole or not at all, and reads with it from now on.
    pub fn write(&self, desk: &Desk, folder: &Path) -> Result<(), String> {
        let with = self.interpreter(folder)?;
        let fail = |e: std::io::Error| format!("{}: can't be written: {e}", self.file.display());
        if fs::symlink_metadata(&self.file).is_ok_and(|m| !m.is_file()) {
            return Err(fail(std::io::Error::other("no plain file")));
        }
        let old = if self.file.exists() { fs::read_to_string(&self.file).map_err(fail)? } else { self.head() };
        let mut temp = tempfile::Builder::new().prefix(".hoistnote-").tempfile_in(folder).map_err(fail)?;
        temp.write_all(format!("{old}{}", self.text).as_bytes()).map_err(fail)?;
        temp.as_file().sync_all().map_err(fail)?;
        temp.persist(&self.file).map_err(|e| fail(e.error))?;
        desk.learn(with);
        Ok(())
    }
}

/// A corrected part whose words the lexicon does not know for it.
pub fn teachable(decision: &Decision, list: &FinalList, lexicon: &Lexicon) -> Option<Teachable> {
    let (words, part) = match decision {
        Decision::Correct { finding, after, .. } => {
            let (f, _) = list.find(&finding.id)?;
            let named = f.evidence.iter().find(|e| e.role == Role::Component)?;
            (named.text.clone(), after.part.as_ref()?)
        }
        Decision::Add { words, after, .. } => (words.first()?.words.clone(), after.part.as_ref()?),
        _ => return None,
    };
    let known = lexicon.part_by_id(&part.id)?;
    let is_known = lexicon.strong_part(&lexicon.fold(&words)) == Some(known);
    (!is_known && !words.is_empty()).then(|| Teachable { words, part: part.id.clone() })
}

/// What the inspections of the desk read otherwise with this lexicon, held against what was decided on them: the same comparison as
/// that of `lexicon replay`.
fn effect(desk: &Desk, with: &Interpreter) -> Vec<String> {
    let Ok(listing) = desk.listing() else { return Vec::new() };
    let now = desk.interpreter();
    let start = Instant::now();
    let (mut looked, mut all) = (0, Replay::default());
    let mut changed = Vec::new();
    for inspection in &listing.inspections {
        if start.elapsed() > PATIENCE {
            break;
        }
        looked += 1;
        let before = desk.extraction(inspection);
        let after = inspection.extract(with, desk.settings);
        // decisions that can't be read are told at the inspection itself
        let entries = Log::of(&inspection.folder).read().map(|c| c.entries).unwrap_or_default();
        let found = shop::replay(&before, &after, &before.final_list(&entries, &now, desk.settings));
        let name = &inspection.name;
        changed.extend(found.differences.iter().map(|d| (d.standing, d.fate, format!("{name}: {}", worded(d)))));
        all.confirmed += found.confirmed;
        all.found_before += found.found_before;
        all.found_after += found.found_after;
        all.differences.extend(found.differences);
    }
    let count = listing.inspections.len();
    let inspections = report::count(count, "inspection", "inspections");
    let seen = if looked < count { format!("the first {looked} of {inspections}") } else { inspections };
    let mut out = Vec::new();
    if all.loses() {
        out.push("A finding that was confirmed would be lost.".into());
    }
    out.push(match changed.len() {
        0 => format!("Looked through {seen} here: nothing would change."),
        n => format!(
            "Looked through {seen} here: {} would change. Of {}, {} are read as confirmed now, and {} would be.",
            report::count(n, "finding", "findings"),
            report::count(all.confirmed, "confirmed finding", "confirmed findings"),
            all.found_before,
            all.found_after
        ),
    });
    changed.sort();
    let more = changed.len().saturating_sub(NAMED);
    out.extend(changed.into_iter().take(NAMED).map(|c| c.2));
    if more > 0 {
        out.push(format!("and {more} more; `hoistnote lexicon replay` names them all once it is written"));
    }
    out
}

fn worded(d: &Difference) -> String {
    let said = |s: &Option<String>| s.clone().unwrap_or_else(|| "not found".into());
    format!("{}: {} (before: {}; after: {})", d.told(), d.part, said(&d.before), said(&d.after))
}
