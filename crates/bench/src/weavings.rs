//! Weavings: begun, followed row by row, ticked.
//!
//! A weaving follows its piece's head for as long as the head would have every row that is done just as it was
//! woven. Where it wouldn't, the weaving stays with the revision it followed before, and the answer says which
//! rows differ: the weaver chooses.

use crate::answer::{Answer, Query, Refusal, Sent};
use crate::bench::Bench;
use crate::events::Notice;
use crate::pieces::{piece_id, revision_id};
use crate::studies::Known;
use crate::views::{self, Measure, PlaceLine};
use crate::visitor::Visitor;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use fellmark_core::needle::Needles;
use fellmark_core::plan::WeftId;
use fellmark_core::say;
use fellmark_core::study::Study;
use fellmark_core::weaving::{
    Counts, Difference, Fact, Log, Moment, Rows, TickId, Woven, differences, pace, place,
};
use fellmark_report::{RowJson, WindingJson};
use fellmark_store::{
    Head, NewTick, NewWeaving, Parted, PieceId, RevisionId, Weaving, WeavingId, read_tick_id,
};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

fn weaving_id(text: &str) -> Answer<WeavingId> {
    text.parse().map_err(|_| Refusal::not_there("weaving"))
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Begin {
    #[serde(default)]
    mirrored: bool,
}

pub(crate) async fn begin(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    visitor: Visitor,
    Sent(begin): Sent<Begin>,
) -> Answer<(StatusCode, Json<Value>)> {
    let id = piece_id(&id)?;
    bench
        .work(move |bench| {
            let head = bench.store.head(id)?;
            let revision = head.revision.id;
            let known = bench.studies.of(revision, &head.text).map_err(|_| unreadable())?;
            let counts = Counts::of(&known.woven(begin.mirrored).piece);
            let begun = bench.store.weave(NewWeaving {
                id: None,
                revision,
                counts,
                mirrored: begin.mirrored,
                by: visitor.by,
            })?;
            if begun.new {
                bench.notices.tell(Notice::weaving(begun.id, id, 0));
            }
            let status = if begun.new { StatusCode::CREATED } else { StatusCode::OK };
            Ok((status, Json(json!({ "id": begun.id.to_string() }))))
        })
        .await
}

fn unreadable() -> Refusal {
    Refusal::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "The plan can't be read.",
        "Open the piece and mend its text.",
    )
}

/// A weaving and the revision whose rows it goes on with.
pub(crate) struct Followed {
    pub(crate) weaving: Weaving,
    revision: RevisionId,
    known: Arc<Known>,
    /// Where the head is another: it, and the rows done that it would have otherwise.
    below: Option<(RevisionId, Vec<Difference>)>,
}

impl Followed {
    pub(crate) fn study(&self) -> &Study {
        self.known.woven(self.weaving.info.mirrored)
    }
}

fn followed(bench: &Bench, id: WeavingId) -> Answer<Followed> {
    let weaving = bench.store.weaving(id)?;
    let head = bench.store.head(weaving.info.piece)?;
    following(bench, weaving, &head)
}

pub(crate) fn following(bench: &Bench, weaving: Weaving, head: &Head) -> Answer<Followed> {
    let (at, mirrored) = (head.revision.id, weaving.info.mirrored);
    let mut differing = Vec::new();
    if let Ok(known) = bench.studies.of(at, &head.text) {
        let study = known.woven(mirrored);
        differing = differences(&weaving.log.rows(), &study.piece, &study.walk);
        if differing.is_empty() {
            return Ok(Followed { weaving, revision: at, known, below: None });
        }
    }
    let (revision, known) = last_agreeing(bench, &weaving, head.revision.parent)?;
    let below = (revision != at).then_some((at, differing));
    Ok(Followed { weaving, revision, known, below })
}

/// How far back along the piece's history a state is looked for that has the rows as they were woven.
const BACK: u32 = 32;

