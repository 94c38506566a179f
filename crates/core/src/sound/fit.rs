//! Whether all rows fit within what a needle reaches.

use super::{Finding, Kind, Severity, Where};
use crate::habits::Habits;
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::quantity::Mm;

/// The piece is too tall if the upper edge of a row lies beyond the reach of the needle.
pub fn findings(piece: &Piece, habits: &Habits) -> Vec<Finding> {
    let reach = piece.loom.reach();
    let threads = (0..piece.wefts.len()).map(|weft| piece.thread(WeftId(weft), habits).along / 2.0);
    let half: Vec<Mm> = threads.collect();
    let top = |row: u32| piece.row(row).height + half[piece.row(row).weft.0];
    let height = piece.height(habits);
    // A hair's breadth of rounding must not count.
    let slightly = Mm::new(1e-6);
    let Some(row) = (0..piece.row_count()).find(|&row| top(row) > reach + slightly) else {
        return Vec::new();
    };
    vec![Finding {
        severity: Severity::Error,
        at: Where {
            rows: (row, piece.row_count() - 1),
            ends: super::all(piece),
            edge: None,
            band: Some(piece.place_of(row).band),
        },
        kind: Kind::TooTall { height, reach, row },
    }]
}
