//! All routes, in one table: what each may do, who may ask, and how much may be sent. The attack test goes
//! through the same table, so no route can be added past it.

use crate::answer;
use crate::bench::Bench;
use crate::door::Door;
use crate::visitor::{self, Guard};
use crate::{
    archive, assets, choices, devices, edits, events, examples, fit, gaps, guard, map, pictures, pieces,
    remedies, session, sheet, starts, weavings,
};
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
    /// Anyone who comes to a door: there is nothing of the weaver's in it.
    Anyone,
    /// Anyone on this machine, to be let in by the secret.
    Entering,
    /// Anyone on the network, to be let in by the code.
    Pairing,
    /// A browser that was let in on this machine, or a device that may follow.
    MayFollow,
    /// A browser that was let in on this machine, or a device that may edit.
    MayEdit,
    /// A browser that was let in on this machine.
    OnlyHere,
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
    change("/api/enter", Who::Entering, LITTLE, |way| on(way, session::enter)),
    change("/api/pair", Who::Pairing, LITTLE, |way| on(way, devices::pair)),
    read("/api/me", Who::MayFollow, |way| on(way, devices::me)),
    read("/api/events", Who::MayFollow, |way| on(way, events::stream)),
    read("/api/choices", Who::MayFollow, |way| on(way, choices::choices)),
    read("/api/pieces", Who::MayFollow, |way| on(way, pieces::list)),
    change("/api/pieces", Who::MayEdit, PLAN, |way| on(way, pieces::create)),
    read("/api/examples/{name}/drawing.svg", Who::MayFollow, |way| on(way, examples::drawing)),
    read("/api/examples/{name}/swatch", Who::MayFollow, |way| on(way, examples::swatch)),
    read("/api/starts/{name}/swatch", Who::MayFollow, |way| on(way, starts::swatch)),
    read("/api/pieces/{id}", Who::MayFollow, |way| on(way, pieces::get)),
    read("/api/pieces/{id}/plan.toml", Who::MayFollow, |way| on(way, pieces::plan_file)),
    read("/api/pieces/{id}/drawing.svg", Who::MayFollow, |way| on(way, pictures::drawing)),
    read("/api/pieces/{id}/winding.svg", Who::MayFollow, |way| on(way, pictures::winding)),
    read("/api/pieces/{id}/picture", Who::MayFollow, |way| on(way, pictures::cloth)),
    read("/api/pieces/{id}/swatch", Who::MayFollow, |way| on(way, pictures::swatch)),
    read("/api/pieces/{id}/fit", Who::MayFollow, |way| on(way, fit::get)),
    read("/api/pieces/{id}/rows", Who::MayFollow, |way| on(way, sheet::get)),
    read("/api/pieces/{id}/remedies", Who::MayFollow, |way| on(way, remedies::get)),
    read("/api/pieces/{id}/gaps", Who::MayFollow, |way| on(way, gaps::get)),
    read("/api/pieces/{id}/map", Who::MayFollow, |way| on(way, map::get)),
    change("/api/pieces/{id}/edit", Who::MayEdit, LITTLE, |way| on(way, edits::edit)),
    change("/api/pieces/{id}/preview", Who::MayEdit, LITTLE, |way| on(way, edits::preview)),
    change("/api/pieces/{id}/preview/picture", Who::MayEdit, LITTLE, |way| on(way, pictures::preview)),
    change("/api/pieces/{id}/text", Who::MayEdit, PLAN, |way| on(way, edits::text)),
    change("/api/pieces/{id}/undo", Who::MayEdit, LITTLE, |way| on(way, edits::undo)),
    change("/api/pieces/{id}/redo", Who::MayEdit, LITTLE, |way| on(way, edits::redo)),
    change("/api/pieces/{id}/weavings", Who::MayEdit, LITTLE, |way| on(way, weavings::begin)),
    change("/api/pieces/{id}/put-away", Who::MayEdit, LITTLE, |way| on(way, pieces::put_away)),
    change("/api/pieces/{id}/bring-back", Who::MayEdit, LITTLE, |way| on(way, pieces::bring_back)),
    read("/api/archive", Who::MayFollow, |way| on(way, archive::take_out)),
    change("/api/archive", Who::MayEdit, ARCHIVE, |way| on(way, archive::take_in)),
    read("/api/weavings/{id}", Who::MayFollow, |way| on(way, weavings::get)),
    read("/api/weavings/{id}/winding.svg", Who::MayFollow, |way| on(way, pictures::winding_of)),
    read("/api/weavings/{id}/fell", Who::MayFollow, |way| on(way, pictures::fell)),
    change("/api/weavings/{id}/part", Who::MayEdit, LITTLE, |way| on(way, weavings::part)),
    change("/api/weavings/{id}/ticks", Who::MayEdit, TICKS, |way| on(way, weavings::tick)),
    read("/api/network", Who::OnlyHere, |way| on(way, devices::look)),
    change("/api/network/open", Who::OnlyHere, LITTLE, |way| on(way, devices::open)),
    change("/api/network/code", Who::OnlyHere, LITTLE, |way| on(way, devices::code)),
    read("/api/network/code.svg", Who::OnlyHere, |way| on(way, devices::code_picture)),
    change("/api/network/shut", Who::OnlyHere, LITTLE, |way| on(way, devices::shut)),
    change("/api/devices/{id}/may", Who::OnlyHere, LITTLE, |way| on(way, devices::allow)),
    change("/api/devices/{id}/name", Who::OnlyHere, LITTLE, |way| on(way, devices::rename)),
    change("/api/devices/{id}/send-away", Who::OnlyHere, LITTLE, |way| on(way, devices::send_away)),
];

/// All routes behind their guards, as a door has them.
pub(crate) fn routes(bench: &Bench, door: Door, body: Duration) -> Router {
    let mut routes = Router::new();
    for route in TABLE {
        let Ok(way) = MethodFilter::try_from(route.method.clone()) else { continue };
        let guard = Guard { bench: bench.clone(), door, who: route.who };
        let mut to = (route.to)(way).layer(from_fn_with_state(guard, visitor::needed));
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
        .layer(from_fn_with_state(door, guard::host))
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
