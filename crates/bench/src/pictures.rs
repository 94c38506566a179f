//! Pictures of a piece: the line drawing, and the cloth itself, of which only what an edit changed is drawn and
//! sent again.

use crate::answer::{Answer, Query, Refusal, Sent};
use crate::bench::Bench;
use crate::edits::{self, EditSent};
use crate::kept::{self, At, Look};
use crate::pieces::{piece_id, revision_id};
use crate::studies::Known;
use crate::swatches::Of;
use crate::views::UnitsWord;
use crate::visitor::Visitor;
use crate::weavings;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use fellmark_core::say::Units;
use fellmark_core::side::Surface;
use fellmark_core::study::Study;
use fellmark_core::yarn::Srgb;
use fellmark_picture::{Drawing, relief};
use fellmark_store::{PieceId, RevisionId};
use serde::Deserialize;
use std::sync::Arc;

#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// The head if it is missing.
    rev: Option<String>,
    #[serde(default)]
    units: UnitsWord,
    #[serde(default)]
    back: u8,
    /// The first and the last row of a closer look, from 1.
    from: Option<u32>,
    to: Option<u32>,
}

pub(crate) async fn drawing(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let (_, known) = revision(bench, &id, asked.rev.as_deref())?;
            Ok(answer(&known, &asked))
        })
        .await
}

/// A drawing, as it was asked for.
pub(crate) fn answer(known: &Known, asked: &Asked) -> Response {
    let (units, surface) = (asked.units.units(), surface(asked.back));
    let drawing: Arc<str> = match (asked.from, asked.to) {
        (None, None) => known.drawing(units, surface),
        (from, to) => {
            let rows = Some(from.unwrap_or(1).saturating_sub(1)..to.unwrap_or(u32::MAX));
            let drawing = Drawing { units, surface, rows, ..Drawing::default() };
            fellmark_picture::drawing(&known.study, &drawing).into()
        }
    };
    ([(header::CONTENT_TYPE, "image/svg+xml")], drawing.to_string()).into_response()
}

/// What of a warp is to be seen.
#[derive(Debug, Deserialize)]
pub(crate) struct WindingAsked {
    /// The head if it is missing.
    rev: Option<String>,
    /// One of the things that are done, from 0; all of the warp if it is missing.
    task: Option<usize>,
    #[serde(default)]
    units: UnitsWord,
}

/// How the warp of a piece is wound, drawn.
pub(crate) async fn winding(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<WindingAsked>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let (_, known) = revision(bench, &id, asked.rev.as_deref())?;
            wound(&known.study, &asked)
        })
        .await
}

/// The same of the piece as it is on the loom in a weaving.
pub(crate) async fn winding_of(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<WindingAsked>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let (_, _, mirrored, known) = weavings::shown(bench, &id)?;
            wound(known.woven(mirrored), &asked)
        })
        .await
}

fn wound(study: &Study, asked: &WindingAsked) -> Answer<Response> {
    let drawing = fellmark_picture::winding(study, asked.task, asked.units.units())
        .ok_or_else(|| Refusal::not_there("part of the warp"))?;
    Ok(([(header::CONTENT_TYPE, "image/svg+xml")], drawing).into_response())
}

fn surface(back: u8) -> Surface {
    if back == 0 { Surface::Front } else { Surface::Back }
}

/// A revision of a piece, its head if none is named.
pub(crate) fn revision(
    bench: &Bench,
    id: &str,
    rev: Option<&str>,
) -> Answer<((PieceId, RevisionId), Arc<Known>)> {
    let id = piece_id(id)?;
    let (revision, text) = match rev.map(revision_id).transpose()? {
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
    Ok(((id, revision), known))
}

#[derive(Debug, Deserialize)]
pub(crate) struct ClothAsked {
    /// The head if it is missing.
    rev: Option<String>,
    /// A revision whose picture, of the same look, is shown already: what differs will do.
    from: Option<String>,
    #[serde(default)]
    back: u8,
    /// Pixels across.
    width: Option<u32>,
    /// `on-loom`, `released` or `finished`.
    state: Option<String>,
    /// Without the frame.
    #[serde(default)]
    bare: u8,
    #[serde(default)]
    ground: Ground,
}

/// What a picture lies on: the page's own ground.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Ground {
    #[default]
    Day,
    Evening,
}

impl Ground {
    fn colour(self) -> Srgb {
        match self {
            Ground::Day => relief::PAPER,
            Ground::Evening => relief::EVENING,
        }
    }
}

/// The header that says where the cloth lies in a picture, and of what the picture is made up.
static ABOUT: HeaderName = HeaderName::from_static("x-picture");

/// The cloth as it will look: a JPEG for who takes one, else a PNG. What of it is new since `from` comes one part above
/// the other; `x-picture` says where each belongs, and that is always a PNG.
pub(crate) async fn cloth(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<ClothAsked>,
    visitor: Visitor,
    headers: HeaderMap,
) -> Answer<Response> {
    let lossy = takes_jpeg(&headers);
    bench
        .draw(&visitor, move |bench| {
            let look = Look::new(surface(asked.back), asked.state.as_deref(), asked.width, asked.bare != 0)
                .ok_or_else(no_such_picture)?;
            let at = |revision| At { revision, rows: None };
            let from = asked.from.as_deref().map(revision_id).transpose()?.map(at);
            let ((piece, revision), known) = revision(bench, &id, asked.rev.as_deref())?;
            let look = look.on(asked.ground.colour());
            sent(bench, (piece, at(revision)), &known.study, look, from, lossy)
        })
        .await
}

