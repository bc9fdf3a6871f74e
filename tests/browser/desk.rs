//! A desk that runs; ended when dropped.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// A desk over a folder.
pub struct Desk {
    process: Child,
    address: String,
}

impl Desk {
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
        Ok(Desk { process, address: line.trim().to_string() })
    }

    /// The address as it was printed.
    pub fn printed(&self) -> &str {
        &self.address
    }

    /// The address of a page.
    pub fn at(&self, path: &str) -> String {
        format!("{}{path}", self.address.split("/?").next().unwrap_or_default())
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}
