//! What the objects have in common.

use fellmark_core::colour::{LineColour, Srgb, readable_on};
use fellmark_core::piece::Piece;
use fellmark_core::plan::BandId;
use fellmark_core::quantity::{Estimate, Mm};
use fellmark_core::sound::Where;
use serde::Serialize;

/// The version of all objects; it grows when a field changes its meaning or goes.
pub const SCHEMA: u32 = 1;

/// What letters on a colour are read best in: `ink` or `paper`.
#[must_use]
pub fn letters_on(colour: Srgb) -> &'static str {
    match readable_on(colour) {
        LineColour::Ink => "ink",
        LineColour::Paper => "paper",
    }
}

/// The plan that an object is about.
#[derive(Debug, Clone, Serialize)]
pub struct PlanJson {
    /// The piece's name.
    pub name: String,
    /// Number of ends.
    pub ends: u32,
    /// Number of rows.
    pub rows: u32,
}

impl PlanJson {
    pub(crate) fn of(piece: &Piece) -> PlanJson {
        PlanJson { name: piece.name.clone(), ends: piece.end_count(), rows: piece.row_count() }
    }
}

/// A prediction.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct EstimateJson {
    /// The value to plan with.
    pub likely: f64,
    /// The lower end of the spread.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// What it rests on: `model`, `habit`, `model and habit` or `measured`.
    pub basis: &'static str,
}

impl EstimateJson {
    pub(crate) fn of(estimate: Estimate<f64>, basis: &'static str) -> EstimateJson {
        let Estimate { likely, low, high, .. } = estimate;
        EstimateJson { likely: rounded(likely), low: rounded(low), high: rounded(high), basis }
    }

    pub(crate) fn mm(estimate: Estimate<Mm>) -> EstimateJson {
        let basis = fellmark_core::say::rests_on(&estimate);
        EstimateJson::of(estimate.map(Mm::mm), basis)
    }
}

/// Thousandths are more than any of these figures is good for; fewer digits keep the objects readable.
pub(crate) fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// Where something lies.
#[derive(Debug, Clone, Serialize)]
pub struct PlaceJson {
    /// First and last row.
    pub rows: [u32; 2],
    /// First and last end.
    pub ends: [u32; 2],
    /// `left`, `right` or null.
    pub edge: Option<&'static str>,
    /// The band's name or null.
    pub band: Option<String>,
}

impl PlaceJson {
    pub(crate) fn of(at: &Where, piece: &Piece) -> PlaceJson {
        PlaceJson {
            rows: [at.rows.0 + 1, at.rows.1 + 1],
            ends: [at.ends.first() + 1, at.ends.last() + 1],
            edge: at.edge.map(fellmark_core::say::side),
            band: at.band.map(|band| band_name(piece, band)),
        }
    }
}

pub(crate) fn band_name(piece: &Piece, band: BandId) -> String {
    piece.places.iter().find(|place| place.band == band).map_or_else(String::new, |place| place.name.clone())
}
