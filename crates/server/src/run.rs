use std::net::{Ipv4Addr, SocketAddr};

use desk::Desk;
use thiserror::Error;

use crate::State;

/// How the page is served.
#[derive(Debug, Clone, Copy, Default)]
pub struct Options {
    /// Port on the loopback address; `None` lets the system choose a free one.
    pub port: Option<u16>,
    /// What happens once it is served.
    pub open: bool,
}

/// What keeps the page from being served.
#[derive(Debug, Error)]
pub enum ServeError {
    /// The port cannot be had.
    #[error("the page cannot be served on 127.0.0.1, port {port}: {why}")]
    Port {
        /// The port asked for; 0 for any.
        port: u16,
        /// What the system says.
        why: std::io::Error,
    },
    /// No random bytes for the key.
    #[error("the system gives no random bytes for the key to the page: {0}")]
    Key(String),
    /// Serving broke off.
    #[error("serving the page broke off: {0}")]
    Io(#[from] std::io::Error),
}

impl ServeError {
    /// What to do about it; empty when nothing can be said.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Port { .. } => {
                "Another program may use this port: leave the port out, and a free one is taken."
            }
            Self::Key(_) | Self::Io(_) => "",
        }
    }
}

/// Serves the page until Ctrl+C. Prints `Open http://127.0.0.1:PORT/enter?token=…` as one line on
/// stdout as soon as it can be opened.
///
/// # Errors
/// The port is taken, or the system refuses what a server needs.
pub fn run(desk: Desk, options: Options) -> Result<(), ServeError> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()?;
    let served = runtime.block_on(serve(desk, options));
    // Work in hand is asked to stop by the state that it watches; it must not hold up the end.
    runtime.shutdown_timeout(std::time::Duration::from_secs(5));
    served
}

async fn serve(desk: Desk, options: Options) -> Result<(), ServeError> {
    let port = options.port.unwrap_or(0);
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    let listener = tokio::net::TcpListener::bind(address)
        .await
        .map_err(|why| ServeError::Port { port, why })?;
    let state = State::new(desk, listener.local_addr()?.port())?;
    let entrance = state.entrance();
    println!("Open {entrance}");
    if options.open && open::that_detached(&entrance).is_err() {
        eprintln!("No browser could be opened from here: open the address above by hand.");
    }
    let working = state.clone();
    tokio::select! {
        served = axum::serve(listener, crate::app(state)) => served?,
        _ = tokio::signal::ctrl_c() => working.work().stop(),
    }
    Ok(())
}