#[derive(Debug, Deserialize)]
pub(crate) struct FellAsked {
    /// How many rows are woven.
    rows: u32,
    /// As many rows of the same picture are shown already: what differs will do.
    from: Option<u32>,
    /// Pixels across.
    width: Option<u32>,
    #[serde(default)]
    ground: Ground,
}

/// What is on the loom of a weaving when its first rows are woven.
pub(crate) async fn fell(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<FellAsked>,
    visitor: Visitor,
    headers: HeaderMap,
) -> Answer<Response> {
    let lossy = takes_jpeg(&headers);
    bench
        .draw(&visitor, move |bench| {
            let look = Look::new(Surface::Front, None, asked.width, false).ok_or_else(no_such_picture)?;
            let (piece, revision, mirrored, known) = weavings::shown(bench, &id)?;
            let study = known.woven(mirrored).up_to(asked.rows).ok_or_else(|| {
                Refusal::new(StatusCode::NOT_FOUND, "Nothing is woven yet.", "Weave a row, and ask again.")
            })?;
            let at = |rows| At { revision, rows: Some(rows) };
            let from = asked.from.map(at);
            let look = look.mirrored(mirrored).on(asked.ground.colour());
            sent(bench, (piece, at(asked.rows)), &study, look, from, lossy)
        })
        .await
}

fn no_such_picture() -> Refusal {
    Refusal::new(
        StatusCode::BAD_REQUEST,
        "There is no such picture.",
        "Ask for a state on-loom, released or finished, and a width from 50 to 4000 pixels.",
    )
}

/// Whether who asks names JPEG among what is welcome.
fn takes_jpeg(headers: &HeaderMap) -> bool {
    let named = |value: &HeaderValue| value.to_str().is_ok_and(|types| types.contains("image/jpeg"));
    headers.get_all(header::ACCEPT).iter().any(named)
}

fn sent(
    bench: &Bench,
    at: (PieceId, At),
    study: &Study,
    look: Look,
    from: Option<At>,
    lossy: bool,
) -> Answer<Response> {
    Ok(file(&bench.kept.picture(at, study, look, from).map_err(too_large)?, lossy))
}

fn too_large(_: relief::TooLarge) -> Refusal {
    let message = "This picture would be too large.";
    Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, message, "Ask for a smaller width.")
}

/// A picture as a file.
fn file(sent: &kept::Sent, lossy: bool) -> Response {
    let about = serde_json::to_string(&sent.about).unwrap_or_default();
    // What an edit changed is small and wanted at once.
    let small = (lossy && sent.about.all).then(|| relief::jpeg(&sent.raster)).flatten();
    let (kind, bytes) = match small {
        Some(bytes) => ("image/jpeg", bytes),
        None => ("image/png", relief::png_quickly(&sent.raster)),
    };
    ([(header::CONTENT_TYPE, kind.to_owned()), (ABOUT.clone(), about)], bytes).into_response()
}

/// How what would come of an edit is to be pictured.
#[derive(Debug, Deserialize)]
pub(crate) struct PreviewAsked {
    #[serde(default)]
    back: u8,
    /// Pixels across.
    width: Option<u32>,
    #[serde(default)]
    ground: Ground,
}

/// The cloth on its loom as an edit would make it, for the hand that is still on it. Nothing is saved.
pub(crate) async fn preview(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<PreviewAsked>,
    visitor: Visitor,
    headers: HeaderMap,
    Sent(sent): Sent<EditSent>,
) -> Answer<Response> {
    let lossy = takes_jpeg(&headers);
    bench
        .draw(&visitor, move |bench| {
            let look =
                Look::new(surface(asked.back), None, asked.width, false).ok_or_else(no_such_picture)?;
            match edits::would_be(bench, &id, &sent, Units::default())? {
                Ok(known) => {
                    let look = look.on(asked.ground.colour());
                    Ok(file(&look.once(&known.study).map_err(too_large)?, lossy))
                }
                Err(problem) => Ok(problem.refuse()),
            }
        })
        .await
}

/// A finished piece as it lies in the book of all pieces.
#[derive(Debug, Deserialize)]
pub(crate) struct SwatchAsked {
    /// The head if it is missing.
    rev: Option<String>,
    #[serde(default)]
    ground: Ground,
}

/// A small picture of a piece.
pub(crate) async fn swatch(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<SwatchAsked>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let ((_, revision), known) = revision(bench, &id, asked.rev.as_deref())?;
            Ok(small(bench, Of::Revision(revision), &known, &asked))
        })
        .await
}

/// A small picture, as it was asked for.
pub(crate) fn small(bench: &Bench, of: Of, known: &Known, asked: &SwatchAsked) -> Response {
    let Some(swatch) = bench.swatches.get(of, asked.ground.colour(), &known.study) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let about = serde_json::json!({ "per_mm": swatch.per_mm }).to_string();
    let head = [(header::CONTENT_TYPE, "image/jpeg".to_owned()), (ABOUT.clone(), about)];
    (head, swatch.jpeg.clone()).into_response()
}
