//! Owns finding out which recogniser to run: the configuration file, and the hint made of the lexicon.

use std::path::{Path, PathBuf};

use crate::diagnostic::SourceFile;
use crate::report;
use crate::voice::Configuration;

use super::outcome::Failure;

/// Read where none is named, from the folder that the program is run in. Never from beside a recording: a folder that came from
/// elsewhere must not say what is run here.
const USUAL: &str = "voice.toml";

/// A configuration and where it is from.
pub(super) struct Recognisers {
    /// As it was named.
    pub path: String,
    /// The folder that its paths count from.
    pub folder: PathBuf,
    /// What it says.
    pub configuration: Configuration,
}

impl Recognisers {
    /// Reads the configuration.
    pub(super) fn read(named: Option<&Path>) -> Result<Recognisers, Failure> {
        let path = named.unwrap_or(Path::new(USUAL));
        let shown = report::shown(&path.display().to_string());
        let help = match named {
            Some(_) => "check the name after --config",
            None => "name the file that says which recogniser to run with --config; samples/recognisers has some",
        };
        let text = std::fs::read_to_string(path).map_err(|e| Failure::unreadable(&shown, &e, help))?;
        let file = SourceFile::new(path.display().to_string(), text.trim_start_matches('\u{feff}'));
        let configuration = Configuration::read(&file).map_err(Failure::Recognisers)?;
        let path_itself = path.canonicalize().map_err(|e| Failure::unreadable(&shown, &e, help))?;
        let folder = path_itself.parent().unwrap_or(Path::new("/")).to_path_buf();
        Ok(Recognisers { path: shown, folder, configuration })
    }

    /// What is missing in it.
    pub(super) fn lacks(&self, section: &str) -> Failure {
        let path = &self.path;
        Failure::Input(format!(
            "{path}: has no [{section}]; write under it which recogniser to run, as run = [\"program\", \"argument\"]"
        ))
    }
}
