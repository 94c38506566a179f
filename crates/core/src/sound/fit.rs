//! Whether all rows fit within what a needle reaches.

use super::{Finding, Kind, Severity, Where};
use crate::habits::Habits;
use crate::piece::Piece;
use crate::quantity::Mm;
use crate::thread::Thread;

/// The piece is too tall if the upper edge of a row lies beyond the reach of the needle.
pub fn findings(piece: &Piece, habits: &Habits) -> Vec<Finding> {
    let reach = piece.loom.reach();
    let half: Vec<Mm> = piece
        .wefts
        .iter()
        .map(|needle| Thread::of(&piece.yarns[needle.yarn.0], needle.strands, habits).along / 2.0)
        .collect();
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
