//! What became of lengths, fills and starts.

use super::{Units, length};
use crate::piece::{Piece, Resolved};
use crate::plan::BandId;
use crate::quantity::Mm;

/// What was decided when the piece was made, in a line; `None` where a finding tells it.
#[must_use]
pub fn resolved(resolved: &Resolved, piece: &Piece, units: Units) -> Option<String> {
    let band = |band| super::band(piece, band);
    match *resolved {
        Resolved::Ends { ends } => Some(format!("The width takes {ends} ends.")),
        Resolved::Rows { band: b, rows, height } => {
            let rows = super::counted(rows, "row", "rows");
            Some(format!("{}: {rows}, about {}.", super::sentence(&band(b)), length(height, units)))
        }
        Resolved::Fill { rows: 0, .. } | Resolved::TouchAsleep { .. } => None,
        Resolved::Fill { band: b, rows, .. } => {
            let rows = super::counted(rows, "row", "rows");
            // How many it comes to the ruler says.
            let keep = above(piece, b).map_or_else(String::new, |room| {
                format!("; leave {} for what comes above", length(room, units))
            });
            Some(format!(
                "{} fills what is left: {rows}, if they lie as is likely{keep}.",
                super::sentence(&band(b))
            ))
        }
        Resolved::StartedOnNext { place } => {
            let place = &piece.places[place.0];
            let row = place.first_row + 1;
            Some(format!(
                "{} begins on its next row at row {row}, since the row below has its first opening.",
                super::sentence(&place.name)
            ))
        }
    }
}

/// How much what comes above a band takes; `None` where nothing does.
fn above(piece: &Piece, band: BandId) -> Option<Mm> {
    let last = piece.places.iter().rfind(|place| place.band == band)?.row_range().end.checked_sub(1)?;
    let room = piece.rows.last()?.height - piece.row(last).height;
    (room > Mm::ZERO).then_some(room)
}
