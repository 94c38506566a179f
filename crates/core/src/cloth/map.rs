//! From a point of the cloth to the row and the end that lie there.

use super::{Across, Cloth};
use crate::piece::Piece;
use crate::quantity::Mm;

/// A crossing of the cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spot {
    /// The row, counted from 0.
    pub row: u32,
    /// The end, counted from 0.
    pub end: u32,
}

/// The end that is nearest, and of the rows that cover it the one that is seen there: the nearest that passes
/// over the end if the point lies on its strand, else the nearest of all.
pub(super) fn point(cloth: &Cloth, piece: &Piece, x: Mm, y: Mm) -> Option<Spot> {
    let along = x / cloth.spacing();
    let last = f64::from(cloth.end_count() - 1);
    // Half a spacing beyond the outer ends still belongs to them.
    if !(-0.5..=last + 0.5).contains(&along) || !(0.0..f64::INFINITY).contains(&y.mm()) {
        return None;
    }
    let end = along.round().clamp(0.0, last) as u32;
    let mut nearest: Option<(Mm, u32)> = None;
    let mut shown: Option<(Mm, u32)> = None;
    let keep = |best: &mut Option<(Mm, u32)>, off: Mm, row: u32| {
        if best.is_none_or(|(known, _)| off < known) {
            *best = Some((off, row));
        }
    };
    for row in 0..cloth.row_count() {
        let Some(height) = height(cloth, row, end, x) else { continue };
        let off = (height - y).abs();
        keep(&mut nearest, off, row);
        if piece.grid.over(row, end) == Some(true) && off <= cloth.thread(row).spread() / 2.0 {
            keep(&mut shown, off, row);
        }
    }
    let (off, row) = nearest?;
    // Above the fell and beside the cloth there is nothing.
    let inside = off <= cloth.thread(row).spread() / 2.0 || y <= cloth.fell_at(end);
    inside.then(|| Spot { row: shown.map_or(row, |(_, row)| row), end })
}

/// The height of a row at a point across near an end, if it covers the end.
fn height(cloth: &Cloth, row: u32, end: u32, x: Mm) -> Option<Mm> {
    let lie = cloth.row(row);
    let on = lie.at(Across::End(end))?;
    let off = (x - cloth.spacing() * f64::from(end)) / (cloth.spacing() / 2.0);
    let side = if off < 0.0 { end.checked_sub(1).map(Across::Gap) } else { Some(Across::Gap(end)) };
    let beside = side.and_then(|gap| lie.at(gap)).unwrap_or(on);
    Some(on + (beside - on) * off.abs().min(1.0))
}
