//! All pieces in one file, out and in.

use crate::answer::{Answer, SentBytes};
use crate::bench::Bench;
use crate::came;
use crate::events::Notice;
use crate::visitor::Visitor;
use axum::Json;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use fellmark_store::PieceInfo;
use serde_json::{Value, json};
use std::io::Cursor;

pub(crate) async fn take_out(State(bench): State<Bench>) -> Answer<Response> {
    bench
        .work(|bench| {
            let mut archive = Cursor::new(Vec::new());
            bench.store.export(&mut archive)?;
            let about = [
                (header::CONTENT_TYPE, "application/zip"),
                (header::CONTENT_DISPOSITION, "attachment; filename=\"fellmark-pieces.zip\""),
            ];
            Ok((about, archive.into_inner()).into_response())
        })
        .await
}

/// Takes an archive in; what is known already stays as it is. Answers what came that wasn't here.
pub(crate) async fn take_in(
    State(bench): State<Bench>,
    visitor: Visitor,
    SentBytes(bytes): SentBytes,
) -> Answer<Json<Value>> {
    bench
        .work(move |bench| {
            let brought = bench.store.import(Cursor::new(bytes), &visitor.by);
            // Also where it stopped midway: what came before that is here.
            bench.notices.tell(Notice::All { all: true });
            let brought = brought?;
            let name = |piece: &PieceInfo| {
                let text = || bench.store.revision(piece.head).ok().map(|revision| revision.text);
                bench.studies.figures(piece.head, text).name
            };
            let said = came::said(&brought, &bench.store.pieces()?, &name);
            let came = brought.total;
            Ok(Json(json!({
                "pieces": came.pieces,
                "revisions": came.revisions,
                "weavings": came.weavings,
                "ticks": came.ticks,
                "moved_on": came.moved_on,
                "said": said,
            })))
        })
        .await
}
