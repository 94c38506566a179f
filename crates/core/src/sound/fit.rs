//! Whether all rows fit within what a needle reaches.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::Cloth;
use crate::piece::Piece;

/// The piece is too tall if some row lies beyond the reach of the needle anywhere.
pub fn findings(piece: &Piece, cloth: &Cloth) -> Vec<Finding> {
    let row = cloth.last_combable().map_or(0, |last| last + 1);
    if row >= piece.row_count() {
        return Vec::new();
    }
    vec![Finding {
        severity: Severity::Error,
        at: Where {
            rows: (row, piece.row_count() - 1),
            ends: super::all(piece),
            edge: None,
            band: Some(piece.place_of(row).band),
        },
        kind: Kind::TooTall { height: cloth.highest(), reach: piece.reach(), row },
    }]
}
