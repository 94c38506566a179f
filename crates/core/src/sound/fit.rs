//! Whether all rows fit within what a needle reaches, and whether they may not.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::Cloth;
use crate::cloth::size::Size;
use crate::piece::{Piece, Resolved};
use crate::quantity::Mm;

/// A hair's breadth of rounding must not count.
const HAIR: Mm = Mm::new(1e-3);

/// How much taller than is likely a piece may come out, at the very most: where even that fits nothing else is asked.
const MOST: f64 = 1.5;

/// The piece is too tall if some row lies beyond the reach of the needle anywhere.
pub fn findings(piece: &Piece, cloth: &Cloth) -> Vec<Finding> {
    let row = cloth.last_combable().map_or(0, |last| last + 1);
    if row >= piece.row_count() {
        return Vec::new();
    }
    vec![Finding {
        severity: Severity::Error,
        at: from(piece, row),
        kind: Kind::TooTall { height: cloth.highest(), reach: piece.reach(), row },
    }]
}

/// Whether the rows fit and come so near to the reach of the needle that it depends on their spread whether they do.
#[must_use]
pub fn is_near(piece: &Piece, cloth: &Cloth) -> bool {
    let fits = cloth.last_combable().is_some_and(|last| last + 1 == piece.row_count());
    fits && cloth.highest() * MOST > piece.reach() && !fills(piece)
}

/// The piece may not fit if it is likely to, and is too tall at the upper end of its spread.
pub fn may_not(piece: &Piece, cloth: &Cloth, size: &Size) -> Option<Finding> {
    let (height, reach) = (size.on_loom.length, piece.reach());
    if !is_near(piece, cloth) || height.high <= reach + HAIR {
        return None;
    }
    let taller = height.high / height.likely;
    let beyond = |row: &u32| piece.row(*row).height * taller > reach;
    let row = (0..piece.row_count()).find(beyond).unwrap_or(piece.row_count() - 1);
    Some(Finding {
        severity: Severity::Note,
        at: from(piece, row),
        kind: Kind::MayNotFit { height, reach, row },
    })
}

fn from(piece: &Piece, row: u32) -> Where {
    Where {
        rows: (row, piece.row_count() - 1),
        ends: super::all(piece),
        edge: None,
        band: Some(piece.place_of(row).band),
    }
}

/// Whether a band fills what is left: then the rows always come near to the reach, and how many fill it the loom says.
fn fills(piece: &Piece) -> bool {
    piece.resolved.iter().any(|resolved| matches!(resolved, Resolved::Fill { .. }))
}
