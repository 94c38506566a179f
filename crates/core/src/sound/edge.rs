//! Edge ends that no turn wraps over a long stretch.

use super::{Finding, Kind, Severity, Where};
use crate::piece::Piece;
use crate::quantity::Mm;
use crate::side::{Side, Span};
use crate::walk::{TurnState, Walk};

/// The longest stretch of an edge end that may go unwrapped. Common practice, no source.
const LONGEST: Mm = Mm::new(15.0);

/// The longest stretch of each edge end that no turn wraps, where it is long. A caught turn wraps the end,
/// and so does a crossing of two wefts on either side of it.
pub fn findings(piece: &Piece, walk: &Walk) -> Vec<Finding> {
    Side::BOTH.into_iter().filter_map(|side| unwrapped(piece, walk, side)).collect()
}

fn unwrapped(piece: &Piece, walk: &Walk, side: Side) -> Option<Finding> {
    let end = super::all(piece).edge(side);
    let covers = |row: &u32| piece.crossings(*row).span().contains(end);
    let first = (0..piece.row_count()).find(covers)?;
    let last = (0..piece.row_count()).rfind(covers)?;
    let wraps = walk
        .turns()
        .filter(|turn| turn.side == side && turn.end == end && !turn.is_open())
        .filter(|turn| turn.state == TurnState::Caught || turn.held.is_some())
        .map(|turn| (turn.since, turn.row))
        .chain([(last, last)]);
    let height = |row: u32| piece.row(row).height;
    let mut from = first;
    let mut longest = (Mm::ZERO, first, first);
    for (since, row) in wraps {
        if since > from && height(since) - height(from) > longest.0 {
            longest = (height(since) - height(from), from, since);
        }
        from = from.max(row);
    }
    let (length, from, to) = longest;
    (length > LONGEST).then(|| Finding {
        severity: Severity::Warning,
        at: Where {
            rows: (from, to),
            ends: Span::new(end, end).unwrap_or_else(|| super::all(piece)),
            edge: Some(side),
            band: None,
        },
        kind: Kind::UnwrappedEdge { side, length },
    })
}
