//! Owns the service writer's desk: a local web server that shows inspections and takes decisions on them.
//!
//! Everything it serves is in the binary or in the folder it was given. `guard` decides who may ask, `state` holds what
//! was read, `routes` answers, `page` lays out; `estimate` prices and takes the customer's answers.

mod assets;
mod change;
mod estimate;
mod guard;
mod media;
mod page;
mod routes;
mod state;
mod teach;
mod watch;
mod words;

use std::io;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tokio::net::TcpListener;

use crate::interpretation::{Interpreter, Settings};
use crate::pricing::RateBook;
use guard::Guard;
use state::Desk;

/// What a desk is opened with.
pub struct Opening<'o> {
    /// Folder of inspections.
    pub folder: &'o Path,
    /// Where to listen; port 0 takes any that is free.
    pub listen: SocketAddr,
    /// Reads dictations.
    pub interpreter: Interpreter,
    /// How they are read.
    pub settings: Settings,
    /// The shop's own lexicon, where additions go.
    pub lexicon: Option<PathBuf>,
    /// The shop's rate book; without one there are no estimates.
    pub book: Option<RateBook>,
}

/// Serves the desk until it is interrupted. `opened` gets the address with its secret once requests are taken.
///
/// # Errors
/// The folder can't be read, the address can't be listened on, or there is no randomness.
pub fn serve(opening: Opening<'_>, opened: impl FnOnce(&str)) -> io::Result<()> {
    let folder = opening.folder.canonicalize()?;
    std::fs::read_dir(&folder)?;
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    runtime.block_on(async {
        let listener = TcpListener::bind(opening.listen).await?;
        let guard = Guard::new(listener.local_addr()?)?;
        let address = guard.address();
        let desk =
            Arc::new(Desk::new(folder, opening.interpreter, opening.settings, opening.lexicon, opening.book, guard));
        watch::start(Arc::clone(&desk));
        opened(&address);
        axum::serve(listener, routes::router(desk)).with_graceful_shutdown(interrupted()).await
    })
}

async fn interrupted() {
    // where no signal can be waited for, the process is ended from outside
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}
