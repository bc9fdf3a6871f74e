//! Turns what a vehicle technician says or jots while walking round a vehicle into a findings list.
//!
//! Data flows one way: bytes → [`dictation`] → text → matching → interpretation → findings → report,
//! and from there through the decisions of people ([`review`]) to a final list.
//!
//! ```
//! use hoistnote::dictation;
//! use hoistnote::interpretation::{Interpreter, Settings};
//! use hoistnote::lexicon::{Lexicon, Verdict};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! // built once, shared by any number of threads
//! let interpreter = Interpreter::new(Lexicon::builtin()?);
//! let dictation = dictation::read("unit-14.txt", b"left front tire is bald, replace it\nhorn works")?;
//! let document = interpreter.document(&dictation, Settings::default());
//!
//! let tire = &document.findings[0];
//! assert_eq!((tire.component.id.as_str(), tire.verdict), ("tire", Verdict::Defect));
//! // every finding quotes the very words it was made of
//! let quote = &tire.evidence[0];
//! assert_eq!(document.utterances[quote.utterance - 1].text[quote.start..quote.end], quote.text);
//! # Ok(())
//! # }
//! ```

pub mod checklist;
pub mod cli;
pub mod desk;
pub mod diagnostic;
pub mod dictation;
pub mod findings;
pub mod history;
pub mod interpretation;
pub mod lexicon;
pub mod limits;
pub mod matching;
pub mod pricing;
pub mod report;
pub mod review;
pub mod shop;
pub mod text;
pub mod voice;
