//! Every row as a printed sheet has it: what is done before it, which needle from where, over and under what, and what is
//! done after it.

use crate::answer::{Answer, Query};
use crate::bench::Bench;
use crate::pictures::revision;
use crate::views::UnitsWord;
use axum::Json;
use axum::extract::{Path, State};
use fellmark_core::say;
use fellmark_report::StepJson;
use serde::{Deserialize, Serialize};

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
    before: Vec<&'static str>,
    rows: Vec<RowLine>,
    /// What comes after the last row, a sentence or two each.
    off_the_loom: Vec<String>,
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
            let rows = fellmark_report::rows(study, 1..=u32::MAX, units).rows;
            let line = |row: fellmark_report::RowJson| RowLine {
                number: row.number,
                words: say::row_listed(&row.weft, row.from, row.over_ends.as_deref(), &row.words),
                before: told(row.before),
                after: told(row.after),
            };
            Ok(Json(SheetJson {
                before: [&say::BEFORE_ROWS[..], &say::FIRST_MET].concat(),
                rows: rows.into_iter().map(line).collect(),
                off_the_loom: say::off_the_loom(&study.piece, &study.walk, &study.size, units),
            }))
        })
        .await
}

fn told(steps: Vec<StepJson>) -> Vec<String> {
    steps.into_iter().filter(|step| !step.routine).map(|step| step.words).collect()
}
