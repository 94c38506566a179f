//! The rows as a printed sheet has them: what is done before each, which needle from where, over and under what, and what is
//! done after it; those that come again once.

use crate::answer::{Answer, Query};
use crate::bench::Bench;
use crate::pictures::revision;
use crate::views::UnitsWord;
use axum::Json;
use axum::extract::{Path, State};
use fellmark_core::say::{self, Section, Units};
use fellmark_core::study::Study;
use fellmark_core::walk::Told;
use fellmark_picture::Drawing;
use fellmark_report::StepJson;
use serde::{Deserialize, Serialize};
use std::ops::Range;

#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// The head if it is missing.
    rev: Option<String>,
    #[serde(default)]
    units: UnitsWord,
}

/// The rows from the bottom.
#[derive(Debug, Serialize)]
pub(crate) struct SheetJson {
    /// How the rows are to be read and what is done with each, a sentence each.
    before: Vec<String>,
    drawings: Vec<DrawnJson>,
    sections: Vec<SectionJson>,
    /// What comes after the last row, a sentence or two each.
    off_the_loom: Vec<String>,
}

/// A drawing that a page has room for.
#[derive(Debug, Serialize)]
struct DrawnJson {
    /// First and last row; null: the whole piece on its frame.
    rows: Option<[u32; 2]>,
    /// The same in words.
    words: Option<String>,
}

/// Rows under one heading.
#[derive(Debug, Serialize)]
struct SectionJson {
    /// The band, or the bands that come again in it.
    bands: String,
    /// What follows in the heading: which of the band's places, and the rows.
    rows: String,
    edge_habit: Option<String>,
    told: Vec<ToldJson>,
}

#[derive(Debug, Serialize)]
#[serde(untagged)]
enum ToldJson {
    Row(RowLine),
    Again {
        as_others: String,
        /// Where a group of rows begins again.
        begins_again: Option<String>,
        /// What is done at some of these rows alone.
        at_their_rows: Vec<String>,
    },
}

#[derive(Debug, Serialize)]
struct RowLine {
    number: u32,
    /// Which needle comes from where, over which ends where they are not all, and over and under.
    words: String,
    /// Without what is done before every row.
    before: Vec<String>,
    /// Without what is done after every row.
    after: Vec<String>,
}

pub(crate) async fn get(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer<Json<SheetJson>> {
    bench
        .work(move |bench| {
            let known = revision(bench, &id, asked.rev.as_deref())?.1;
            let (study, units) = (&known.study, asked.units.units());
            let sections = say::told_once(&study.piece, &study.walk, units);
            let comes_again =
                sections.iter().flat_map(|one| &one.told).any(|told| matches!(told, Told::Again { .. }));
            let mut before: Vec<String> =
                [&say::BEFORE_ROWS[..], &say::FIRST_MET].concat().into_iter().map(str::to_owned).collect();
            if comes_again {
                before.extend(say::AS_OTHERS.map(str::to_owned));
            }
            let rows = 0..study.piece.row_count();
            before.extend(say::measuring(&study.piece, &study.walk, rows, units));
            let drawing = Drawing { units, ..Drawing::default() };
            let drawings =
                fellmark_picture::pages(study, &drawing, &sections).into_iter().map(drawn).collect();
            Ok(Json(SheetJson {
                before,
                drawings,
                sections: sections.iter().map(|one| section(study, one, units)).collect(),
                off_the_loom: say::off_the_loom(study, units),
            }))
        })
        .await
}

fn drawn(rows: Option<Range<u32>>) -> DrawnJson {
    DrawnJson { words: rows.as_ref().map(say::drawn_rows), rows: rows.map(|rows| [rows.start + 1, rows.end]) }
}

fn section(study: &Study, section: &Section, units: Units) -> SectionJson {
    let [bands, rows] = say::headed(&study.piece, section);
    let of_row = |row: u32| {
        let of = fellmark_report::row(study, row, units);
        RowLine {
            number: of.number,
            words: say::row_listed(&of.weft, of.from, of.over_ends.as_deref(), &of.words),
            before: told(of.before),
            after: told(of.after),
        }
    };
    let one = |told: &Told| match told {
        Told::Row(row) => ToldJson::Row(of_row(*row)),
        Told::Again { rows, of } => ToldJson::Again {
            as_others: say::as_others(rows, of),
            begins_again: say::begins_again(rows, of),
            at_their_rows: say::at_their_rows(&study.piece, &study.walk, rows, units),
        },
    };
    SectionJson {
        bands,
        rows,
        edge_habit: section.place.and_then(|place| say::edge_habit(&study.piece, &study.walk, place)),
        told: section.told.iter().map(one).collect(),
    }
}

fn told(steps: Vec<StepJson>) -> Vec<String> {
    steps.into_iter().filter(|step| !step.routine).map(|step| step.words).collect()
}
