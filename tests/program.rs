//! Owns how tests start the program and lay files for it.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The program, free of what the surroundings say of colours and columns.
pub fn hoistnote() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hoistnote"));
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
        command.env_remove(name);
    }
    command
}

/// Writes a file into a folder.
pub fn file(folder: &Path, name: &str, bytes: impl AsRef<[u8]>) -> std::io::Result<PathBuf> {
    let path = folder.join(name);
    std::fs::write(&path, bytes)?;
    Ok(path)
}
