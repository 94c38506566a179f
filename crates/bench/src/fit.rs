//! Choices that bring a piece near the finished size that its plan asks for.

use crate::answer::{Answer, Query};
use crate::bench::Bench;
use crate::pictures::revision;
use crate::views::UnitsWord;
use axum::Json;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// The head if it is missing.
    rev: Option<String>,
    #[serde(default)]
    units: UnitsWord,
}

/// The choices; none where the plan asks for no size.
pub(crate) async fn get(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let known = revision(bench, &id, asked.rev.as_deref())?.1;
            Ok(Json(known.fit(asked.units.units())).into_response())
        })
        .await
}
