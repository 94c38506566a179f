//! Accepting connections: slow and idle ones are closed, no more than so many are held, and stopping waits for
//! the answers that are under way, but not for ever.

use crate::door::Door;
use crate::{Limits, lock};
use axum::Router;
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
        let service = TowerToHyperService::new(routes.clone());
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
