//! What making the piece came upon: a fill that holds less than a repeat, touches that sleep.

use super::{Finding, Kind, Severity, Where};
use crate::piece::{Piece, Resolved};
use crate::plan::BandId;

/// Findings from what was resolved when the piece was made.
pub fn findings(piece: &Piece) -> Vec<Finding> {
    piece.resolved.iter().filter_map(|resolved| of(piece, resolved)).collect()
}

fn of(piece: &Piece, resolved: &Resolved) -> Option<Finding> {
    let (severity, band, kind) = match *resolved {
        Resolved::Fill { band, rows, repeat: Some(repeat) } if rows < repeat => {
            (Severity::Warning, band, Kind::FillTooShort { band, rows, repeat })
        }
        Resolved::Fill { band, rows: 0, repeat: None } => {
            (Severity::Warning, band, Kind::FillTooShort { band, rows: 0, repeat: 1 })
        }
        Resolved::TouchAsleep { band, touch } => (Severity::Note, band, Kind::TouchAsleep { band, touch }),
        _ => return None,
    };
    Some(Finding { severity, at: of_band(piece, band), kind })
}

/// The first place of a band; the whole piece where the band came to no rows.
fn of_band(piece: &Piece, band: BandId) -> Where {
    let place = piece.places.iter().find(|place| place.band == band);
    place.map_or(Where { band: Some(band), ..Where::everywhere(piece) }, |place| Where {
        rows: (place.first_row, place.first_row + place.rows - 1),
        ends: place.span,
        edge: None,
        band: Some(band),
    })
}
