//! The program as its users run it.

mod faults;
mod find;
mod guide;
mod handover;
mod lexicon;
mod others;
mod output;
mod printing;
mod readme;
mod records;
mod results;
mod shop_lexicon;

use assert_cmd::Command;

use crate::program::{self, file};

/// What a test comes to.
type Checked = Result<(), Box<dyn std::error::Error>>;

/// An invented dictation in typed notes.
const NOTES: &str = "unit 14, high-roof van\nleft front brake pads are at 2 mm, replace them\nbattery is fine\n";

/// The program, free of what the surroundings say of colours.
fn hoistnote() -> Command {
    Command::from_std(program::hoistnote())
}

/// Standard output, standard error and exit code.
fn run(command: &mut Command) -> Result<(String, String, Option<i32>), Box<dyn std::error::Error>> {
    let output = command.output()?;
    Ok((String::from_utf8(output.stdout)?, String::from_utf8(output.stderr)?, output.status.code()))
}
