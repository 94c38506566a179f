//! What every request passes before it reaches a route: the name it was sent to, the page it comes from, and
//! what the answer says about itself.

use crate::answer::Refusal;
use crate::door::Door;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Headers of every answer: nothing from elsewhere is loaded into the page, no other page may hold it in a
/// frame, and nothing is guessed.
pub(crate) const HEADERS: [(HeaderName, HeaderValue); 5] = [
    (
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; \
             connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
        ),
    ),
    (header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")),
    (header::REFERRER_POLICY, HeaderValue::from_static("same-origin")),
    (HeaderName::from_static("cross-origin-opener-policy"), HeaderValue::from_static("same-origin")),
    (HeaderName::from_static("cross-origin-resource-policy"), HeaderValue::from_static("same-origin")),
];

/// Adds [`HEADERS`].
pub(crate) async fn headers(mut response: Response) -> Response {
    for (name, value) in HEADERS {
        response.headers_mut().insert(name, value);
    }
    response
}

/// Answers only to the door's own names, with the port that is listened on. A page elsewhere whose name was bent
/// to point here sends its own name, and gets nothing.
pub(crate) async fn host(State(door): State<Door>, request: Request, next: Next) -> Response {
    if is_ours(request.headers(), request.uri(), door) {
        next.run(request).await
    } else {
        Refusal::usual(StatusCode::MISDIRECTED_REQUEST).into_response()
    }
}

fn is_ours(headers: &HeaderMap, uri: &Uri, door: Door) -> bool {
    let mut hosts = headers.get_all(header::HOST).iter();
    let (Some(host), None) = (hosts.next(), hosts.next()) else { return false };
    let in_target = uri.authority().map(|authority| authority.as_str());
    host.to_str().is_ok_and(|host| door.answers_to(host))
        && in_target.is_none_or(|authority| door.answers_to(authority))
}

/// Refuses what another page asks for, whatever the method: the browser says where a request comes from.
/// `tower_http`'s layer looks after those that change something, and after browsers that say less.
pub(crate) async fn own_page(request: Request, next: Next) -> Response {
    let from = request.headers().get("sec-fetch-site");
    if from.is_none_or(|from| from == "same-origin" || from == "none") {
        next.run(request).await
    } else {
        Refusal::usual(StatusCode::FORBIDDEN).into_response()
    }
}
