//! Owns running a recogniser: a child process without a shell, with all that it writes taken up as it comes, ended when it takes too
//! long or the user wants no more.

use std::io;
use std::path::Path;
use std::process::{ExitStatus, Stdio};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncReadExt};
use tokio::process::{Child, Command};
use tokio::time::{Instant, sleep_until};

use crate::voice::Filled;

use super::outcome::Failure;

/// How often the one who waits is told how it goes.
const TICK: Duration = Duration::from_millis(250);
/// So long a child may take to end once it is asked to, and its output to arrive once it has.
const GRACE: Duration = Duration::from_secs(2);
/// More than this is no transcript.
const MOST: usize = 64 << 20;
/// So much of what it tells on standard error is kept.
const TALK: usize = 4 << 10;

/// What a child came to.
pub(super) struct Ended {
    /// All that it wrote on standard output.
    pub stdout: Vec<u8>,
    /// The end of what it wrote on standard error.
    pub talk: String,
    /// Why it is no longer running.
    pub how: How,
}

/// Why a child is no longer running.
pub(super) enum How {
    Exited(ExitStatus),
    TooLong,
    TooMuch,
    Interrupted,
}

/// Runs a child to its end, in a folder. `tick` gets what has come so far, every now and then.
///
/// # Errors
/// It can't be started.
pub(super) fn run(
    filled: &Filled,
    folder: &Path,
    patience: Duration,
    mut tick: impl FnMut(&[u8]),
) -> io::Result<Ended> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    runtime.block_on(async {
        let mut child = command(filled, folder).stdin(Stdio::null()).spawn()?;
        let (mut out, mut err) = (child.stdout.take(), child.stderr.take());
        let (mut stdout, mut talk) = (Vec::new(), Vec::new());
        let (mut out_piece, mut err_piece) = (vec![0; 16 << 10], vec![0; 1 << 10]);
        let mut ticks = tokio::time::interval(TICK);
        let mut end = Instant::now() + patience;
        let mut status: Option<ExitStatus> = None;
        let how = loop {
            if let Some(status) = status
                && out.is_none()
                && err.is_none()
            {
                break How::Exited(status);
            }
            tokio::select! {
                n = read(&mut out, &mut out_piece) => take(n, &mut out, &out_piece, &mut stdout),
                n = read(&mut err, &mut err_piece) => {
                    take(n, &mut err, &err_piece, &mut talk);
                    talk.drain(..talk.len().saturating_sub(TALK));
                }
                ended = child.wait(), if status.is_none() => {
                    status = Some(ended?);
                    // somebody it started may hold its output open for ever
                    end = end.min(Instant::now() + GRACE);
                }
                _ = ticks.tick() => tick(&stdout),
                _ = tokio::signal::ctrl_c() => break How::Interrupted,
                () = sleep_until(end) => match status {
                    Some(status) => break How::Exited(status),
                    None => break How::TooLong,
                }
            }
            if stdout.len() > MOST {
                break How::TooMuch;
            }
        };
        end_all(&mut child).await;
        Ok(Ended { stdout, talk: String::from_utf8_lossy(&talk).into_owned(), how })
    })
}

/// The child as it is to be started: in a group of its own, so that all it starts can be ended with it.
pub(super) fn command(filled: &Filled, folder: &Path) -> Command {
    // a program named with a path counts from the folder; one without is looked for as the system does
    let path = Path::new(&filled.program);
    let program =
        if path.components().count() > 1 { folder.join(path).into_os_string() } else { filled.program.clone() };
    let mut command = Command::new(program);
    command
        .args(&filled.arguments)
        .current_dir(folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .kill_on_drop(true);
    #[cfg(unix)]
    command.process_group(0);
    command
}

/// A program that can't be started.
pub(super) fn not_started(program: &str, error: &io::Error) -> Failure {
    Failure::Input(match error.kind() {
        io::ErrorKind::NotFound => {
            format!("no program {program} on this machine; install it, or name it with its whole path")
        }
        _ => format!("{program} can't be started: {error}; check its rights"),
    })
}

/// Ends a child and all that it started: asked first, then not.
pub(super) async fn end_all(child: &mut Child) {
    #[cfg(unix)]
    if let Some(group) = child.id().and_then(|id| rustix::process::Pid::from_raw(id.cast_signed())) {
        // where there is nobody left to end, that is what was wanted
        let _ = rustix::process::kill_process_group(group, rustix::process::Signal::TERM);
        if tokio::time::timeout(GRACE, child.wait()).await.is_err() {
            let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
        }
    }
    let _ = child.start_kill();
    let _ = tokio::time::timeout(GRACE, child.wait()).await;
}

async fn read(from: &mut Option<impl AsyncRead + Unpin>, piece: &mut [u8]) -> io::Result<usize> {
    match from {
        Some(from) => from.read(piece).await,
        None => std::future::pending().await,
    }
}

/// What cannot be read any more has ended.
fn take<R>(n: io::Result<usize>, from: &mut Option<R>, piece: &[u8], to: &mut Vec<u8>) {
    match n {
        Ok(n) if n > 0 => to.extend_from_slice(&piece[..n]),
        Ok(_) | Err(_) => *from = None,
    }
}
