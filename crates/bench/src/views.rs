//! A piece as the page is told of it.

use crate::answer::Answer;
use crate::bench::Bench;
use crate::lies::{self, LiesJson};
use crate::standing::{self, WeavingLine};
use crate::studies::{Known, ProblemJson, Studied};
use fellmark_core::edit::drawn;
use fellmark_core::piece::PlaceId;
use fellmark_core::plan::{BandId, Edit, StackEdit};
use fellmark_core::say::{self, Units};
use fellmark_core::study::Study;
use fellmark_core::warp;
use fellmark_report::{Panels, Told, YarnJson};
use fellmark_store::{Head, PieceId};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::sync::Arc;

/// How the reader measures.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
pub(crate) struct Measure {
    #[serde(default)]
    units: UnitsWord,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum UnitsWord {
    #[default]
    Cm,
    Inch,
}

impl UnitsWord {
    pub(crate) fn units(self) -> Units {
        match self {
            UnitsWord::Cm => Units::Metric,
            UnitsWord::Inch => Units::Inch,
        }
    }
}

impl Measure {
    pub(crate) fn units(self) -> Units {
        self.units.units()
    }
}

/// A piece and what is known of it. `check` is missing, and `problem` there, where its text is no piece.
#[derive(Debug, Serialize)]
struct PieceJson<'a> {
    id: PieceWord,
    head: String,
    text: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    check: Option<&'a Told>,
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<&'a ProblemJson>,
    yarns: Vec<YarnLine>,
    places: Vec<PlaceLine>,
    /// How its warp is wound, in words.
    winding: Vec<String>,
    /// Where it lies in its picture.
    #[serde(skip_serializing_if = "Option::is_none")]
    lies: Option<LiesJson>,
    /// What its parts are now, for the panels that change them.
    #[serde(skip_serializing_if = "Option::is_none")]
    parts: Option<Panels>,
    can_undo: bool,
    can_redo: bool,
    /// Whether it is put away from the list.
    put_away: bool,
    weavings: Vec<WeavingLine>,
}

type PieceWord = String;

#[derive(Debug, Serialize)]
struct YarnLine {
    name: String,
    colour: String,
    /// What the piece takes of it; null if nothing.
    need: Option<YarnJson>,
}

#[derive(Debug, Serialize)]
pub(crate) struct PlaceLine {
    name: String,
    nth: u32,
    of: u32,
    first_row: u32,
    rows: u32,
    wefts: Vec<String>,
    edge_habit: Option<String>,
}

/// A piece at its head.
pub(crate) fn piece(bench: &Bench, id: PieceId, head: &Head, measure: Measure) -> Answer<Value> {
    let studied = bench.studies.of(head.revision.id, &head.text);
    let weavings = standing::lines(bench, bench.store.weavings(id)?, head.revision.id)?;
    let units = measure.units();
    let json = PieceJson {
        id: id.to_string(),
        head: head.revision.id.to_string(),
        text: &head.text,
        check: studied.as_ref().ok().map(|known| known.told(units)),
        problem: studied.as_ref().err().map(Arc::as_ref),
        yarns: of_known(&studied, |known| yarns(&known.study, units)),
        places: of_known(&studied, |known| places(&known.study)),
        winding: of_known(&studied, |known| winding(&known.study, units)),
        lies: studied.as_deref().ok().and_then(|known| lies::lies(known, units)),
        parts: studied.as_deref().ok().map(|known| fellmark_report::panels(&known.plan, &known.study, units)),
        can_undo: head.undo.is_some(),
        can_redo: head.redo.is_some(),
        put_away: bench.store.is_put_away(id)?,
        weavings,
    };
    Ok(serde_json::to_value(json).expect("names are texts and numbers are finite"))
}

