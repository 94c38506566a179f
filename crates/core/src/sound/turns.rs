//! Turns that nothing holds, and turns that only a tail holds.

use super::{Finding, Kind, Severity, Where};
use crate::piece::Piece;
use crate::side::Span;
use crate::walk::{Grip, Hold, Turn, TurnState, Walk};

/// Loose turns with nothing that holds them, gathered by weft, band and edge; and each weft's first turn
/// that has only a tail to hold on to.
pub fn findings(piece: &Piece, walk: &Walk) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for turn in walk.turns() {
        match turn.held {
            _ if turn.is_open() => open(piece, turn, &mut found),
            Some(hold) if hold.grip != Grip::Yarn => by_tail(piece, turn, hold, &mut found),
            _ => {}
        }
    }
    found
}

fn open(piece: &Piece, turn: &Turn, found: &mut Vec<Finding>) {
    let band_here = piece.place_of(turn.row).band;
    let is_everywhere = turn.state == TurnState::LooseEverywhere;
    let is_grave = is_everywhere || slips_far(piece, turn);
    let slips = match turn.state {
        TurnState::LooseAtEdge { slips_to } => Some(slips_to),
        TurnState::Caught | TurnState::LooseEverywhere => None,
    };
    let known = found.iter_mut().find(|finding| {
        matches!(finding.kind, Kind::LooseTurns { weft, band, side, .. }
            if weft == turn.weft && band == band_here && side == turn.side)
    });
    if let Some(finding) = known {
        if let Kind::LooseTurns { count, everywhere, slips_to, .. } = &mut finding.kind {
            *count += 1;
            *everywhere += u32::from(is_everywhere);
            *slips_to = slips_to.or(slips);
        }
        finding.at.rows.1 = turn.row;
        if is_grave {
            finding.severity = Severity::Error;
        }
        return;
    }
    found.push(Finding {
        severity: if is_grave { Severity::Error } else { Severity::Warning },
        at: Where {
            rows: (turn.since, turn.row),
            ends: Span::new(turn.end.min(slips.unwrap_or(turn.end)), turn.end.max(slips.unwrap_or(turn.end)))
                .unwrap_or_else(|| super::all(piece)),
            edge: Some(turn.side),
            band: Some(band_here),
        },
        kind: Kind::LooseTurns {
            weft: turn.weft,
            band: band_here,
            side: turn.side,
            count: 1,
            everywhere: u32::from(is_everywhere),
            slips_to: slips,
            first: (turn.since, turn.row),
        },
    });
}

/// Whether a loop slips in over most of its row: no more is left of the row than what hangs out.
fn slips_far(piece: &Piece, turn: &Turn) -> bool {
    let TurnState::LooseAtEdge { slips_to } = turn.state else { return false };
    2 * turn.end.abs_diff(slips_to) > piece.crossings(turn.row).span().len()
}

fn by_tail(piece: &Piece, turn: &Turn, hold: Hold, found: &mut Vec<Finding>) {
    let kind = Kind::HeldByTail {
        weft: turn.weft,
        other: hold.weft,
        side: turn.side,
        grip: hold.grip,
        row: turn.row,
    };
    if found.iter().any(|finding| finding.kind.is_about_same(&kind)) {
        return;
    }
    found.push(Finding {
        severity: Severity::Note,
        at: Where {
            rows: (turn.since, turn.row),
            ends: Span::new(turn.end, turn.end).unwrap_or_else(|| super::all(piece)),
            edge: Some(turn.side),
            band: Some(piece.place_of(turn.row).band),
        },
        kind,
    });
}
