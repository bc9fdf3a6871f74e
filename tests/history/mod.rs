//! Beyond one visit: comparison, wear, answers and follow-ups. All vehicles are invented.

mod commands;
mod compare;
mod fit;
mod follow_up;

use std::sync::OnceLock;

use hoistnote::dictation;
use hoistnote::findings::Document;
use hoistnote::interpretation::{Interpreter, Settings};
use hoistnote::lexicon::Lexicon;

/// What a test comes to.
type Checked = Result<(), Box<dyn std::error::Error>>;

fn interpreter() -> &'static Interpreter {
    static BUILT: OnceLock<Interpreter> = OnceLock::new();
    BUILT.get_or_init(|| Interpreter::new(Lexicon::builtin().unwrap_or_else(|e| panic!("{e}"))))
}

/// The findings of typed notes.
fn document(notes: &str) -> Document {
    let d = dictation::read("notes.txt", notes.as_bytes()).unwrap_or_else(|e| panic!("{e}"));
    interpreter().document(&d, Settings::default())
}