/// The latest state of the piece, from a revision back, that would have every row that is done just as it was
/// woven; if there is none close by, the one that the weaving is known to have followed.
fn last_agreeing(
    bench: &Bench,
    weaving: &Weaving,
    mut from: Option<RevisionId>,
) -> Answer<(RevisionId, Arc<Known>)> {
    let (rows, mirrored) = (weaving.log.rows(), weaving.info.mirrored);
    for _ in 0..BACK {
        let Some(at) = from.filter(|at| *at != weaving.plan.revision) else { break };
        let revision = bench.store.revision(at)?;
        if let Ok(known) = bench.studies.of(at, &revision.text) {
            let study = known.woven(mirrored);
            if differences(&rows, &study.piece, &study.walk).is_empty() {
                return Ok((at, known));
            }
        }
        from = revision.info.parent;
    }
    let at = weaving.plan.revision;
    Ok((at, of_revision(bench, weaving.info.piece, at)?))
}

/// What a weaving shows: its piece, the revision that its rows are of, whether it is mirrored, and what is known of it.
pub(crate) fn shown(bench: &Bench, id: &str) -> Answer<(PieceId, RevisionId, bool, Arc<Known>)> {
    let Followed { weaving, revision, known, .. } = followed(bench, weaving_id(id)?)?;
    Ok((weaving.info.piece, revision, weaving.info.mirrored, known))
}

fn of_revision(bench: &Bench, piece: PieceId, revision: RevisionId) -> Answer<Arc<Known>> {
    let kept = bench.store.revision(revision)?;
    if kept.info.piece != piece {
        return Err(Refusal::not_there("revision"));
    }
    bench.studies.of(revision, &kept.text).map_err(|_| unreadable())
}

#[derive(Debug, Serialize)]
pub(crate) struct WeavingJson {
    id: String,
    piece: String,
    /// The revision that the rows are of.
    rev: String,
    name: String,
    mirrored: bool,
    /// What is done before the first row: how the warp is wound.
    winding: Vec<WindingJson>,
    rows: Vec<RowJson>,
    wefts: Vec<WeftLine>,
    bands: Vec<PlaceLine>,
    /// What comes after the last row, a sentence or two each.
    off_the_loom: Vec<String>,
    started: i64,
    #[serde(flatten)]
    state: StateJson,
    changed_below: Option<ChangedJson>,
}

#[derive(Debug, Serialize)]
struct WeftLine {
    name: String,
    yarn: String,
    colour: String,
    /// What letters on its colour are read best in: `ink` or `paper`.
    letters: &'static str,
}

/// Where a weaving is.
#[derive(Debug, Serialize)]
pub(crate) struct StateJson {
    /// The rows done.
    done: Vec<u32>,
    /// What is left at the weaver's own pace, in words; null where that is not known.
    left: Option<String>,
    #[serde(flatten)]
    next: NextJson,
}

/// What comes next in a weaving.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct NextJson {
    /// The row to weave next; null when all are done.
    pub(crate) next_row: Option<u32>,
    /// Where the needles wait before it.
    needles: Vec<NeedleJson>,
}

#[derive(Debug, Clone, Serialize)]
struct NeedleJson {
    weft: String,
    side: &'static str,
}

/// The piece has changed below the fell.
#[derive(Debug, Serialize)]
struct ChangedJson {
    /// The piece's head.
    rev: String,
    /// The rows done that it would have otherwise.
    rows: Vec<u32>,
    /// The rows to take out, the last one first, so that the weaving can go on with the piece as it is now.
    unpick: Vec<u32>,
    /// What is so, in words.
    words: String,
    /// The way on by taking rows out, in words; null where there is none.
    take_out: Option<String>,
    /// The way on with a piece of its own, in words.
    part: &'static str,
}

impl ChangedJson {
    fn of(head: RevisionId, differing: &[Difference], done: &Rows<'_>) -> ChangedJson {
        let rows: Vec<u32> = differing.iter().map(|difference| difference.row + 1).collect();
        // What was woven after a row lies on it, and comes out before it.
        let lowest = rows.iter().min().copied();
        let above = done.keys().map(|row| row + 1).filter(|row| lowest.is_some_and(|lowest| *row >= lowest));
        let mut unpick: Vec<u32> = above.collect();
        unpick.sort_unstable_by(|a, b| b.cmp(a));
        ChangedJson {
            rev: head.to_string(),
            words: say::changed_below(&rows),
            take_out: say::take_out(&unpick),
            part: say::part(),
            rows,
            unpick,
        }
    }
}

