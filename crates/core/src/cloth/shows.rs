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

/// The part of the length of a warp yarn's ends within a place that no row covers on this side: 0 to 1.
///
/// A row covers an end over its flattened thickness; rows on the other side of the end leave it open.
#[must_use]
pub fn warp_share(piece: &Piece, place: &Place, yarn: YarnId, surface: Surface, habits: &Habits) -> f64 {
    let half: Vec<f64> =
        (0..piece.wefts.len()).map(|weft| piece.thread(WeftId(weft), habits).along.mm() / 2.0).collect();
    let (mut open, mut all) = (0.0, 0.0);
    for end in place.span.ends().filter(|&end| piece.ends[end as usize].yarn == yarn) {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut covered, mut top) = (0.0, f64::NEG_INFINITY);
        for row in place.row_range() {
            let Some(pass) = piece.crossings(row).pass(end) else { continue };
            let row = piece.row(row);
            let (from, to) = (row.height.mm() - half[row.weft.0], row.height.mm() + half[row.weft.0]);
            low = low.min(from);
            high = high.max(to);
            if pass == covering(surface) {
                // Rows that cover an end lie one above the other, pressed into each other by a hard comb.
                covered += (to - from.max(top)).max(0.0);
                top = top.max(to);
            }
        }
        if low < high {
            all += high - low;
            open += high - low - covered;
        }
    }
    if all > 0.0 { (open / all).clamp(0.0, 1.0) } else { 0.0 }
}
