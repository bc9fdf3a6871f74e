//! Owns the service writer's desk: a local web server that shows inspections and takes decisions on them.
//!
//! Everything it serves is in the binary or in the folder it was given. `guard` decides who may ask, `state` holds what
//! was read, `routes` answers, `page` lays out; `capture` takes recordings, notes and photos, `writing_down` has recordings
//! recognised; `estimate` prices and takes the customer's answers.

mod assets;
mod capture;
mod change;
mod estimate;
mod guard;
mod media;
mod page;
mod pairing;
mod routes;
mod state;
mod teach;
mod tls;
mod watch;
mod words;
mod writing_down;

use std::io;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tokio::net::TcpListener;

use crate::interpretation::{Interpreter, Settings};
use crate::pricing::RateBook;
use guard::Guard;
use state::Desk;
pub use writing_down::WriteDown;

/// Answers that are under way when the desk is closed have so long.
const LAST_ANSWERS: std::time::Duration = std::time::Duration::from_secs(2);

/// What a desk is opened with.
pub struct Opening<'o> {
    /// Folder of inspections.
    pub folder: &'o Path,
    /// Where to listen; port 0 takes any that is free.
    pub listen: SocketAddr,
    /// Folder with certificate and key; without one nothing is encrypted.
    pub tls: Option<PathBuf>,
    /// Name that this machine has in the shop's network; the desk answers to it.
    pub name: Option<String>,
    /// Reads dictations.
    pub interpreter: Interpreter,
    /// How they are read.
    pub settings: Settings,
    /// The shop's own lexicon, where additions go.
    pub lexicon: Option<PathBuf>,
    /// The shop's rate book; without one there are no estimates.
    pub book: Option<RateBook>,
    /// Has recordings made at the desk written down; without one they wait for `hear`.
    pub write: Option<WriteDown>,
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
        let at = listener.local_addr()?;
        let reached = tls::reachable(at);
        let secured = match &opening.tls {
            Some(place) => {
                let names = [opening.name.clone(), Some(reached.to_string()), Some("localhost".into())];
                Some(tls::configuration(place, names.into_iter().flatten().collect())?)
            }
            None => None,
        };
        let guard = Guard::new(at, reached, opening.name, secured.is_some())?;
        let address = guard.address();
        let desk =
            Arc::new(Desk::new(folder, opening.interpreter, opening.settings, opening.lexicon, opening.book, guard));
        watch::start(Arc::clone(&desk));
        if let Some(write) = opening.write {
            writing_down::start(Arc::clone(&desk), write);
        }
        opened(&address);
        let router = routes::router(desk);
        let Some(secured) = secured else {
            return axum::serve(listener, router).with_graceful_shutdown(interrupted()).await;
        };
        let handle = axum_server::Handle::new();
        let stop = handle.clone();
        tokio::spawn(async move {
            interrupted().await;
            stop.graceful_shutdown(Some(LAST_ANSWERS));
        });
        let server = axum_server::from_tcp_rustls(listener.into_std()?, secured)?;
        server.handle(handle).serve(router.into_make_service()).await
    })
}

async fn interrupted() {
    // where no signal can be waited for, the process is ended from outside
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}
