//! Owns the way in from sound, as far as it is pure: which recogniser to run and with what, what to make of that which came from it,
//! and how the list grows while somebody talks. Child processes, files and terminals are the command line's.

mod argument;
mod came;
mod captions;
mod configuration;
mod growth;
mod running;
mod screen;

pub use argument::{Filled, Filling, Placeholder, Template};
pub use came::{Came, Half, came, heard_until, is_recording};
pub use captions::Captions;
pub use configuration::{Configuration, Hear, Live, VoiceFault, VoiceProblem};
pub use growth::{Kind, News, growth, line};
pub use running::{Heard, heard};
pub use screen::{Moment, screen};
