//! Who asks, and whether they may: a browser that was let in on this machine, by the session in its cookie, or a
//! device on the network, by the token in its own. Neither cookie opens the other door.

use crate::answer::{Answer, Refusal};
use crate::bench::{Bench, HERE};
use crate::door::Door;
use crate::network::Passage;
use crate::routes::Who;
use axum::extract::{FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use fellmark_store::{Device, May, TokenHash};

/// Who asks.
#[derive(Debug, Clone)]
pub(crate) struct Visitor {
    /// The name that the history has for it.
    pub(crate) by: String,
    pub(crate) may: May,
    /// For a device on the network, for how long it is let through.
    pub(crate) passage: Option<Passage>,
}

impl<S: Sync> FromRequestParts<S> for Visitor {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Visitor, Refusal> {
        // It is there on each route that asks who it is.
        parts.extensions.get().cloned().ok_or_else(|| Refusal::usual(StatusCode::UNAUTHORIZED))
    }
}

/// What stands before a route.
#[derive(Debug, Clone)]
pub(crate) struct Guard {
    pub(crate) bench: Bench,
    pub(crate) door: Door,
    pub(crate) who: Who,
}

/// Lets only those pass who may.
pub(crate) async fn needed(State(guard): State<Guard>, mut request: Request, next: Next) -> Response {
    let Guard { bench, door, who } = guard;
    match (door, who) {
        (_, Who::Anyone) | (Door::Here(_), Who::Entering) | (Door::There(_), Who::Pairing) => {
            next.run(request).await
        }
        (Door::There(_), Who::Entering | Who::OnlyHere) => only_here().into_response(),
        (Door::Here(_), Who::Pairing) => only_there().into_response(),
        (Door::Here(_), Who::MayFollow | Who::MayEdit | Who::OnlyHere) => {
            if !bench.sessions.knows(request.headers()) {
                return Refusal::usual(StatusCode::UNAUTHORIZED).into_response();
            }
            request.extensions_mut().insert(Visitor { by: HERE.to_owned(), may: May::Edit, passage: None });
            next.run(request).await
        }
        (Door::There(_), Who::MayFollow | Who::MayEdit) => {
            let (device, passage) = match let_through(&bench, request.headers()).await {
                Ok(found) => found,
                Err(refusal) => return refusal.into_response(),
            };
            if who == Who::MayEdit && device.may != May::Edit {
                return may_follow().into_response();
            }
            let ends = passage.ends.clone();
            request.extensions_mut().insert(Visitor {
                by: device.name,
                may: device.may,
                passage: Some(passage),
            });
            tokio::select! {
                // What is sent slowly must not be taken after the device was sent away.
                biased;
                () = ends.cancelled() => no_longer().into_response(),
                response = next.run(request) => response,
            }
        }
    }
}

/// The device that the cookie says, and its passage.
async fn let_through(bench: &Bench, headers: &HeaderMap) -> Result<(Device, Passage), Refusal> {
    let tokens = bench.sessions.tokens(headers);
    if tokens.is_empty() {
        return Err(unknown());
    }
    bench
        .work(move |bench| {
            let (token, device) = known(bench, &tokens)?.ok_or_else(no_longer)?;
            let passage = bench.network.passage(device.id).ok_or_else(no_longer)?;
            // Asked again now that there is a passage to end: whoever sends a device away first writes it down
            // and then ends its passage.
            let device = bench.store.device(token, bench.clock())?.ok_or_else(no_longer)?;
            Ok((device, passage))
        })
        .await
}

/// The first of these tokens that is let in, and its device.
pub(crate) fn known(bench: &Bench, tokens: &[TokenHash]) -> Answer<Option<(TokenHash, Device)>> {
    for token in tokens {
        if let Some(device) = bench.store.device(*token, bench.clock())? {
            return Ok(Some((*token, device)));
        }
    }
    Ok(None)
}

fn unknown() -> Refusal {
    Refusal::new(
        StatusCode::UNAUTHORIZED,
        "This device has not been let in.",
        "On the computer, choose “Weave from your phone”; it shows a code. Type it here.",
    )
    .with_code()
}

fn no_longer() -> Refusal {
    Refusal::new(
        StatusCode::UNAUTHORIZED,
        "This device is no longer let in.",
        "It was sent away on the computer, or was not here for a month. With a new code from there it can come \
         back; type it here.",
    )
    .with_code()
}

fn may_follow() -> Refusal {
    Refusal::new(
        StatusCode::FORBIDDEN,
        "This device may follow: it sees everything and changes nothing.",
        "On the computer, under “Weave from your phone”, it can be allowed to edit.",
    )
}

fn only_here() -> Refusal {
    Refusal::new(
        StatusCode::FORBIDDEN,
        "This can be done only on the computer that Fellmark runs on.",
        "Do it there.",
    )
}

fn only_there() -> Refusal {
    Refusal::new(
        StatusCode::FORBIDDEN,
        "A code is for a device on the network.",
        "Open the address beside the code on the phone, and type it there.",
    )
}
