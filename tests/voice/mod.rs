//! Voice: recognisers run on recordings, and words that come while somebody talks.

mod captions;
mod configuration;
mod hear;
mod live;
mod real;
mod screen;

use std::path::Path;
use std::process::Command;

use crate::program::{file, hoistnote};

/// What a test comes to.
type Checked = Result<(), Box<dyn std::error::Error>>;

/// Standard output, standard error and exit code.
fn run(command: &mut Command) -> Result<(String, String, Option<i32>), Box<dyn std::error::Error>> {
    let output = command.output()?;
    Ok((String::from_utf8(output.stdout)?, String::from_utf8(output.stderr)?, output.status.code()))
}

/// Names of the files of a folder, in order.
fn names(folder: &Path) -> std::io::Result<Vec<String>> {
    let mut out: Vec<String> = std::fs::read_dir(folder)?
        .map(|e| e.map(|e| e.file_name().to_string_lossy().into_owned()))
        .collect::<Result<_, _>>()?;
    out.sort();
    Ok(out)
}
