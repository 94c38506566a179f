//! Pieces: the list, one of them, and a new one.

use crate::answer::{Answer, Nothing, Query, Refusal, Sent};
use crate::bench::Bench;
use crate::events::Notice;
use crate::examples::ExampleJson;
use crate::standing::{self, WeavingLine};
use crate::starts::{self, StartJson};
use crate::studies::{self, Figures, Known};
use crate::views::{self, Measure};
use crate::visitor::Visitor;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use fellmark_core::say;
use fellmark_core::side::Side;
use fellmark_note::start::{self, Pattern, Start, StartError};
use fellmark_store::{Listed, PieceId, PieceInfo, RevisionId};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

#[derive(Debug, Serialize)]
struct ListJson<'a> {
    pieces: Vec<LineJson>,
    /// Those that were put away.
    put_away: Vec<LineJson>,
    examples: Vec<ExampleJson<'a>>,
    starts: Vec<StartJson>,
    /// Why there is no backup of today; null where there is nothing to tell.
    no_backup: Option<TroubleJson>,
}

/// What is so, and what to do.
#[derive(Debug, Serialize)]
struct TroubleJson {
    message: String,
    help: String,
}

#[derive(Debug, Serialize)]
struct LineJson {
    id: String,
    head: String,
    /// Null where the text is no plan, as after a change by hand of the store's file.
    name: Option<String>,
    rows: Option<u32>,
    ends: Option<u32>,
    /// How much there is to mend, in words; null where there is nothing.
    to_mend: Option<String>,
    /// Milliseconds since 1970.
    updated: i64,
    weavings: Vec<WeavingLine>,
}

pub(crate) async fn list(State(bench): State<Bench>, Query(measure): Query<Measure>) -> Answer<Response> {
    bench.work(move |bench| all(bench, measure)).await
}

fn all(bench: &Bench, measure: Measure) -> Answer<Response> {
    let (mut pieces, mut put_away) = (Vec::new(), Vec::new());
    let mut woven: BTreeMap<PieceId, Vec<Listed>> = BTreeMap::new();
    for weaving in bench.store.all_weavings()? {
        woven.entry(weaving.info.piece).or_default().push(weaving);
    }
    for piece in bench.store.pieces()? {
        let to = if piece.put_away_at.is_some() { &mut put_away } else { &mut pieces };
        let weavings = woven.remove(&piece.id).unwrap_or_default();
        to.push(line(bench, &piece, weavings)?);
    }
    // What is on the loom comes first, what was woven on last before all; the others stand as they are.
    pieces.sort_by_key(|line| {
        std::cmp::Reverse(line.weavings.iter().filter_map(WeavingLine::on_the_loom).max())
    });
    let examples = bench.examples.list(measure.units()).collect();
    let no_backup = bench.store.backup_trouble().map(|(message, help)| TroubleJson { message, help });
    Ok(Json(ListJson { pieces, put_away, examples, starts: starts::list(), no_backup }).into_response())
}

fn line(bench: &Bench, piece: &PieceInfo, weavings: Vec<Listed>) -> Answer<LineJson> {
    // First, since what they are studied for serves the figures too.
    let weavings = standing::lines(bench, weavings, piece.head)?;
    let text = || bench.store.revision(piece.head).ok().map(|revision| revision.text);
    let Figures { name, piece: figures } = bench.studies.figures(piece.head, text);
    Ok(LineJson {
        id: piece.id.to_string(),
        head: piece.head.to_string(),
        name,
        rows: figures.map(|f| f.rows),
        ends: figures.map(|f| f.ends),
        to_mend: figures.filter(|f| f.to_mend > 0).map(|f| say::things_to_mend(f.to_mend)),
        updated: piece.moved_at.0,
        weavings,
    })
}

/// Puts a piece away from the list; all that it has stays. Answers with the list as it is then.
pub(crate) async fn put_away(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
    Sent(Nothing {}): Sent<Nothing>,
) -> Answer<Response> {
    let id = piece_id(&id)?;
    bench
        .work(move |bench| {
            bench.store.put_away(id)?;
            bench.notices.tell(Notice::moved(id, bench.store.head(id)?.revision.id, true));
            all(bench, measure)
        })
        .await
}

