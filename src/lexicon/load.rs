//! Owns reading lexicon files and laying them on top of each other.

use std::fmt;
use std::path::{Path, PathBuf};

use super::entries::{LanguageFile, Part, PartsFile};

/// A lexicon file that can't be used: which, where, what and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LexiconError {
    /// File as the user knows it.
    pub file: String,
    /// 1-based line, where known.
    pub line: Option<usize>,
    /// 1-based column, where known.
    pub column: Option<usize>,
    /// What is wrong and what to do.
    pub what: String,
}

impl fmt::Display for LexiconError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let (Some(l), Some(c)) = (self.line, self.column) {
            write!(f, ":{l}:{c}")?;
        }
        write!(f, ": {}", self.what)
    }
}

impl std::error::Error for LexiconError {}

/// All entries, read and layered, not yet compiled.
#[derive(Debug, Clone, Default)]
pub struct RawLexicon {
    pub(super) parts: Vec<Part>,
    pub(super) language: LanguageFile,
    /// Learned weights of the judge, as the file has them.
    pub(super) weights: String,
}

/// Every `.toml` file under a folder with its text.
///
/// # Errors
/// The folder or one of its files can't be read.
pub fn folder_files(folder: &Path) -> Result<Vec<(PathBuf, String)>, LexiconError> {
    let fail =
        |file: &Path, what: String| LexiconError { file: file.display().to_string(), line: None, column: None, what };
    let mut out = Vec::new();
    for entry in walkdir::WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.map_err(|e| fail(folder, format!("can't be read ({e}); check the --lexicon folder")))?;
        let path = entry.path();
        if !entry.file_type().is_file() || path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let text = std::fs::read_to_string(path)
            .map_err(|e| fail(path, format!("can't be read as UTF-8 text ({e}); save it as UTF-8")))?;
        out.push((path.to_path_buf(), text));
    }
    Ok(out)
}

impl RawLexicon {
    /// Lays one file on top of what was read before.
    ///
    /// # Errors
    /// The file does not parse.
    pub fn add(&mut self, file: &str, text: &str) -> Result<(), LexiconError> {
        let is_parts = text.lines().any(|l| l.trim_start().starts_with("system") || l.trim() == "[[part]]");
        if is_parts {
            let parsed: PartsFile = parse(file, text)?;
            for mut part in parsed.part {
                part.system.clone_from(&parsed.system);
                self.add_part(part).map_err(|(id, what)| at_id(file, text, &id, what))?;
            }
            return Ok(());
        }
        let f: LanguageFile = parse(file, text)?;
        let l = &mut self.language;
        l.condition.extend(f.condition);
        l.action.extend(f.action);
        l.urgency.extend(f.urgency);
        l.degree.extend(f.degree);
        l.sound.extend(f.sound);
        l.unchecked.extend(f.unchecked);
        l.inspect.extend(f.inspect);
        l.serviced.extend(f.serviced);
        l.place.extend(f.place);
        l.cue.extend(f.cue);
        l.unit.extend(f.unit);
        l.head.extend(f.head);
        l.usual.extend(f.usual);
        l.alike.extend(f.alike);
        l.piece.extend(f.piece);
        l.limit.extend(f.limit);
        l.kind.extend(f.kind);
        l.spelling.extend(f.spelling);
        l.singular.extend(f.singular);
        l.common.extend(f.common);
        l.misheard.extend(f.misheard);
        l.per_wheel.extend(f.per_wheel);
        l.not_per_wheel.extend(f.not_per_wheel);
        l.metric_words.extend(f.metric_words);
        l.running_gear.extend(f.running_gear);
        l.sided.extend(f.sided);
        l.trouble_code.extend(f.trouble_code);
        l.matter.extend(f.matter);
        l.plain.extend(f.plain);
        l.zone.extend(f.zone);
        l.outline.extend(f.outline);
        l.checklist.extend(f.checklist);
        Ok(())
    }

    /// A part whose id is known already adds to that part, renames it or retires it. Otherwise: the id and what is wrong.
    fn add_part(&mut self, part: Part) -> Result<(), (String, String)> {
        let Some(at) = self.parts.iter().position(|p| p.id == part.id) else {
            let id = &part.id;
            if part.retire || part.name.is_empty() {
                let near = self.parts.iter().max_by(|a, b| likeness(id, &a.id).total_cmp(&likeness(id, &b.id)));
                let meant = near.map_or(String::new(), |p| format!(" (\"{}\"?)", p.id));
                let what =
                    format!("no part has the id \"{id}\"; write the id of one{meant}, or give a new part a name");
                return Err((part.id, what));
            }
            self.parts.push(part);
            return Ok(());
        };
        if part.retire {
            self.parts.remove(at);
            return Ok(());
        }
        let old = &mut self.parts[at];
        if !part.name.is_empty() && part.name != old.name {
            old.also.insert(0, std::mem::replace(&mut old.name, part.name));
        }
        old.also.extend(part.also);
        old.short.extend(part.short);
        old.weak.extend(part.weak);
        old.not.extend(part.not);
        if !part.usual.is_empty() {
            old.usual = part.usual;
        }
        Ok(())
    }
}

fn likeness(a: &str, b: &str) -> f64 {
    strsim::jaro_winkler(a, b)
}

/// An error at the line where an id stands.
fn at_id(file: &str, text: &str, id: &str, what: String) -> LexiconError {
    let quoted = format!("\"{id}\"");
    let at = text.lines().enumerate().find_map(|(n, l)| {
        let column = l.trim_start().starts_with("id").then(|| l.find(&quoted)).flatten()?;
        Some((n + 1, l[..column].chars().count() + 1))
    });
    LexiconError { file: file.to_string(), line: at.map(|a| a.0), column: at.map(|a| a.1), what }
}

fn parse<T: serde::de::DeserializeOwned>(file: &str, text: &str) -> Result<T, LexiconError> {
    toml::from_str(text).map_err(|e| {
        let at = e.span().map(|s| {
            let before = &text[..s.start.min(text.len())];
            let line = before.matches('\n').count() + 1;
            let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
            (line, column)
        });
        LexiconError {
            file: file.to_string(),
            line: at.map(|a| a.0),
            column: at.map(|a| a.1),
            what: format!("{}; correct the entry or take it out", e.message()),
        }
    })
}
