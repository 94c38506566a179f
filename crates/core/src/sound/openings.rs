//! The same opening in neighbouring rows.

use super::{Finding, Kind, Severity, Where};
use crate::piece::Piece;
use crate::walk::{TurnState, Walk};

/// Neighbouring rows that pass the ends alike: across the border of two bands, each its own finding, and
/// within a band, gathered. Within a band, a needle that goes straight back through its own opening is
/// told with the turns, not here.
pub fn findings(piece: &Piece, walk: &Walk) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for row in 1..piece.row_count() {
        let below = row - 1;
        if piece.crossings(below) != piece.crossings(row) {
            continue;
        }
        let (lower, upper) = (piece.row(below).place, piece.row(row).place);
        let band = piece.place_of(row).band;
        let at =
            Where { rows: (below, row), ends: piece.crossings(row).span(), edge: None, band: Some(band) };
        if lower != upper {
            let kind = Kind::SameOpeningAcross { below: lower, above: upper };
            found.push(Finding { severity: Severity::Warning, at, kind });
            continue;
        }
        let undone = walk.rows[row as usize]
            .turn
            .is_some_and(|turn| turn.since == below && turn.state == TurnState::LooseEverywhere);
        if undone {
            continue;
        }
        let known = found
            .iter_mut()
            .find(|finding| matches!(finding.kind, Kind::SameOpeningWithin { band: b, .. } if b == band));
        match known {
            Some(Finding { kind: Kind::SameOpeningWithin { count, .. }, at, .. }) => {
                *count += 1;
                at.rows.1 = row;
            }
            _ => found.push(Finding {
                severity: Severity::Note,
                at,
                kind: Kind::SameOpeningWithin { band, count: 1 },
            }),
        }
    }
    found
}
