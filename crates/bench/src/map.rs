//! Where rows and ends lie, so that a page can tell what a finger touches and show where it is, without working
//! anything out.

use crate::answer::{Answer, Query, Refusal};
use crate::bench::Bench;
use crate::pictures::revision;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use fellmark_core::quantity::Mm;
use fellmark_core::study::Study;
use serde::{Deserialize, Serialize};

/// More crossings than a page is told of one by one.
const MOST: usize = 200_000;

#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    /// The head if it is missing.
    rev: Option<String>,
}

/// Where everything lies, seen from the front: rows and ends from 1, heights in hundredths of a millimetre.
#[derive(Debug, Serialize)]
pub(crate) struct MapJson {
    /// From one end to the next.
    spacing: i64,
    rows: Vec<RowLine>,
    ends: Vec<EndLine>,
}

#[derive(Debug, Serialize)]
struct RowLine {
    band: String,
    /// The row's number within the band, as touches count.
    band_row: u32,
    /// After how many rows the band's weave is as it was; null where it never is, or is woven by hand.
    every: Option<u32>,
    /// The first row of the band that is like this one in its repeat.
    from: u32,
    weft: String,
    /// Of its yarn, as `#rrggbb`.
    colour: String,
    /// `o` over, `u` under, `.` not woven in this row, from the left.
    crossings: String,
}

#[derive(Debug, Serialize)]
struct EndLine {
    /// Of its yarn, as `#rrggbb`.
    colour: String,
    /// The rows that cover it from the bottom up, each with its height.
    lies: Vec<(u32, i64)>,
    /// What a finger finds: from each height up, this row.
    found: Vec<(i64, u32)>,
    /// Above this there is nothing.
    top: i64,
}

pub(crate) async fn get(
    State(bench): State<Bench>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer<Json<MapJson>> {
    bench
        .work(move |bench| {
            let known = revision(bench, &id, asked.rev.as_deref())?.1;
            map(&known.study).map(Json).ok_or_else(|| {
                Refusal::new(
                    StatusCode::UNPROCESSABLE_ENTITY,
                    "This piece is too large to be touched crossing by crossing.",
                    "Change it by its bands, or in its text.",
                )
            })
        })
        .await
}

fn map(study: &Study) -> Option<MapJson> {
    let (piece, cloth) = (&study.piece, &study.cloth);
    if piece.row_count() as usize * piece.end_count() as usize > MOST {
        return None;
    }
    let hundredths = |height: Mm| (height.mm() * 100.0).round() as i64;
    let rows = (0..piece.row_count()).map(|number| {
        let row = piece.row(number);
        let place = piece.places.get(row.place.0);
        let crossings = (0..piece.end_count()).map(|end| match piece.grid.over(number, end) {
            Some(true) => 'o',
            Some(false) => 'u',
            None => '.',
        });
        let every = place.and_then(|place| place.repeat).map(|(_, rows)| rows).filter(|rows| *rows > 0);
        RowLine {
            band: place.map_or_else(String::new, |place| place.name.clone()),
            band_row: row.band_row + 1,
            every,
            from: every.map_or(row.band_row, |every| row.band_row % every) + 1,
            weft: piece.wefts.get(row.weft.0).map_or_else(String::new, |weft| weft.name.clone()),
            colour: piece.yarn_of(row.weft).colour.to_string(),
            crossings: crossings.collect(),
        }
    });
    let ends = (0..piece.end_count()).map(|end| {
        let spots = cloth.spots(piece, end);
        let yarn = piece.ends.get(end as usize).and_then(|end| piece.yarns.get(end.yarn.0));
        EndLine {
            colour: yarn.map_or_else(String::new, |yarn| yarn.colour.to_string()),
            lies: spots.lies.iter().map(|&(row, height)| (row + 1, hundredths(height))).collect(),
            found: spots.found.iter().map(|&(from, row)| (hundredths(from), row + 1)).collect(),
            top: hundredths(spots.top),
        }
    });
    Some(MapJson { spacing: hundredths(cloth.spacing()), rows: rows.collect(), ends: ends.collect() })
}