/// Brings a piece back to the list.
pub(crate) async fn bring_back(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
    Sent(Nothing {}): Sent<Nothing>,
) -> Answer<Response> {
    let id = piece_id(&id)?;
    bench
        .work(move |bench| {
            bring_back_now(bench, id)?;
            all(bench, measure)
        })
        .await
}

fn bring_back_now(bench: &Bench, id: PieceId) -> fellmark_store::Result<()> {
    bench.store.bring_back(id)?;
    bench.notices.tell(Notice::moved(id, bench.store.head(id)?.revision.id, false));
    Ok(())
}

pub(crate) async fn get(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
) -> Answer<Json<Value>> {
    let id = piece_id(&id)?;
    bench.work(move |bench| Ok(Json(views::piece(bench, id, &bench.store.head(id)?, measure)?))).await
}

/// A piece's id in an address.
pub(crate) fn piece_id(text: &str) -> Answer<PieceId> {
    text.parse().map_err(|_| Refusal::not_there("piece"))
}

/// A revision's id in a request.
pub(crate) fn revision_id(text: &str) -> Answer<RevisionId> {
    text.parse().map_err(|_| Refusal::not_there("revision"))
}

/// What a new piece is made of.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct New {
    /// An example, by name.
    example: Option<String>,
    /// A plan's text.
    text: Option<String>,
    /// A start, by its pattern; the choices below go with it, each the usual one if it is missing.
    start: Option<String>,
    name: Option<String>,
    #[serde(rename = "use")]
    purpose: Option<String>,
    notches: Option<u32>,
    pitch: Option<String>,
    turn_to_turn: Option<String>,
    clear_height: Option<String>,
    ends: Option<u32>,
    width: Option<String>,
    warp: Option<YarnChoice>,
    wefts: Option<Vec<YarnChoice>>,
    /// The side from which the needles start: `left` or `right`.
    from: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct YarnChoice {
    name: String,
    size: String,
}

pub(crate) async fn create(
    State(bench): State<Bench>,
    visitor: Visitor,
    Sent(new): Sent<New>,
) -> Answer<Response> {
    bench
        .work(move |bench| {
            let opened = match (&new.example, &new.text, &new.start) {
                (Some(name), None, None) => {
                    let text = &bench.examples.get(name)?.text;
                    open_fresh(bench, text, &visitor.by)?
                }
                (None, Some(text), None) if is_no_text(text) => return Err(no_plan(text)),
                (None, Some(text), None) => match studies::study(text) {
                    Ok(known) => bring_in(bench, &known, &visitor.by)?,
                    Err(problem) => return Ok(problem.refuse()),
                },
                (None, None, Some(pattern)) => open_fresh(bench, &new.start_text(pattern)?, &visitor.by)?,
                _ => {
                    return Err(Refusal::new(
                        StatusCode::BAD_REQUEST,
                        "This asks for no piece, or for several.",
                        "Name an example, a start or a text.",
                    ));
                }
            };
            Ok((StatusCode::CREATED, Json(json!({ "id": opened.to_string() }))).into_response())
        })
        .await
}

/// What a file of another kind begins with that holds several.
const ZIP: &str = "PK\u{3}\u{4}";

/// Whether this was a file that is none of text: a browser reads it all the same.
fn is_no_text(text: &str) -> bool {
    text.starts_with(ZIP) || text.contains(['\0', char::REPLACEMENT_CHARACTER])
}

fn no_plan(text: &str) -> Refusal {
    let (message, help) = if text.starts_with(ZIP) {
        (
            "This file is no plan but a zip file.",
            "If it holds all pieces, take it in under “Pieces from such a file”, at the end of this page.",
        )
    } else {
        ("This file is no plan: it is not written as text.", "Choose a plan's file; its name ends in .toml.")
    };
    Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, message, help)
}

/// Brings a text in that was read: the piece that has or had this text, back in the list if it was put away, or a new
/// one.
pub(crate) fn bring_in(bench: &Bench, known: &Arc<Known>, by: &str) -> fellmark_store::Result<PieceId> {
    let opened = bench.store.open_text(&known.text, by)?;
    if opened.new {
        bench.studies.keep(opened.revision, known);
        tell(bench, opened.piece, opened.revision);
    } else if bench.store.is_put_away(opened.piece)? {
        bring_back_now(bench, opened.piece)?;
    }
    Ok(opened.piece)
}

