//! What takes a piece's findings away. Each remedy is tried out, which takes about as long as all else that is told of a
//! piece: so it is asked for by itself, when the piece is there to be seen.

use crate::answer::{Answer, Query};
use crate::bench::Bench;
use crate::pictures::revision;
use axum::Json;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use fellmark_report::RemedyJson;
use serde::{Deserialize, Serialize};

#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// The head if it is missing.
    rev: Option<String>,
}

#[derive(Debug, Serialize)]
struct RemediesJson<'a> {
    /// For each finding, in the order in which they are told.
    findings: &'a [Vec<RemedyJson>],
}

pub(crate) async fn get(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let known = revision(bench, &id, asked.rev.as_deref())?.1;
            Ok(Json(RemediesJson { findings: known.remedies() }).into_response())
        })
        .await
}
