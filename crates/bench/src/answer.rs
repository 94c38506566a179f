//! What is answered where a request can't be done: one message in plain words, and what to do.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// A request that can't be done.
#[derive(Debug)]
pub(crate) struct Refusal {
    status: StatusCode,
    said: Said,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
struct Said {
    message: String,
    help: String,
    /// Whether a code would help.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pair: bool,
}

/// What a handler gives.
pub(crate) type Answer<T> = Result<T, Refusal>;

impl Refusal {
    pub(crate) fn new(status: StatusCode, message: impl Into<String>, help: impl Into<String>) -> Refusal {
        Refusal { status, said: Said { message: message.into(), help: help.into(), pair: false } }
    }

    /// The same, where a code lets the device in.
    pub(crate) fn with_code(mut self) -> Refusal {
        self.said.pair = true;
        self
    }

    /// What is asked for isn't here.
    pub(crate) fn not_there(what: &str) -> Refusal {
        Refusal::new(
            StatusCode::NOT_FOUND,
            format!("There is no such {what} here."),
            "Go back to the list of pieces and choose it there.",
        )
    }

    /// The usual words for a status.
    pub(crate) fn usual(status: StatusCode) -> Refusal {
        let (message, help) = match status {
            StatusCode::BAD_REQUEST => ("This request can't be read.", "Load the page again."),
            StatusCode::UNAUTHORIZED => (
                "This browser has not been let in.",
                "Open the address that Fellmark printed when it started.",
            ),
            StatusCode::FORBIDDEN => (
                "This came from another page than Fellmark's own.",
                "Use Fellmark in a tab of its own, by the address that it printed.",
            ),
            StatusCode::NOT_FOUND => ("There is nothing at this address.", "Go back to the list of pieces."),
            StatusCode::METHOD_NOT_ALLOWED => {
                ("This address does not do that.", "Go back to the list of pieces.")
            }
            StatusCode::REQUEST_TIMEOUT => ("The rest of this did not come.", "Send it again."),
            StatusCode::PAYLOAD_TOO_LARGE => {
                ("This is larger than it may be.", "Is it the right file? A plan has 1 MiB at most.")
            }
            StatusCode::UNSUPPORTED_MEDIA_TYPE => ("This is no JSON.", "Send it as application/json."),
            StatusCode::MISDIRECTED_REQUEST => (
                "Fellmark does not answer to this name.",
                "Open the address that Fellmark printed when it started.",
            ),
            _ => ("Something went wrong in Fellmark.", "Load the page again; what was saved is safe."),
        };
        Refusal::new(status, message, help)
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        (self.status, Json(self.said)).into_response()
    }
}

/// Gives words to refusals that have none, such as those of the libraries.
pub(crate) async fn in_words(response: Response) -> Response {
    let status = response.status();
    let refused = status.is_client_error() || status.is_server_error();
    let is_json = response.headers().get(header::CONTENT_TYPE).is_some_and(|kind| kind == "application/json");
    if !refused || is_json {
        return response;
    }
    let allow = response.headers().get(header::ALLOW).cloned();
    let mut words = Refusal::usual(status).into_response();
    if let Some(allow) = allow {
        words.headers_mut().insert(header::ALLOW, allow);
    }
    words
}

/// The bytes that were sent, whole and in time.
pub(crate) struct SentBytes(pub(crate) Bytes);

impl<S: Send + Sync> FromRequest<S> for SentBytes {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Answer<SentBytes> {
        let sent = Bytes::from_request(request, state).await;
        sent.map(SentBytes).map_err(|rejection| {
            let late = std::iter::successors(Some(&rejection as &dyn std::error::Error), |e| e.source())
                .any(|cause| cause.is::<tower_http::timeout::TimeoutError>());
            Refusal::usual(if late { StatusCode::REQUEST_TIMEOUT } else { rejection.status() })
        })
    }
}

/// What was asked for after the `?` of an address.
pub(crate) struct Query<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Query<T> {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Answer<Query<T>> {
        let asked = axum::extract::Query::try_from_uri(&parts.uri);
        asked.map(|axum::extract::Query(asked)| Query(asked)).map_err(|rejection| {
            // The cause names what was asked, and what may be.
            let cause = std::error::Error::source(&rejection).map_or_else(String::new, ToString::to_string);
            let end = if cause.is_empty() { String::new() } else { format!(": {cause}") };
            Refusal::new(
                StatusCode::BAD_REQUEST,
                format!("What is asked for after the ? of the address can't be read{end}."),
                "Ask for one of those, or leave it out. On Fellmark's own page, load the page again.",
            )
        })
    }
}

/// What was sent as JSON.
pub(crate) struct Sent<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Sent<T> {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Answer<Sent<T>> {
        let kind = request.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
        let kind = kind.and_then(|kind| kind.split(';').next()).map(str::trim);
        if kind.is_none_or(|kind| !kind.eq_ignore_ascii_case("application/json")) {
            return Err(Refusal::usual(StatusCode::UNSUPPORTED_MEDIA_TYPE));
        }
        let SentBytes(bytes) = SentBytes::from_request(request, state).await?;
        serde_json::from_slice(&bytes).map(Sent).map_err(|error| {
            Refusal::new(
                StatusCode::BAD_REQUEST,
                format!("What was sent can't be read: {error}."),
                "Load the page again.",
            )
        })
    }
}

/// What sends nothing sends an empty object.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Nothing {}
