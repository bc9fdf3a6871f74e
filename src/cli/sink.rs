//! Owns where output goes: standard output as it comes, or a file that appears whole or not at all.

use std::fs;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;
use walkdir::WalkDir;

use super::outcome::{COLUMNS, Failure, terminal_columns};

/// Names of files that are being written.
const PREFIX: &str = ".hoistnote-";
const SUFFIX: &str = ".part";

/// A place that takes output.
pub(super) enum Sink {
    Stdout,
    File { temp: NamedTempFile, target: PathBuf },
}

impl Sink {
    /// Standard output, or a file; a file that can't be made there fails here, before any work.
    pub(super) fn open(out: Option<&Path>) -> Result<Sink, Failure> {
        let Some(target) = out else {
            return Ok(Sink::Stdout);
        };
        let folder = target.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        if !folder.is_dir() {
            return Err(Failure::Usage(format!(
                "--out {}: its folder does not exist; create it or name another file",
                shown(target)
            )));
        }
        let temp = temporary(target, folder).map_err(|e| Failure::unwritten(&shown(target), e))?;
        Ok(Sink::File { temp, target: target.to_owned() })
    }

    /// Columns that tables have here.
    pub(super) fn width(&self) -> usize {
        match self {
            Sink::Stdout if io::stdout().is_terminal() => terminal_columns(),
            _ => COLUMNS,
        }
    }

    /// Text for programs: every byte as it is.
    pub(super) fn plain(&mut self, text: &str) -> Result<(), Failure> {
        match self {
            Sink::Stdout => to_standard(io::stdout().lock(), text),
            Sink::File { temp, target } => {
                temp.write_all(text.as_bytes()).map_err(|e| Failure::unwritten(&shown(target), e))
            }
        }
    }

    /// Text for people: colours only where they are wanted.
    pub(super) fn coloured(&mut self, text: &str) -> Result<(), Failure> {
        match self {
            Sink::Stdout => to_standard(anstream::stdout().lock(), text),
            Sink::File { .. } => self.plain(&anstream::adapter::strip_str(text).to_string()),
        }
    }

    /// All is written: the file takes its name.
    pub(super) fn finish(self) -> Result<(), Failure> {
        let Sink::File { temp, target } = self else {
            return Ok(());
        };
        temp.as_file().sync_all().map_err(|e| Failure::unwritten(&shown(&target), e))?;
        temp.persist(&target).map(|_| ()).map_err(|e| Failure::unwritten(&shown(&target), e.error))
    }
}

fn to_standard(mut out: impl Write, text: &str) -> Result<(), Failure> {
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(|e| Failure::unwritten("standard output", e))
}

/// Takes away what a run that was killed left half written in a folder that no other run is writing to.
pub(super) fn sweep(folder: &Path) {
    let left = |name: &str| name.starts_with(PREFIX) && name.ends_with(SUFFIX);
    for entry in WalkDir::new(folder).into_iter().flatten() {
        if entry.file_type().is_file() && entry.file_name().to_str().is_some_and(left) {
            // what can't be taken away does no harm
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// A hidden file beside the target, with the rights that the target has or would get.
fn temporary(target: &Path, folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX).suffix(SUFFIX);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let temp = builder.tempfile_in(folder)?;
    if let Ok(old) = fs::metadata(target) {
        temp.as_file().set_permissions(old.permissions())?;
    }
    Ok(temp)
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}
