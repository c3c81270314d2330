//! Listens, and ends when it is told.

use super::bench::Bench;
use super::guard::Guard;
use super::pack;
use super::server::router;
use std::io;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::runtime::Builder;

/// How often it is looked whether a packet is written, and for how long at most.
const GRACE: Duration = Duration::from_millis(20);
const LONGEST_GRACE: Duration = Duration::from_secs(20);

/// How it is served.
pub struct Served<'a> {
    /// What the pages share.
    pub bench: Arc<Bench>,
    /// The port; 0 for a free one.
    pub port: u16,
    /// Is told the address as soon as the page can be opened.
    pub ready: &'a dyn Fn(&str),
}

/// Serves the page until Ctrl-C.
///
/// # Errors
/// When the port is taken, or there is no randomness to be had.
pub fn serve(served: &Served<'_>) -> io::Result<()> {
    let runtime = Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    let ended = runtime.block_on(run(served));
    served.bench.stop();
    // What is still being worked out ends with the program.
    runtime.shutdown_background();
    ended
}

async fn run(served: &Served<'_>) -> io::Result<()> {
    let listener = TcpListener::bind(("127.0.0.1", served.port)).await?;
    let guard = Guard::new(token()?, listener.local_addr()?.port());
    (served.ready)(&guard.address());
    let server = axum::serve(listener, router(served.bench.clone(), guard));
    tokio::select! {
        ended = server.into_future() => ended,
        told = told_to_end() => {
            served.bench.stop();
            // A packet that is being written is written to its end.
            let finished = async {
                while pack::writes(&served.bench) {
                    tokio::time::sleep(GRACE).await;
                }
            };
            let _ = tokio::time::timeout(LONGEST_GRACE, finished).await;
            told
        }
    }
}

/// Ctrl-C, or the system's own word for it.
async fn told_to_end() -> io::Result<()> {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let mut ended = signal(SignalKind::terminate())?;
        tokio::select! {
            told = tokio::signal::ctrl_c() => told,
            _ = ended.recv() => Ok(()),
        }
    }
    #[cfg(not(unix))]
    tokio::signal::ctrl_c().await
}

/// A word that nobody guesses: 128 random bits.
fn token() -> io::Result<String> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).map_err(|error| io::Error::other(error.to_string()))?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}
