//! Accepting connections: slow and idle ones are closed, no more than so many are held, and stopping waits for
//! the answers that are under way, but not for ever.

use crate::Limits;
use axum::Router;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use tokio_util::sync::CancellationToken;

/// How long stopping waits for answers that are under way.
const LAST_ANSWERS: Duration = Duration::from_secs(3);
/// How long to wait where the system has no room for another connection.
const NO_ROOM: Duration = Duration::from_millis(50);
/// Headers of a request.
const MOST_HEADERS: usize = 64;

/// Answers requests until `stop` is cancelled.
pub(crate) async fn accept(listener: TcpListener, routes: Router, limits: Limits, stop: CancellationToken) {
    // axum's own loop sets no time by which a request's head must have come.
    let mut http = hyper::server::conn::http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(limits.head).max_headers(MOST_HEADERS);
    let places = Arc::new(Semaphore::new(limits.connections));
    let under_way = GracefulShutdown::new();
    loop {
        let next = async {
            let place = Arc::clone(&places).acquire_owned().await;
            (place, listener.accept().await)
        };
        let (place, stream) = tokio::select! {
            next = next => next,
            () = stop.cancelled() => break,
        };
        let Ok((stream, _)) = stream else {
            tokio::time::sleep(NO_ROOM).await;
            continue;
        };
        // Notices and ticks are small and must not wait to be put together with others.
        let _ = stream.set_nodelay(true);
        let service = TowerToHyperService::new(routes.clone());
        let connection = under_way.watch(http.serve_connection(TokioIo::new(stream), service));
        tokio::spawn(async move {
            // A client that goes away in the middle is no concern of anybody's.
            let _ = connection.await;
            drop(place);
        });
    }
    drop(listener);
    let _ = tokio::time::timeout(LAST_ANSWERS, under_way.shutdown()).await;
}
