//! Whether a needleful is long enough for rows as wide as a piece has them.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::Cloth;
use crate::habits::{Habit, Habits};
use crate::need::{Need, holds, row_lengths};
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::walk::Walk;

/// One finding for each weft that a needleful as long as is comfortable does not carry from a row into the next: then it is
/// joined in every row, with needlefuls that are longer than that all the same.
pub(crate) fn findings(
    piece: &Piece,
    walk: &Walk,
    cloth: &Cloth,
    need: &Need,
    habits: &Habits,
) -> Vec<Finding> {
    let longest = habits.length(Habit::Needleful);
    let mut needlefuls = need.yarns.iter().flat_map(|yarn| &yarn.needlefuls);
    // What each row takes is worked out only where some needleful weaves a single one.
    if !needlefuls.any(|one| one.from_row == one.to_row && !one.is_last) {
        return Vec::new();
    }
    let lengths = row_lengths(piece, walk, cloth, habits);
    let mut found = Vec::new();
    for weft in (0..piece.wefts.len()).map(WeftId) {
        let stretches = walk.stretches.iter().filter(|stretch| stretch.weft == weft);
        // After the last row of a stretch nothing is joined.
        let goes_on =
            stretches.flat_map(|stretch| stretch.rows.split_last().map_or(&[][..], |(_, rows)| rows));
        let takes = goes_on.map(|&row| (row, holds(piece, row, lengths[row as usize], 1, habits)));
        let most = takes.reduce(|most, next| if next.1 > most.1 { next } else { most });
        let Some((row, takes)) = most.filter(|(_, takes)| *takes > longest) else { continue };
        let at = Where {
            rows: (row, row),
            ends: piece.crossings(row).span(),
            edge: None,
            band: Some(piece.place_of(row).band),
        };
        let of_two = holds(piece, row, lengths[row as usize], 2, habits) + habits.length(Habit::Tail);
        let kind = Kind::ShortNeedleful { weft, longest, takes, of_two };
        found.push(Finding { severity: Severity::Warning, at, kind });
    }
    found
}
