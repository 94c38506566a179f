//! What of the cloth's yarns lies open to the eye on one side.

use crate::habits::Habits;
use crate::piece::{Piece, Place};
use crate::plan::{WeftId, YarnId};
use crate::side::{Pass, Surface};

/// How the weft passes an end that it covers on this side.
fn covering(surface: Surface) -> Pass {
    match surface {
        Surface::Front => Pass::Over,
        Surface::Back => Pass::Under,
    }
}

/// The part of a place's crossings in which a weft yarn lies over the warp on this side: 0 to 1.
#[must_use]
pub fn weft_share(piece: &Piece, place: &Place, yarn: YarnId, surface: Surface) -> f64 {
    let (mut shows, mut all) = (0_u64, 0_u64);
    for row in place.row_range() {
        let crossings = piece.crossings(row);
        let (ends, over) = (crossings.span().len(), crossings.ends_over());
        all += u64::from(ends);
        if piece.wefts[piece.row(row).weft.0].yarn == yarn {
            shows += u64::from(if covering(surface).is_over() { over } else { ends - over });
        }
    }
    shows as f64 / all.max(1) as f64
}

/// The part of the length of a warp yarn's ends within a place that no row covers on this side: 0 to 1. It is
/// measured from the centre of the first row to that of the last, since what lies beyond depends on the
/// neighbours.
///
/// Where rows have room they lie as wide as the yarn is free, however flat they are pressed where they touch;
/// rows on the other side of the end leave it open.
#[must_use]
pub fn warp_share(piece: &Piece, place: &Place, yarn: YarnId, surface: Surface, habits: &Habits) -> f64 {
    let half: Vec<f64> = (0..piece.wefts.len())
        .map(WeftId)
        .map(|weft| piece.thread(weft, habits).free.mm() * f64::from(piece.wefts[weft.0].strands) / 2.0)
        .collect();
    let (mut open, mut all) = (0.0, 0.0);
    for end in place.span.ends().filter(|&end| piece.ends[end as usize].yarn == yarn) {
        let passes = || {
            place.row_range().filter_map(|row| {
                let pass = piece.crossings(row).pass(end)?;
                Some((piece.row(row).height.mm(), half[piece.row(row).weft.0], pass == covering(surface)))
            })
        };
        let low = passes().map(|(height, ..)| height).fold(f64::INFINITY, f64::min);
        let high = passes().map(|(height, ..)| height).fold(f64::NEG_INFINITY, f64::max);
        if low == high {
            // One row, or two at one height: the end is covered there or not.
            let width = passes().map(|(_, half, _)| 2.0 * half).fold(0.0, f64::max);
            all += width;
            open += if passes().any(|(.., covers)| covers) { 0.0 } else { width };
        } else if low < high {
            // Rows that cover an end lie one above the other, pressed into each other where they are close.
            let (mut covered, mut top) = (0.0, low);
            for (height, half, _) in passes().filter(|&(.., covers)| covers) {
                let edge = (height + half).min(high);
                covered += (edge - top.max(height - half)).max(0.0);
                top = top.max(edge);
            }
            all += high - low;
            open += high - low - covered;
        }
    }
    if all > 0.0 { (open / all).clamp(0.0, 1.0) } else { 0.0 }
}