/// A piece in the list that shows exactly this text: one that does already, or a new one.
fn open_fresh(bench: &Bench, text: &str, by: &str) -> Answer<PieceId> {
    let opened = bench.store.open_fresh(text, by)?;
    if opened.new {
        tell(bench, opened.piece, opened.revision);
    } else if bench.store.is_put_away(opened.piece)? {
        bring_back_now(bench, opened.piece)?;
    }
    Ok(opened.piece)
}

fn tell(bench: &Bench, piece: PieceId, revision: RevisionId) {
    bench.notices.tell(Notice::piece(piece, revision));
}

impl New {
    fn start_text(&self, pattern: &str) -> Answer<String> {
        let refuse =
            |message: String, help: String| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, message, help);
        let known = Pattern::ALL.into_iter().find(|known| known.word() == pattern);
        let pattern = known.ok_or_else(|| {
            let words = Pattern::ALL.map(Pattern::word);
            refuse(format!("There is no start {pattern:?}."), format!("There are {}.", words.join(", ")))
        })?;
        let yarn = |yarn: &YarnChoice| (yarn.name.trim().to_owned(), yarn.size.trim().to_owned());
        let usual = Start::usual(pattern);
        let from = match self.from.as_deref() {
            None => usual.from,
            Some("left") => Side::Left,
            Some("right") => Side::Right,
            Some(other) => {
                let help = "Needles start from the left or from the right.".to_owned();
                return Err(refuse(format!("{other:?} is no side."), help));
            }
        };
        let start = Start {
            pattern,
            name: self.name.clone().unwrap_or(usual.name),
            purpose: self.purpose.clone().unwrap_or(usual.purpose),
            notches: self.notches.unwrap_or(usual.notches),
            pitch: self.pitch.clone().unwrap_or(usual.pitch),
            turn_to_turn: self.turn_to_turn.clone().unwrap_or(usual.turn_to_turn),
            clear_height: self.clear_height.clone().unwrap_or(usual.clear_height),
            ends: self.ends.unwrap_or(usual.ends),
            width: self.width.clone(),
            warp: self.warp.as_ref().map_or(usual.warp, yarn),
            wefts: self.wefts.iter().flatten().map(yarn).collect(),
            from,
        };
        start::plan(&start).map_err(|error| match error {
            StartError::Wefts { wanted, given } => refuse(
                format!(
                    "This start weaves with {wanted} wefts, and {given} {} given.",
                    if given == 1 { "was" } else { "were" }
                ),
                format!("Name {wanted}, or none."),
            ),
            StartError::Problem(problem) => refuse(problem.message, problem.help),
        })
    }
}

/// The piece's text as a file.
pub(crate) async fn plan_file(State(bench): State<Bench>, Path(id): Path<String>) -> Answer<Response> {
    let id = piece_id(&id)?;
    bench
        .work(move |bench| {
            let head = bench.store.head(id)?;
            let known = bench.studies.of(head.revision.id, &head.text);
            let name = known.map_or_else(|_| String::new(), |known| known.study.piece.name.clone());
            let file = format!("attachment; filename=\"{}.toml\"", file_name(&name));
            let about =
                [(header::CONTENT_TYPE, "application/toml".to_owned()), (header::CONTENT_DISPOSITION, file)];
            Ok((about, head.text).into_response())
        })
        .await
}

/// A name as a file may be called anywhere: "Tideline mat" becomes `tideline-mat`.
fn file_name(name: &str) -> String {
    let letters = name.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' });
    let words = letters.collect::<String>();
    let name = words.split_whitespace().collect::<Vec<_>>().join("-");
    let name: String = name.chars().take(60).collect();
    if name.is_empty() { "piece".to_owned() } else { name }
}

#[cfg(test)]
mod tests {
    use super::file_name;

    #[test]
    fn any_name_makes_a_plain_file_name() {
        assert_eq!(file_name("Tideline mat"), "tideline-mat");
        assert_eq!(file_name("../..\"\r\n; é"), "piece");
        assert_eq!(file_name("  a / b "), "a-b");
    }
}
