//! Accepting connections: slow and idle ones are closed, no more than so many are held, and stopping waits for
//! the answers that are under way, but not for ever.

use crate::answer::Refusal;
use crate::door::Door;
use crate::whose::{Whose, whose};
use crate::{Limits, lock};
use axum::Router;
use axum::http::StatusCode;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use tokio_util::sync::CancellationToken;

/// How long to wait where the system has no room for another connection.
const NO_ROOM: Duration = Duration::from_millis(50);
/// Headers of a request.
const MOST_HEADERS: usize = 64;

/// How many connections each device of the network holds.
type Shares = Arc<Mutex<BTreeMap<IpAddr, usize>>>;

/// A connection counted among those of its device, for as long as it is open.
struct Share(Option<(Shares, IpAddr)>);

impl Share {
    /// `None` if the device holds a quarter of all places: one must not take those of the others. On this machine
    /// all have one address, and are not counted.
    fn of(shares: &Shares, door: Door, peer: IpAddr, places: usize) -> Option<Share> {
        if matches!(door, Door::Here(_)) {
            return Some(Share(None));
        }
        let mut held = lock(shares);
        let mine = held.entry(peer).or_default();
        if *mine >= (places / 4).max(1) {
            return None;
        }
        *mine += 1;
        Some(Share(Some((Arc::clone(shares), peer))))
    }
}

impl Drop for Share {
    fn drop(&mut self) {
        let Some((shares, peer)) = &self.0 else { return };
        let mut held = lock(shares);
        match held.get_mut(peer) {
            Some(mine) if *mine > 1 => *mine -= 1,
            _ => drop(held.remove(peer)),
        }
    }
}

/// What programs of other users of this machine are told, whatever they ask for.
fn strangers() -> Router {
    Router::new().fallback(|| async {
        Refusal::new(
            StatusCode::FORBIDDEN,
            "This Fellmark was started by another user of this computer.",
            "Start Fellmark as the user whose browser it is.",
        )
    })
}

/// Answers requests until `stop` is cancelled. Answers that are under way then get as long as `grace`; what is
/// still open after that is cut.
pub(crate) async fn accept(
    listener: TcpListener,
    door: Door,
    routes: Router,
    limits: Limits,
    stop: CancellationToken,
    grace: Duration,
) {
    // axum's own loop sets no time by which a request's head must have come.
    let mut http = hyper::server::conn::http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(limits.head).max_headers(MOST_HEADERS);
    let places = Arc::new(Semaphore::new(limits.connections));
    let under_way = GracefulShutdown::new();
    let cut = CancellationToken::new();
    let shares = Shares::default();
    loop {
        let next = async {
            let place = Arc::clone(&places).acquire_owned().await;
            (place, listener.accept().await)
        };
        let (place, stream) = tokio::select! {
            next = next => next,
            () = stop.cancelled() => break,
        };
        let Ok((stream, peer)) = stream else {
            tokio::time::sleep(NO_ROOM).await;
            continue;
        };
        if !door.admits(peer.ip()) {
            continue;
        }
        let Some(share) = Share::of(&shares, door, peer.ip(), limits.connections) else { continue };
        // Notices and ticks are small and must not wait to be put together with others.
        let _ = stream.set_nodelay(true);
        // Reading what the system lists of its connections takes less than to wait for a thread that does it.
        let is_stranger = matches!(door, Door::Here(_))
            && stream.local_addr().is_ok_and(|here| whose(here, peer) == Whose::Others);
        let routes = if is_stranger { strangers() } else { routes.clone() };
        let service = TowerToHyperService::new(routes);
        let connection = under_way.watch(http.serve_connection(TokioIo::new(stream), service));
        let cut = cut.clone();
        tokio::spawn(async move {
            tokio::select! {
                // A client that goes away in the middle is no concern of anybody's.
                _ = connection => {}
                () = cut.cancelled() => {}
            }
            drop((place, share));
        });
    }
    drop(listener);
    let _ = tokio::time::timeout(grace, under_way.shutdown()).await;
    cut.cancel();
}
