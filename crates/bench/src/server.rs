//! Starting and stopping.

use crate::accept::accept;
use crate::assets::Assets;
use crate::bench::{Bench, HERE, Parts};
use crate::door::Door;
use crate::events::Notices;
use crate::examples::Examples;
use crate::kept::{Pictures, Turns};
use crate::network::{self, Network};
use crate::pieces;
use crate::routes::routes;
use crate::session::{Sessions, new_secret};
use crate::standing::Stands;
use crate::starts::Starts;
use crate::studies::{self, Studies};
use crate::swatches::Swatches;
use fellmark_store::{Error, Store, SystemWorld};
use std::fmt;
use std::io;
use std::net::{IpAddr, Ipv4Addr, TcpListener};
use std::path::PathBuf;
use std::time::Duration;
use tokio_util::sync::CancellationToken;

/// The port that is tried first, so that the page's address stays the same. No service is known to use it
/// (from memory of IANA's list).
pub const USUAL_PORT: u16 = 7417;
/// Threads that answer; work that computes or waits for the disk has threads of its own.
const ANSWERING: usize = 2;
/// Threads for such work.
const WORKING: usize = 32;
/// How long stopping waits for answers that are under way.
const LAST_ANSWERS: Duration = Duration::from_secs(3);
/// How long stopping waits for work whose answer nobody waits for any more.
const LAST_WORK: Duration = Duration::from_millis(200);

/// How a server is started.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The folder that holds the pieces; it is made if it isn't there.
    pub data: PathBuf,
    /// The port to listen on; `None`: the usual one, or any other if that is taken.
    pub port: Option<u16>,
    /// A folder to take the page's files from, while they are being worked on; `None`: those built in.
    pub assets: Option<PathBuf>,
    /// The address on which devices of the network reach this machine once it is opened to them; `None`: all of
    /// its network's addresses.
    pub network: Option<IpAddr>,
    /// How long clients may take, and how many there may be.
    pub limits: Limits,
}

/// How long clients may take, and how many there may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// For a request's head to come, and for a connection to stay idle.
    pub head: Duration,
    /// For all of a request's body to come.
    pub body: Duration,
    /// Connections at once, for each address that is listened on.
    pub connections: usize,
    /// How long a code that lets a device in works.
    pub code: Duration,
    /// What lies between two tries of a code, of all devices together.
    pub between_tries: Duration,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits {
            head: Duration::from_secs(15),
            body: Duration::from_secs(15),
            connections: 64,
            code: Duration::from_secs(300),
            between_tries: Duration::from_secs(1),
        }
    }
}

/// Why the server does not start.
#[derive(Debug)]
pub enum StartError {
    /// The pieces can't be opened.
    Store(Error),
    /// The port can't be listened on.
    Port {
        /// The port.
        port: u16,
        /// What the system said.
        said: io::Error,
    },
    /// There is no such folder with a page in it.
    Assets(PathBuf),
    /// The system gives no threads or signals.
    System(io::Error),
}

impl From<Error> for StartError {
    fn from(error: Error) -> StartError {
        StartError::Store(error)
    }
}

impl fmt::Display for StartError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StartError::Store(error) => error.fmt(f),
            StartError::Port { port, said } => write!(
                f,
                "Port {port} of this computer can't be had ({said}). Close what uses it, or leave --port out to \
                 take any that is free."
            ),
            StartError::Assets(folder) => {
                write!(f, "{} holds no index.html. Name the folder that the page lies in.", folder.display())
            }
            StartError::System(said) => write!(
                f,
                "This computer gives the server no room to answer in ({said}). Close other programs, and try again."
            ),
        }
    }
}

impl std::error::Error for StartError {}

/// A server that listens, but does not answer yet.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
    port: u16,
    secret: String,
    pub(crate) bench: Bench,
    limits: Limits,
}

/// Stops a server, from any thread.
#[derive(Debug, Clone)]
pub struct Stopper(CancellationToken);

impl Stopper {
    /// Has the server answer what it has begun, end its streams, and return.
    pub fn stop(&self) {
        self.0.cancel();
    }
}

impl Server {
    /// Opens the pieces and begins to listen, on loopback alone.
    ///
    /// # Errors
    /// If the pieces can't be opened or there is no port to listen on.
    pub fn start(settings: Settings) -> Result<Server, StartError> {
        let assets = match settings.assets {
            None => Assets::BuiltIn,
            Some(folder) if folder.join("index.html").is_file() => Assets::Folder(folder),
            Some(folder) => return Err(StartError::Assets(folder)),
        };
        let store = Store::open(&settings.data, SystemWorld)?;
        let (listener, port) = listen(settings.port)?;
        let secret = new_secret();
        let bench = Bench::new(Parts {
            store,
            studies: Studies::default(),
            kept: Pictures::default(),
            turns: Turns::default(),
            swatches: Swatches::default(),
            stands: Stands::default(),
            examples: Examples::default(),
            starts: Starts::default(),
            network: Network::new(settings.network, port, settings.limits),
            sessions: Sessions::new(&settings.data, &secret),
            notices: Notices::default(),
            assets,
            stop: CancellationToken::new(),
        });
        Ok(Server { listener, port, secret, bench, limits: settings.limits })
    }

