//! Pictures of a piece.

use crate::answer::{Answer, Refusal};
use crate::bench::Bench;
use crate::pieces::{piece_id, revision_id};
use crate::studies::Known;
use crate::views::UnitsWord;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use fellmark_core::side::Surface;
use serde::Deserialize;

#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// The head if it is missing.
    rev: Option<String>,
    #[serde(default)]
    units: UnitsWord,
    #[serde(default)]
    back: u8,
}

pub(crate) async fn drawing(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer<Response> {
    let id = piece_id(&id)?;
    let revision = asked.rev.as_deref().map(revision_id).transpose()?;
    bench
        .work(move |bench| {
            let (revision, text) = match revision {
                None => {
                    let head = bench.store.head(id)?;
                    (head.revision.id, head.text)
                }
                Some(revision) => {
                    let kept = bench.store.revision(revision)?;
                    if kept.info.piece != id {
                        return Err(Refusal::not_there("revision"));
                    }
                    (revision, kept.text)
                }
            };
            let known = bench.studies.of(revision, &text).map_err(|_| {
                let message = "The plan can't be read, so there is nothing to draw.";
                Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, message, "Open the piece and mend its text.")
            })?;
            Ok(answer(&known, &asked))
        })
        .await
}

/// A drawing, as it was asked for.
pub(crate) fn answer(known: &Known, asked: &Asked) -> Response {
    let surface = if asked.back == 0 { Surface::Front } else { Surface::Back };
    let drawing = known.drawing(asked.units.units(), surface);
    ([(header::CONTENT_TYPE, "image/svg+xml")], drawing.to_string()).into_response()
}
