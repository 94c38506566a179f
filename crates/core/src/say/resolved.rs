//! What became of lengths, fills and starts.

use super::{Units, length};
use crate::piece::{Piece, Resolved};

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
            Some(format!(
                "{} fills what is left: {rows}, if they lie as is likely.",
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
