//! Changes of a piece: edits, another text, undo and redo. Each names the revision it was made on.

use crate::answer::{Answer, Query, Refusal, Sent};
use crate::bench::Bench;
use crate::events::Notice;
use crate::pieces::{piece_id, revision_id};
use crate::stale;
use crate::studies::{self, Known, ProblemJson};
use crate::views::{self, Measure};
use crate::visitor::Visitor;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use fellmark_core::plan::Edit;
use fellmark_core::say::{self, Units};
use fellmark_note::ApplyError;
use fellmark_report::{EditJson, LineJson};
use fellmark_store::{Change, Changed, Head, PieceId, RevisionId};
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;

/// How often an edit is made again on a head that others move meanwhile.
const TRIES: u32 = 8;

const MEANWHILE: &str = "This was changed meanwhile, in another place.";
const LOOK_AGAIN: &str = "Look at the piece as it is now, and do it again if you still want it.";

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct EditSent {
    base: String,
    edit: serde_json::Value,
}

impl EditSent {
    /// The edit, where it is one.
    fn edit(&self) -> Answer<EditJson> {
        EditJson::from_json(&self.edit)
            .map_err(|error| Refusal::new(StatusCode::BAD_REQUEST, error.message, error.help))
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct TextSent {
    base: String,
    text: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct BaseSent {
    base: String,
}

pub(crate) async fn edit(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
    visitor: Visitor,
    Sent(sent): Sent<EditSent>,
) -> Answer<Response> {
    let (id, base, edit) = (piece_id(&id)?, revision_id(&sent.base)?, sent.edit()?);
    bench
        .work(move |bench| {
            for _ in 0..TRIES {
                let made = match make(bench, id, base, &edit, measure.units())? {
                    Made::Edited(made) => made,
                    Made::Unread(problem) => return Ok(problem.refuse()),
                    Made::Stale(head) => return stale(bench, id, &head, measure),
                };
                let label = serde_json::to_string(&edit).unwrap_or_default();
                let revision = bench.new_revision();
                if made.changes {
                    // What it looks like is drawn while the disk is waited for.
                    draw_ahead(bench, id, revision, &made.known);
                }
                let change = Change {
                    id: Some(revision),
                    base: made.on,
                    text: made.known.text.clone(),
                    label,
                    by: visitor.by.clone(),
                };
                let moved = fellmark_report::moved(&made.edit, &made.now.plan);
                match save(bench, id, change, &made.known)? {
                    Changed::Stale(_) => {}
                    Changed::Saved(head) => {
                        bench.notices.tell(Notice::piece(id, head.revision.id));
                        return shown(bench, id, &head, measure, Done { said: made.said, moved });
                    }
                    // A line that changes places with its twin has moved all the same.
                    Changed::Nothing(head) => {
                        return shown(bench, id, &head, measure, Done { said: String::new(), moved });
                    }
                }
            }
            stale(bench, id, &bench.store.head(id)?, measure)
        })
        .await
}

/// The piece as an edit would make it; nothing is saved.
pub(crate) async fn preview(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
    Sent(sent): Sent<EditSent>,
) -> Answer<Response> {
    let (id, base, edit) = (piece_id(&id)?, revision_id(&sent.base)?, sent.edit()?);
    bench
        .work(move |bench| {
            let made = match make(bench, id, base, &edit, measure.units())? {
                Made::Edited(made) => made,
                Made::Unread(problem) => return Ok(problem.refuse()),
                Made::Stale(head) => return stale(bench, id, &head, measure),
            };
            let Edited { now, edit, known, words, said, .. } = &made;
            Ok(Json(views::preview(now, edit, known, words, said, measure)).into_response())
        })
        .await
}

/// What an edit would make of a piece; nothing is saved. The problem, where its text would be no plan.
pub(crate) fn would_be(
    bench: &Bench,
    id: &str,
    sent: &EditSent,
    units: Units,
) -> Answer<Result<Arc<Known>, Arc<ProblemJson>>> {
    match make(bench, piece_id(id)?, revision_id(&sent.base)?, &sent.edit()?, units)? {
        Made::Edited(made) => Ok(Ok(made.known)),
        Made::Unread(problem) => Ok(Err(problem)),
        Made::Stale(_) => Err(Refusal::new(StatusCode::CONFLICT, MEANWHILE, LOOK_AGAIN)),
    }
}

/// An edit, made on the head but not saved.
struct Edited {
    on: RevisionId,
    /// The head as it is.
    now: Arc<Known>,
    edit: Edit,
    known: Arc<Known>,
    /// Whether the text becomes another.
    changes: bool,
    /// What is to be done, in words.
    words: String,
    /// What was done, in words.
    said: String,
}

/// What became of an edit.
enum Made {
    Edited(Edited),
    /// The text is no plan, or would be none.
    Unread(Arc<ProblemJson>),
    /// What the edit is about has changed since its base.
    Stale(Head),
}

fn make(bench: &Bench, id: PieceId, base: RevisionId, sent: &EditJson, units: Units) -> Answer<Made> {
    let head = bench.store.head(id)?;
    let now = match bench.studies.of(head.revision.id, &head.text) {
        Ok(now) => now,
        Err(problem) => return Ok(Made::Unread(problem)),
    };
    let edit = named(sent, &now, units);
    if head.revision.id != base {
        let still = edit.as_ref().is_ok_and(|edit| still_meant(bench, id, base, edit, sent, &now));
        if !still {
            bench.store.revision(base)?;
            return Ok(Made::Stale(head));
        }
    }
    let edit = edit?;
    let text = fellmark_note::apply(&now.text, &edit).map_err(|error| unfit(&error))?;
    Ok(match bench.studies.tried(&text) {
        Ok(known) => {
            let (words, said) = (say::edit(&edit, &now.plan), say::done(&edit, &now.plan));
            let changes = text != head.text;
            Made::Edited(Edited { on: head.revision.id, now, edit, changes, known, words, said })
        }
        Err(problem) => Made::Unread(problem),
    })
}

/// The edit that was sent, for the plan of a revision.
fn named(edit: &EditJson, known: &Known, units: Units) -> Answer<Edit> {
    edit.on(&known.plan).map_err(|error| {
        let error = error.in_units(units);
        Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, error.message, error.help)
    })
}

/// Whether an edit of an earlier revision means the same on the head.
fn still_meant(
    bench: &Bench,
    id: PieceId,
    base: RevisionId,
    on_head: &Edit,
    sent: &EditJson,
    head: &Known,
) -> bool {
    let Ok(revision) = bench.store.revision(base) else { return false };
    if revision.info.piece != id {
        return false;
    }
    let Ok(was) = bench.studies.of(base, &revision.text) else { return false };
    sent.on(&was.plan).is_ok_and(|edit| edit == *on_head && stale::untouched(&edit, &was.plan, &head.plan))
}

fn unfit(error: &ApplyError) -> Refusal {
    let (message, help) = error.words();
    Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, message, help)
}

fn save(bench: &Bench, id: PieceId, change: Change, known: &Arc<Known>) -> Answer<Changed> {
    let changed = bench.store.edit(id, change)?;
    if let Changed::Saved(head) = &changed {
        bench.studies.keep(head.revision.id, known);
    }
    Ok(changed)
}

pub(crate) async fn text(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
    visitor: Visitor,
    Sent(sent): Sent<TextSent>,
) -> Answer<Response> {
    let (id, base) = (piece_id(&id)?, revision_id(&sent.base)?);
    bench
        .work(move |bench| {
            let known = match studies::study(&sent.text) {
                Ok(known) => known,
                Err(problem) => return Ok(problem.refuse()),
            };
            let label = json!({ "edit": "text" }).to_string();
            let change = Change { id: None, base, text: known.text.clone(), label, by: visitor.by };
            let changed = save(bench, id, change, &known)?;
            answer(bench, id, changed, measure)
        })
        .await
}

pub(crate) async fn undo(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
    visitor: Visitor,
    Sent(sent): Sent<BaseSent>,
) -> Answer<Response> {
    let (id, base) = (piece_id(&id)?, revision_id(&sent.base)?);
    bench.work(move |bench| answer(bench, id, bench.store.undo(id, base, &visitor.by)?, measure)).await
}

pub(crate) async fn redo(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
    visitor: Visitor,
    Sent(sent): Sent<BaseSent>,
) -> Answer<Response> {
    let (id, base) = (piece_id(&id)?, revision_id(&sent.base)?);
    bench.work(move |bench| answer(bench, id, bench.store.redo(id, base, &visitor.by)?, measure)).await
}

fn answer(bench: &Bench, id: PieceId, changed: Changed, measure: Measure) -> Answer<Response> {
    match changed {
        Changed::Saved(head) => {
            tell(bench, id, &head);
            shown(bench, id, &head, measure, Done::default())
        }
        Changed::Nothing(head) => shown(bench, id, &head, measure, Done::default()),
        Changed::Stale(conflict) => stale(bench, id, &conflict.head, measure),
    }
}

/// Tells who looks on that a piece has changed; its picture is drawn meanwhile.
fn tell(bench: &Bench, id: PieceId, head: &Head) {
    if let Ok(known) = bench.studies.of(head.revision.id, &head.text) {
        draw_ahead(bench, id, head.revision.id, &known);
    }
    bench.notices.tell(Notice::piece(id, head.revision.id));
}

/// Draws what a piece looks like at a revision, before anyone asks.
fn draw_ahead(bench: &Bench, id: PieceId, revision: RevisionId, known: &Arc<Known>) {
    let (at_work, known) = (bench.clone(), Arc::clone(known));
    tokio::task::spawn_blocking(move || at_work.kept.ahead(id, revision, &known.study));
}

/// What was done to a piece.
#[derive(Default)]
struct Done {
    /// In words; empty where that is not told.
    said: String,
    /// Where the line stands that was moved.
    moved: Option<LineJson>,
}

/// The piece, and what was done to it.
fn shown(bench: &Bench, id: PieceId, head: &Head, measure: Measure, done: Done) -> Answer<Response> {
    let mut piece = views::piece(bench, id, head, measure)?;
    if let Some(fields) = piece.as_object_mut() {
        if !done.said.is_empty() {
            fields.insert("said".into(), done.said.into());
        }
        if let Some(moved) = done.moved {
            fields.insert("moved".into(), json!(moved));
        }
    }
    Ok(Json(piece).into_response())
}

/// The piece as it is now, for who changed what is no longer there.
fn stale(bench: &Bench, id: PieceId, head: &Head, measure: Measure) -> Answer<Response> {
    let mut piece = views::piece(bench, id, head, measure)?;
    if let Some(fields) = piece.as_object_mut() {
        fields.insert("message".into(), MEANWHILE.into());
        fields.insert("help".into(), LOOK_AGAIN.into());
    }
    Ok((StatusCode::CONFLICT, Json(piece)).into_response())
}