pub(crate) async fn get(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(measure): Query<Measure>,
) -> Answer<Json<WeavingJson>> {
    let id = weaving_id(&id)?;
    bench
        .work(move |bench| {
            let followed = followed(bench, id)?;
            let (study, info) = (followed.study(), &followed.weaving.info);
            let piece = &study.piece;
            let wefts = piece.wefts.iter().enumerate().map(|(k, needle)| {
                let yarn = piece.yarn_of(WeftId(k));
                WeftLine {
                    name: needle.name.clone(),
                    yarn: yarn.name.clone(),
                    colour: yarn.colour.to_string(),
                    letters: fellmark_report::letters_on(yarn.colour),
                }
            });
            Ok(Json(WeavingJson {
                id: id.to_string(),
                piece: info.piece.to_string(),
                rev: followed.revision.to_string(),
                name: piece.name.clone(),
                mirrored: info.mirrored,
                winding: fellmark_report::winding(study, measure.units()),
                rows: fellmark_report::rows(study, 1..=piece.row_count(), measure.units()).rows,
                wefts: wefts.collect(),
                bands: views::places(study),
                off_the_loom: say::off_the_loom(study, measure.units()),
                started: info.made_at.0,
                state: state(&followed.weaving.log, study),
                changed_below: followed
                    .below
                    .as_ref()
                    .map(|(head, differing)| ChangedJson::of(*head, differing, &followed.weaving.log.rows())),
            }))
        })
        .await
}

fn state(log: &Log, study: &Study) -> StateJson {
    let rows = log.rows();
    let undone = study.piece.row_count() - place(&rows, &study.piece).done;
    StateJson {
        done: rows.keys().map(|row| row + 1).collect(),
        left: pace(log).and_then(|pace| say::left(pace, undone)),
        next: NextJson::of(&rows, study),
    }
}

impl NextJson {
    /// What comes next by the count of rows alone.
    pub(crate) fn by_count(done: &Rows<'_>, count: u32) -> NextJson {
        let next = (0..count).find(|row| !done.contains_key(row));
        NextJson { next_row: next.map(|row| row + 1), needles: Vec::new() }
    }

