//! What becomes of the bands when the length of one changes.

use super::edit::rows;
use crate::piece::Piece;
use crate::plan::BandId;

/// The bands that have another number of rows than before, the one that was meant first: it is among them in any case.
#[must_use]
pub fn lengthened(before: &Piece, after: &Piece, meant: BandId) -> Vec<BandId> {
    let all = before.places.iter().chain(&after.places).map(|place| place.band);
    let mut bands = vec![meant];
    for band in all {
        if !bands.contains(&band) && rows_of(before, band) != rows_of(after, band) {
            bands.push(band);
        }
    }
    bands
}

/// What becomes of them: "hem: 9 rows, in both places; rising-tide: 86 rows".
#[must_use]
pub fn lengths(before: &Piece, after: &Piece, meant: BandId) -> String {
    let told = |band: &BandId| {
        let places = || after.places.iter().chain(&before.places).filter(|place| place.band == *band);
        let name = places().next().map_or("", |place| place.name.as_str());
        let everywhere = super::everywhere(places().next().map_or(0, |place| place.nth.1));
        let count = match rows_of(after, *band) {
            0 => "no rows".to_owned(),
            count => rows(count),
        };
        let everywhere = everywhere.map_or_else(String::new, |all| format!(", {all}"));
        format!("{name}: {count}{everywhere}")
    };
    let told: Vec<String> = lengthened(before, after, meant).iter().map(told).collect();
    told.join("; ")
}

/// The rows of a band in each of its places.
fn rows_of(piece: &Piece, band: BandId) -> u32 {
    piece.places.iter().find(|place| place.band == band).map_or(0, |place| place.rows)
}
