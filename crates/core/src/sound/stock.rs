//! Whether there is enough of each yarn.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::Cloth;
use crate::habits::Habits;
use crate::need::{Need, YarnNeed, row_lengths};
use crate::piece::Piece;
use crate::quantity::Mm;
use crate::walk::Walk;

/// Yarns of which there is less than the upper end of what the piece may take: a warning where the likely
/// need is more than there is, a note where only the spread reaches past it.
pub fn findings(piece: &Piece, walk: &Walk, cloth: &Cloth, need: &Need, habits: &Habits) -> Vec<Finding> {
    need.yarns.iter().filter_map(|yarn| of_yarn(piece, walk, cloth, yarn, habits)).collect()
}

fn of_yarn(piece: &Piece, walk: &Walk, cloth: &Cloth, need: &YarnNeed, habits: &Habits) -> Option<Finding> {
    let have = need.have?;
    if need.total.high <= have {
        return None;
    }
    let severity = if need.total.likely > have { Severity::Warning } else { Severity::Note };
    let row = runs_out_in(piece, walk, cloth, need, have, habits);
    let at = match row {
        Some(row) => Where {
            rows: (row, row),
            ends: piece.crossings(row).span(),
            edge: None,
            band: Some(piece.place_of(row).band),
        },
        None => Where::everywhere(piece),
    };
    let kind = Kind::RunsOut { yarn: need.yarn, short: need.total.high - have, row };
    Some(Finding { severity, at, kind })
}

/// The row in which the yarn is used up, at the upper end of the need; `None` where the warp and the
/// header take it all.
/// What goes into tails, joins and rests is spread over the rows.
fn runs_out_in(
    piece: &Piece,
    walk: &Walk,
    cloth: &Cloth,
    need: &YarnNeed,
    have: Mm,
    habits: &Habits,
) -> Option<u32> {
    let left = have - need.warp.high - need.header.high;
    if left < Mm::ZERO {
        return None;
    }
    let mine: Vec<(u32, Mm)> = (0..)
        .zip(row_lengths(piece, walk, cloth, habits))
        .filter(|&(row, _)| piece.wefts[piece.row(row).weft.0].yarn == need.yarn)
        .map(|(row, length)| (row, length.sum() * f64::from(piece.wefts[piece.row(row).weft.0].strands)))
        .collect();
    let rows: Mm = mine.iter().map(|&(_, length)| length).sum();
    let scale = need.weft.high / rows;
    let mut used = Mm::ZERO;
    mine.into_iter()
        .find(|&(_, length)| {
            used += length * scale;
            used > left
        })
        .map(|(row, _)| row)
}