    pub(crate) fn of(rows: &Rows<'_>, study: &Study) -> NextJson {
        let piece = &study.piece;
        let next = place(rows, piece).next;
        let mut needles = Needles::start(piece.wefts.iter().map(|needle| needle.from));
        for row in piece.rows.iter().take(next.unwrap_or(piece.row_count()) as usize) {
            needles.weave(row.weft);
        }
        let wait = piece.wefts.iter().enumerate().map(|(k, needle)| NeedleJson {
            weft: needle.name.clone(),
            side: say::side(needles.waits(WeftId(k))),
        });
        NextJson { next_row: next.map(|row| row + 1), needles: wait.collect() }
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Part {
    /// The piece's head that is to become a piece of its own.
    rev: String,
}

/// Makes what a piece has become since a weaving was begun a piece of its own; the weaving's piece goes back to
/// what is on the loom.
pub(crate) async fn part(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(id): Path<String>,
    Sent(sent): Sent<Part>,
) -> Answer<(StatusCode, Json<Value>)> {
    let (id, rev) = (weaving_id(&id)?, revision_id(&sent.rev)?);
    bench
        .work(move |bench| {
            let followed = followed(bench, id)?;
            let piece = followed.weaving.info.piece;
            let meanwhile = || {
                Refusal::new(
                    StatusCode::CONFLICT,
                    "The piece was changed meanwhile.",
                    "Load the weaving again and look at what it says now.",
                )
            };
            let (base, _) = followed.below.filter(|(head, _)| *head == rev).ok_or_else(meanwhile)?;
            let Parted::Apart { new, head } =
                bench.store.part(piece, base, followed.revision, &visitor.by)?
            else {
                return Err(meanwhile());
            };
            bench.notices.tell(Notice::piece(new.piece, new.revision));
            bench.notices.tell(Notice::piece(piece, head.revision.id));
            Ok((StatusCode::CREATED, Json(json!({ "id": new.piece.to_string() }))))
        })
        .await
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct TicksSent {
    ticks: Vec<TickSent>,
    /// The revision that the rows were shown from; if it is missing, the one that the weaving follows.
    #[serde(default)]
    rev: Option<String>,
    /// What the device's own clock says as it sends this, in milliseconds since 1970: the ticks' moments are of
    /// that clock. If it is missing, they are taken for the moments of this computer's.
    #[serde(default)]
    now: Option<i64>,
}

impl TicksSent {
    /// A moment of the device's clock, by this computer's.
    fn here(&self, at: i64, clock: Moment) -> Moment {
        let Some(now) = self.now else { return Moment(at) };
        let shifted = i128::from(at) - i128::from(now) + i128::from(clock.0);
        Moment(shifted.clamp(i64::MIN.into(), i64::MAX.into()) as i64)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct TickSent {
    /// 32 hexadecimal digits, hyphens between them or not, drawn at random for this tick.
    id: String,
    row: u32,
    done: bool,
    /// When it was made, in milliseconds since 1970, by the clock of the device that sends it.
    #[serde(default)]
    at: Option<i64>,
}

pub(crate) async fn tick(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    visitor: Visitor,
    Sent(sent): Sent<TicksSent>,
) -> Answer<Json<StateJson>> {
    let id = weaving_id(&id)?;
    bench
        .work(move |bench| {
            let mut followed = followed(bench, id)?;
            let (piece, last) = (followed.weaving.info.piece, followed.weaving.plan.revision);
            let shown = sent.rev.as_deref().map(revision_id).transpose()?.unwrap_or(followed.revision);
            let known = if shown == followed.revision {
                Arc::clone(&followed.known)
            } else {
                of_revision(bench, piece, shown)?
            };
            let as_shown = known.woven(followed.weaving.info.mirrored);
            let ticks = new_ticks(bench, &sent, &followed.weaving, as_shown, &visitor.by)?;
            let (ticked, log) =
                bench.store.tick_onto(id, ticks, std::mem::take(&mut followed.weaving.log))?;
            if shown == followed.revision && shown != last {
                bench.store.follow(id, shown, &Counts::of(&as_shown.piece), &visitor.by)?;
            }
            if ticked.iter().any(|tick| tick.new) {
                let seq = log.len() as u64;
                bench.notices.tell(Notice::weaving(id, piece, seq));
            }
            Ok(Json(state(&log, followed.study())))
        })
        .await
}

/// The ticks as the store takes them. One that is known already says what it said: the plan may have another
/// row there by now, but what was woven was woven.
fn new_ticks(
    bench: &Bench,
    sent: &TicksSent,
    weaving: &Weaving,
    study: &Study,
    by: &str,
) -> Answer<Vec<NewTick>> {
    let clock = bench.clock();
    let known: BTreeMap<TickId, _> = weaving.log.iter().collect();
    let tick = |tick: &TickSent| {
        let refuse =
            |message: String, help: &str| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, message, help);
        let no_row = || {
            let message =
                format!("There is no row {}: the piece has rows 1 to {}.", tick.row, study.piece.row_count());
            refuse(message, "Load the weaving again.")
        };
        let id = read_tick_id(&tick.id.replace('-', "").to_ascii_lowercase()).map_err(|_| {
            refuse(format!("{:?} is no id.", tick.id), "An id is 32 digits, 0 to 9 and a to f.")
        })?;
        let row = tick.row.checked_sub(1).ok_or_else(no_row)?;
        let before = known.get(&id).filter(|before| before.row == row);
        let fact = match before.map(|before| &before.fact) {
            Some(Fact::Done(woven)) if tick.done => Fact::Done(woven.clone()),
            _ if tick.done => Fact::Done(Woven::of(&study.piece, &study.walk, row).ok_or_else(no_row)?),
            _ => Fact::TakenBack,
        };
        let at = tick.at.map(|at| sent.here(at, clock));
        Ok(NewTick { id, row, fact, at, by: by.to_owned() })
    };
    sent.ticks.iter().map(tick).collect()
}
