//! All routes, in one table: what each may do, who may ask, and how much may be sent. The attack test goes
//! through the same table, so no route can be added past it.

use crate::answer;
use crate::bench::Bench;
use crate::{archive, assets, choices, edits, events, examples, guard, pictures, pieces, session, weavings};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::{from_fn, from_fn_with_state, map_response};
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodFilter, MethodRouter, on};
use std::any::Any;
use std::convert::Infallible;
use std::time::Duration;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::csrf::CsrfLayer;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::timeout::RequestBodyDeadlineLayer;

/// One route.
pub(crate) struct Route {
    pub(crate) method: Method,
    pub(crate) path: &'static str,
    pub(crate) who: Who,
    /// Bytes that may be sent.
    pub(crate) most: usize,
    to: Handler,
}

/// Makes a handler answer to a method.
type Handler = fn(MethodFilter) -> MethodRouter<Bench>;

/// Who may ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Who {
    /// Anyone on this machine: there is nothing of the weaver's in it.
    Anyone,
    /// A browser that was let in.
    LetIn,
}

/// What is sent with a request that sends nothing.
const NOTHING: usize = 0;
/// An edit, a choice.
const LITTLE: usize = 64 << 10;
/// A plan as JSON: 1 MiB of text, in which each sign may take two.
const PLAN: usize = (2 << 20) + (64 << 10);
/// All pieces of many years, compressed.
const ARCHIVE: usize = 32 << 20;
/// The ticks of every row of the largest piece.
const TICKS: usize = 4 << 20;

const fn read(path: &'static str, who: Who, to: Handler) -> Route {
    Route { method: Method::GET, path, who, most: NOTHING, to }
}

const fn change(path: &'static str, who: Who, most: usize, to: Handler) -> Route {
    Route { method: Method::POST, path, who, most, to }
}

/// Every route there is.
pub(crate) static TABLE: &[Route] = &[
    read("/", Who::Anyone, |way| on(way, assets::shell)),
    read("/favicon.ico", Who::Anyone, |way| on(way, assets::favicon)),
    read("/assets/{*path}", Who::Anyone, |way| on(way, assets::file)),
    change("/api/enter", Who::Anyone, LITTLE, |way| on(way, session::enter)),
    read("/api/events", Who::LetIn, |way| on(way, events::stream)),
    read("/api/choices", Who::LetIn, |way| on(way, choices::choices)),
    read("/api/pieces", Who::LetIn, |way| on(way, pieces::list)),
    change("/api/pieces", Who::LetIn, PLAN, |way| on(way, pieces::create)),
    read("/api/examples/{name}/drawing.svg", Who::LetIn, |way| on(way, examples::drawing)),
    read("/api/pieces/{id}", Who::LetIn, |way| on(way, pieces::get)),
    read("/api/pieces/{id}/plan.toml", Who::LetIn, |way| on(way, pieces::plan_file)),
    read("/api/pieces/{id}/drawing.svg", Who::LetIn, |way| on(way, pictures::drawing)),
    change("/api/pieces/{id}/edit", Who::LetIn, LITTLE, |way| on(way, edits::edit)),
    change("/api/pieces/{id}/preview", Who::LetIn, LITTLE, |way| on(way, edits::preview)),
    change("/api/pieces/{id}/text", Who::LetIn, PLAN, |way| on(way, edits::text)),
    change("/api/pieces/{id}/undo", Who::LetIn, LITTLE, |way| on(way, edits::undo)),
    change("/api/pieces/{id}/redo", Who::LetIn, LITTLE, |way| on(way, edits::redo)),
    change("/api/pieces/{id}/weavings", Who::LetIn, LITTLE, |way| on(way, weavings::begin)),
    read("/api/archive", Who::LetIn, |way| on(way, archive::take_out)),
    change("/api/archive", Who::LetIn, ARCHIVE, |way| on(way, archive::take_in)),
    read("/api/weavings/{id}", Who::LetIn, |way| on(way, weavings::get)),
    change("/api/weavings/{id}/part", Who::LetIn, LITTLE, |way| on(way, weavings::part)),
    change("/api/weavings/{id}/ticks", Who::LetIn, TICKS, |way| on(way, weavings::tick)),
];

/// All routes behind their guards, for a server on this port.
pub(crate) fn routes(bench: &Bench, port: u16, body: Duration) -> Router {
    let mut routes = Router::new();
    for route in TABLE {
        let Ok(way) = MethodFilter::try_from(route.method.clone()) else { continue };
        let mut to = (route.to)(way);
        if route.who == Who::LetIn {
            to = to.layer(from_fn_with_state(bench.clone(), session::needed));
        }
        to = to.layer::<_, Infallible>(RequestBodyLimitLayer::new(route.most));
        to = to.layer(RequestBodyDeadlineLayer::new(body));
        if route.path.starts_with("/api/") {
            to = to.layer(from_fn(guard::own_page)).layer(map_response(not_kept));
        }
        routes = routes.route(route.path, to);
    }
    // A layer that is added later lies further out.
    routes
        .fallback(|| async { StatusCode::NOT_FOUND })
        .layer(DefaultBodyLimit::disable())
        .layer(CsrfLayer::new())
        .layer(from_fn_with_state(port, guard::host))
        .layer(CatchPanicLayer::custom(panicked))
        .layer(map_response(answer::in_words))
        .layer(map_response(guard::headers))
        .with_state(bench.clone())
}

/// What is the weaver's stays in no browser's store.
async fn not_kept(mut response: Response) -> Response {
    response.headers_mut().entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

/// One request fails; the others go on.
fn panicked(_: Box<dyn Any + Send + 'static>) -> Response {
    StatusCode::INTERNAL_SERVER_ERROR.into_response()
}