    /// The port that is listened on.
    #[must_use]
    pub fn port(&self) -> u16 {
        self.port
    }

    /// The address to print: it lets in whoever opens it, for as long as the server runs. With a piece, the
    /// page opens that.
    #[must_use]
    pub fn entrance(&self, piece: Option<&str>) -> String {
        self.address(&self.secret, piece)
    }

    /// An address that lets in once, within a minute: for the browser that is started, whose arguments other
    /// people on this machine may see.
    #[must_use]
    pub fn entrance_once(&self, piece: Option<&str>) -> String {
        let secret = new_secret();
        self.bench.sessions.once(&secret);
        self.address(&secret, piece)
    }

    fn address(&self, secret: &str, piece: Option<&str>) -> String {
        let piece = piece.map_or_else(String::new, |piece| format!("/piece/{piece}"));
        format!("http://{}:{}/#{secret}{piece}", Ipv4Addr::LOCALHOST, self.port)
    }

    /// Brings a plan's text in and gives the piece's id: a known piece, if it has or had just this text.
    ///
    /// # Errors
    /// In words, if it can't be read as a plan or can't be saved.
    pub fn bring_in(&self, text: &str) -> Result<String, String> {
        let known = studies::study(text).map_err(|problem| problem.to_string())?;
        let piece = pieces::bring_in(&self.bench, &known, HERE).map_err(|error| error.to_string())?;
        Ok(piece.to_string())
    }

    /// What there is to say of the pieces' file as it was found: a sentence or two each, mostly nothing. Waits
    /// for the day's first backup.
    #[must_use]
    pub fn found(&self) -> Vec<String> {
        let store = &self.bench.store;
        store.wait_for_backup();
        let left_open =
            "Fellmark wasn't closed the last time. Your pieces were looked through: they are in order.";
        let older = "Your pieces are kept in the form of this Fellmark now. As they were before, they lie in the \
                     folder backups.";
        let trouble = store.backup_trouble().map(|(message, help)| format!("{message} {help}"));
        let said = [
            store.was_left_open().then(|| left_open.to_owned()),
            store.came_from_schema().map(|_| older.to_owned()),
            trouble,
        ];
        said.into_iter().flatten().collect()
    }

    /// What stops this server.
    #[must_use]
    pub fn stopper(&self) -> Stopper {
        Stopper(self.bench.stop.clone())
    }

    /// Answers until it is stopped, or the system asks the program to end. That is heeded before `told` is called, which tells
    /// where the server is: whoever reads it may end the program at once.
    ///
    /// # Errors
    /// What `told` gives, or that the system gives no threads or signals.
    pub fn run<E: From<StartError>>(self, told: impl FnOnce(&Server) -> Result<(), E>) -> Result<(), E> {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(ANSWERING)
            .max_blocking_threads(WORKING)
            .enable_all()
            .build()
            .map_err(StartError::System)?;
        let asked = runtime.block_on(async { asked_to_end() }).map_err(StartError::System)?;
        let stop = self.bench.stop.clone();
        runtime.spawn(async move {
            asked.await;
            stop.cancel();
        });
        told(&self)?;
        let Server { listener, port, bench, limits, .. } = self;
        let answered = runtime.block_on(async {
            listener.set_nonblocking(true)?;
            let listener = tokio::net::TcpListener::from_std(listener)?;
            let door = Door::Here(port);
            let routes = routes(&bench, door, limits.body);
            accept(listener, door, routes, limits, bench.stop.clone(), LAST_ANSWERS).await;
            network::shut(&bench).await;
            Ok(())
        });
        runtime.shutdown_timeout(LAST_WORK);
        answered.map_err(|error| StartError::System(error).into())
    }
}

fn listen(port: Option<u16>) -> Result<(TcpListener, u16), StartError> {
    let on = |port| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    let listener = match port {
        Some(port) => on(port),
        None => on(USUAL_PORT).or_else(|_| on(0)),
    };
    let of = |said| StartError::Port { port: port.unwrap_or(USUAL_PORT), said };
    let listener = listener.map_err(of)?;
    let port = listener.local_addr().map_err(of)?.port();
    Ok((listener, port))
}

/// Ends when the system asks the program to end: Ctrl-C, the terminal is closed, or the session ends.
#[cfg(unix)]
fn asked_to_end() -> io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    let mut hangup = signal(SignalKind::hangup())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
            _ = hangup.recv() => {}
        }
    })
}

/// Ends when the system asks the program to end.
#[cfg(not(unix))]
fn asked_to_end() -> io::Result<impl Future<Output = ()>> {
    Ok(async {
        let _ = tokio::signal::ctrl_c().await;
    })
}