/// A piece as an edit would make it.
#[derive(Debug, Serialize)]
pub(crate) struct PreviewJson<'a> {
    /// What is to be done, in words.
    words: &'a str,
    /// What was done, in words.
    said: &'a str,
    check: &'a Told,
    yarns: Vec<YarnLine>,
    places: Vec<PlaceLine>,
    /// The height of each place's upper border over the foot of the first row, on the loom, in mm.
    tops: Vec<f64>,
    /// Which of the places there are each was, from 0, where a line of the stack is moved; null for one that is woven more often
    /// then. Null where none is moved, or where bands come or go.
    were: Option<Vec<Option<usize>>>,
    /// What becomes of which band, where a length changes.
    lengths: Option<LengthsJson>,
}

fn were(now: &Known, would: &Known, edit: &Edit) -> Option<Vec<Option<usize>>> {
    let Edit::Stack(list, StackEdit::Move { from, to }) = edit else { return None };
    let were = fellmark_core::edit::were(
        (&now.plan, &now.study.piece),
        (&would.plan, &would.study.piece),
        *list,
        from,
        to,
    )?;
    Some(were.into_iter().map(|place| place.map(|place| place.0)).collect())
}

/// The bands whose number of rows changes.
#[derive(Debug, Serialize)]
struct LengthsJson {
    words: String,
    bands: Vec<String>,
}

fn lengths(now: &Known, would: &Known, edit: &Edit) -> Option<LengthsJson> {
    let (Edit::Length(asked, _) | Edit::BandRows(asked, _)) = *edit else { return None };
    let meant = match *edit {
        Edit::Length(_, rows) => drawn(&now.plan, asked, rows).map_or(asked, |(band, _)| band),
        _ => asked,
    };
    let (before, after) = (&now.study.piece, &would.study.piece);
    let name = |band: &BandId| now.plan.bands[band.0].name.clone();
    let bands = say::lengthened(before, after, meant).iter().map(name).collect();
    Some(LengthsJson { words: say::lengths(before, after, meant), bands })
}

pub(crate) fn preview<'a>(
    now: &Known,
    edit: &Edit,
    known: &'a Known,
    words: &'a str,
    said: &'a str,
    measure: Measure,
) -> PreviewJson<'a> {
    let units = measure.units();
    PreviewJson {
        words,
        said,
        check: known.told(units),
        yarns: yarns(&known.study, units),
        places: places(&known.study),
        tops: lies::tops(&known.study),
        were: were(now, known, edit),
        lengths: lengths(now, known, edit),
    }
}

fn winding(study: &Study, units: Units) -> Vec<String> {
    say::winding(&warp::wind(&study.piece, &study.habits), &study.piece, units)
}

fn of_known<T>(studied: &Studied, list: impl FnOnce(&Known) -> Vec<T>) -> Vec<T> {
    studied.as_deref().map_or_else(|_| Vec::new(), list)
}

fn yarns(study: &Study, units: Units) -> Vec<YarnLine> {
    let mut needs = fellmark_report::yarn(study, units).yarns;
    let line = |yarn: &fellmark_core::yarn::Yarn| YarnLine {
        name: yarn.name.clone(),
        colour: yarn.colour.to_string(),
        need: needs.iter().position(|need| need.yarn == yarn.name).map(|k| needs.swap_remove(k)),
    };
    study.piece.yarns.iter().map(line).collect()
}

/// The bands where they lie.
pub(crate) fn places(study: &Study) -> Vec<PlaceLine> {
    let piece = &study.piece;
    let line = |(k, place): (usize, &fellmark_core::piece::Place)| PlaceLine {
        name: place.name.clone(),
        nth: place.nth.0,
        of: place.nth.1,
        first_row: place.first_row + 1,
        rows: place.rows,
        wefts: place.wefts.iter().filter_map(|weft| Some(piece.wefts.get(weft.0)?.name.clone())).collect(),
        edge_habit: say::edge_habit(piece, &study.walk, PlaceId(k)),
    };
    piece.places.iter().enumerate().map(line).collect()
}
