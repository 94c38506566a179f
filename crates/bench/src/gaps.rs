//! Where a line of the stack can be carried to.

use crate::answer::{Answer, Refusal};
use crate::bench::Bench;
use crate::pictures::revision;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use fellmark_report::GapJson;
use serde::{Deserialize, Serialize};

#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// The head if it is missing.
    rev: Option<String>,
    /// The sequence whose list it is; the piece if it is missing.
    sequence: Option<String>,
    /// The line, and further ones within repeats, with commas between.
    at: String,
}

#[derive(Debug, Serialize)]
pub(crate) struct GapsJson {
    gaps: Vec<GapJson>,
}

pub(crate) async fn get(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer<Json<GapsJson>> {
    bench
        .work(move |bench| {
            let known = revision(bench, &id, asked.rev.as_deref())?.1;
            let line: Result<Vec<u32>, _> = asked.at.split(',').map(str::parse).collect();
            let line = line.map_err(|_| {
                Refusal::new(
                    StatusCode::BAD_REQUEST,
                    "This names no line of the stack.",
                    "Write its number, such as 2, and with commas further ones within repeats.",
                )
            })?;
            let gaps = fellmark_report::gaps(&known.plan, &known.study, asked.sequence.as_deref(), &line)
                .map_err(|error| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, error.message, error.help))?;
            Ok(Json(GapsJson { gaps }))
        })
        .await
}
