//! Accepting connections: slow and idle ones are closed, no more than so many are held, and stopping waits for
//! the answers that are under way, but not for ever.

use crate::Limits;
use crate::door::Door;
use axum::Router;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use tokio_util::sync::CancellationToken;

/// How long to wait where the system has no room for another connection.
const NO_ROOM: Duration = Duration::from_millis(50);
/// Headers of a request.
const MOST_HEADERS: usize = 64;

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
            drop(place);
        });
    }
    drop(listener);
    let _ = tokio::time::timeout(grace, under_way.shutdown()).await;
    cut.cancel();
}
