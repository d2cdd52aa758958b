//! Listening: the address, a bounded number of patient connections, and an end that loses nothing.

use crate::folder::Root;
use crate::guard::Guard;
use crate::hold::{Held, Hold};
use crate::office::Office;
use crate::patient::Patient;
use crate::routes::router;
use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::{self, Runtime};
use tokio::sync::{Semaphore, watch};

/// Connections at a time; further ones wait until one ends.
const MOST_CONNECTIONS: usize = 512;
/// Threads for work beside the one that serves.
const MOST_WORKERS: usize = 8;
/// How long the head of a request may take to arrive; also how long a connection may rest between two requests.
const HEAD_PATIENCE: Duration = Duration::from_secs(15);
/// How long a client may take nothing of an answer.
const TAKE_PATIENCE: Duration = Duration::from_secs(15);
/// How long answers that are under way may take when the server closes.
const CLOSING_PATIENCE: Duration = Duration::from_secs(2);
/// Largest head of a request.
const LARGEST_HEAD_BYTES: usize = 32 << 10;

/// Where to listen.
#[derive(Clone, Copy, Debug, Default)]
pub struct Listen {
    /// The address; this machine alone unless given.
    pub address: Option<IpAddr>,
    /// The port; a free one unless given.
    pub port: Option<u16>,
}

/// Why there is no server.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Another program listens there.
    #[error("port {port} is taken by another program")]
    PortTaken {
        /// The port.
        port: u16,
    },
    /// The system refused.
    #[error("could not listen at {address}: {source}")]
    NotListening {
        /// Where.
        address: SocketAddr,
        /// What the system answered.
        source: io::Error,
    },
    /// Another server has the folder, or the drive file.
    #[error("`{name}` is served already by another `lobewright serve`")]
    Served {
        /// What it serves.
        name: String,
    },
    /// The system refused something else that a server needs.
    #[error("could not start the server: {0}")]
    NotStarted(String),
}

/// A server that runs until it is closed.
#[derive(Debug)]
pub struct Server {
    address: SocketAddr,
    guard: Arc<Guard>,
    office: Arc<Office>,
    runtime: Runtime,
    closing: watch::Sender<bool>,
    connections: Arc<Semaphore>,
    _hold: Hold,
}

impl Server {
    /// Opens a folder and serves it.
    ///
    /// # Errors
    /// [`ServeError`].
    pub fn start(root: Root, listen: Listen) -> Result<Self, ServeError> {
        let not_started = |error: &dyn std::fmt::Display| ServeError::NotStarted(error.to_string());
        let runtime = runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .max_blocking_threads(MOST_WORKERS)
            .thread_stack_size(8 << 20)
            .enable_all()
            .build()
            .map_err(|error| not_started(&error))?;
        let wanted = SocketAddr::new(
            listen.address.unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST)),
            listen.port.unwrap_or(0),
        );
        let refused = |source: io::Error| match source.kind() {
            io::ErrorKind::AddrInUse => ServeError::PortTaken { port: wanted.port() },
            _ => ServeError::NotListening { address: wanted, source },
        };
        let listener = runtime.block_on(TcpListener::bind(wanted)).map_err(refused)?;
        let address = listener.local_addr().map_err(refused)?;
        let guard = Arc::new(Guard::new(address).map_err(|error| not_started(&error))?);
        let hold = Hold::take(&root).map_err(|Held(name)| ServeError::Served { name })?;
        let office = Office::open(root);
        let (closing, is_closing) = watch::channel(false);
        let connections = Arc::new(Semaphore::new(MOST_CONNECTIONS));
        let service = router(office.clone(), guard.clone());
        runtime.spawn(accept(listener, service, connections.clone(), is_closing));
        Ok(Self { address, guard, office, runtime, closing, connections, _hold: hold })
    }

    /// The address to open in a browser of this machine, with the token if one is asked for; that of the drive where a file was opened.
    #[must_use]
    pub fn url(&self) -> String {
        let address = self.address_here();
        let token = self.guard.token().map_or_else(String::new, |token| format!("?token={token}"));
        let place =
            self.office.root.only().map_or_else(String::new, |file| format!("#/drive/{}", escaped(file)));
        format!("http://{address}/{token}{place}")
    }

    /// Whether it listens at every address of this machine.
    #[must_use]
    pub fn is_for_all_networks(&self) -> bool {
        self.address.ip().is_unspecified()
    }

    /// Where this machine itself finds it; no browser can go to the address that stands for all.
    #[must_use]
    pub fn address_here(&self) -> SocketAddr {
        let here: IpAddr = match self.address.ip() {
            ip if !ip.is_unspecified() => ip,
            IpAddr::V4(_) => Ipv4Addr::LOCALHOST.into(),
            IpAddr::V6(_) => Ipv6Addr::LOCALHOST.into(),
        };
        SocketAddr::new(here, self.address.port())
    }

    /// Where it listens.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// The token that it asks for, if any.
    #[must_use]
    pub fn token(&self) -> Option<&str> {
        self.guard.token()
    }

    /// What goes on behind the interface.
    #[must_use]
    pub fn office(&self) -> &Arc<Office> {
        &self.office
    }

    /// Takes no more requests, lets those under way end, keeps what is not saved in drafts, and ends. Returns the drives with edits that could not be kept.
    pub fn close(self) -> Vec<String> {
        self.closing.send_replace(true);
        self.office.begin_closing();
        let all = MOST_CONNECTIONS as u32;
        let rest = async {
            tokio::time::timeout(CLOSING_PATIENCE, self.connections.acquire_many(all)).await.is_ok()
        };
        self.runtime.block_on(rest);
        let lost = self.office.close();
        self.runtime.shutdown_timeout(CLOSING_PATIENCE);
        lost
    }
}

/// A name as a part of an address.
fn escaped(name: &str) -> String {
    let letter = |byte: u8| match byte {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => char::from(byte).to_string(),
        other => format!("%{other:02X}"),
    };
    name.bytes().map(letter).collect()
}

/// Takes connections, never more than a few hundred at a time.
async fn accept(
    listener: TcpListener,
    service: Router,
    connections: Arc<Semaphore>,
    mut closing: watch::Receiver<bool>,
) {
    loop {
        let Ok(permit) = connections.clone().acquire_owned().await else { return };
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            _ = closing.wait_for(|is_closing| *is_closing) => return,
        };
        match accepted {
            Ok((stream, _)) => {
                let connection = serve(stream, service.clone(), closing.clone());
                tokio::spawn(async move {
                    connection.await;
                    drop(permit);
                });
            }
            // Too many open files, say: it passes.
            Err(_) => tokio::time::sleep(Duration::from_millis(50)).await,
        }
    }
}

/// Answers the requests of one connection.
async fn serve(stream: TcpStream, service: Router, mut closing: watch::Receiver<bool>) {
    let _ = stream.set_nodelay(true);
    let mut builder = http1::Builder::new();
    builder.timer(TokioTimer::new()).header_read_timeout(HEAD_PATIENCE).max_buf_size(LARGEST_HEAD_BYTES);
    let connection = builder.serve_connection(
        TokioIo::new(Patient::new(stream, TAKE_PATIENCE)),
        TowerToHyperService::new(service),
    );
    tokio::pin!(connection);
    tokio::select! {
        // A client that breaks off is no matter of ours.
        _ = connection.as_mut() => return,
        _ = closing.wait_for(|is_closing| *is_closing) => {}
    }
    connection.as_mut().graceful_shutdown();
    let _ = connection.await;
}
