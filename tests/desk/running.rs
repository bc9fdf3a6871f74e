//! A desk that runs as a process of its own; ended when dropped.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Mutex, PoisonError};

/// A desk over a folder.
pub struct Desk {
    process: Mutex<Child>,
    address: String,
}

impl Desk {
    /// Opens a desk with more arguments.
    pub fn open(folder: &Path, more: &[&str]) -> Result<Desk, Box<dyn std::error::Error>> {
        let mut process = Command::new(env!("CARGO_BIN_EXE_hoistnote"))
            .arg("desk")
            .arg(folder)
            .args(more)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()?;
        let mut line = String::new();
        BufReader::new(process.stdout.take().ok_or("no output")?).read_line(&mut line)?;
        Ok(Desk { process: Mutex::new(process), address: line.trim().to_string() })
    }

    /// The address as it was printed, with its key.
    pub fn printed(&self) -> &str {
        &self.address
    }

    /// The address of a page.
    pub fn at(&self, path: &str) -> String {
        format!("{}{path}", self.address.split("/?").next().unwrap_or_default())
    }

    /// Ends it at once, as `kill -9` does.
    pub fn kill(&self) -> std::io::Result<()> {
        let mut process = self.process.lock().unwrap_or_else(PoisonError::into_inner);
        process.kill()?;
        process.wait().map(|_| ())
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.kill();
    }
}
