//! Review: decisions, the log of them, and the final list.

mod again;
mod commands;
mod kill;
mod log;
mod property;
mod replay;
mod together;

use std::sync::OnceLock;

use hoistnote::dictation;
use hoistnote::findings::Finding;
use hoistnote::interpretation::{Interpreter, Settings};
use hoistnote::lexicon::Lexicon;
use hoistnote::review::{Change, Decision, Edit, Entry, Extraction, FinalList, Line, Refusal, decide};

/// What a test comes to.
type Checked = Result<(), Box<dyn std::error::Error>>;

const DEMO: &str = include_str!("../../samples/demo-walkaround.vtt");

fn interpreter() -> &'static Interpreter {
    static BUILT: OnceLock<Interpreter> = OnceLock::new();
    BUILT.get_or_init(|| Interpreter::new(Lexicon::builtin().unwrap_or_else(|e| panic!("{e}"))))
}

/// The list of a dictation as the program makes it.
fn extraction(text: &str) -> Extraction {
    let d = dictation::read("walk.vtt", text.as_bytes()).unwrap_or_else(|e| panic!("{e}"));
    Extraction::join("visit", vec![interpreter().document(&d, Settings::default())], Vec::new())
}

/// A review under way: an extraction and the lines of its log.
struct Review {
    extraction: Extraction,
    entries: Vec<Entry>,
}

impl Review {
    fn of(text: &str) -> Review {
        Review { extraction: extraction(text), entries: Vec::new() }
    }

    fn list(&self) -> FinalList {
        self.extraction.final_list(&self.entries, interpreter(), Settings::default())
    }

    fn edit(&mut self, edit: &Edit) -> Result<FinalList, Refusal> {
        let decision = decide(edit, &self.list(), interpreter().lexicon())?;
        self.entries.push(line(decision));
        Ok(self.list())
    }

    /// Id of the first finding of a part, by the id of the part.
    fn id(&self, part: &str) -> String {
        let list = self.list();
        let found = list.document.findings.iter().find(|f| f.component.id == part);
        found.map(|f| f.id.clone()).unwrap_or_else(|| panic!("no {part} in the list"))
    }
}

/// As it comes back from the file.
fn line(decision: Decision) -> Entry {
    let line = Line { when: "2026-03-02T10:15:00Z".into(), decision };
    Entry::parse(&serde_json::to_string(&line).unwrap_or_else(|e| panic!("{e}")))
}

fn change() -> Change<String> {
    Change::default()
}

fn finding<'l>(list: &'l FinalList, id: &str) -> &'l Finding {
    list.find(id).unwrap_or_else(|| panic!("{id} is not in the list")).0
}
