//! Whether there is enough of each yarn.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::Cloth;
use crate::habits::Habits;
use crate::need::{Need, YarnNeed, row_lengths};
use crate::piece::Piece;
use crate::quantity::{Estimate, Mm};
use crate::walk::{Step, Walk};

/// Yarns of which there is less than the upper end of what the piece may take: a fault where the least that it takes
/// is more than there is, a warning where the likely need is, a note where only the spread reaches past it.
pub fn findings(piece: &Piece, walk: &Walk, cloth: &Cloth, need: &Need, habits: &Habits) -> Vec<Finding> {
    need.yarns.iter().filter_map(|yarn| of_yarn(piece, walk, cloth, yarn, habits)).collect()
}

/// Tells it at the loom too, where a needleful is cut: before the first of a yarn that runs out or may, and before the one
/// with which it does.
pub(crate) fn tell(walk: &mut Walk, need: &Need, findings: &[Finding]) {
    for finding in findings {
        let Kind::RunsOut { yarn, short, row } = finding.kind else { continue };
        let surely = short.low > Mm::ZERO;
        let mine = || need.yarns.iter().filter(|need| need.yarn == yarn).flat_map(|need| &need.needlefuls);
        // Several needles may take turns with it: the row says by its weft whose needleful it is.
        let weft = row.and_then(|row| Some(walk.stretches.get(walk.rows.get(row as usize)?.stretch)?.weft));
        let first = mine().map(|one| one.from_row).min();
        let last = mine()
            .filter(|one| weft == Some(one.weft) && row.is_some_and(|row| one.from_row <= row))
            .map(|one| one.from_row)
            .max();
        let (Some(first), last) = (first, last) else { continue };
        let told = [Some(first).filter(|_| last != Some(first)), last];
        for (at, last) in told.into_iter().zip([false, true]) {
            let Some(walked) = at.and_then(|at| walk.rows.get_mut(at as usize)) else { continue };
            let cut =
                walked.before.iter().position(|step| matches!(step, Step::Begin { .. } | Step::Join { .. }));
            walked.before.insert(cut.unwrap_or(0), Step::Scarce { yarn, row, surely, last });
        }
    }
}

fn of_yarn(piece: &Piece, walk: &Walk, cloth: &Cloth, need: &YarnNeed, habits: &Habits) -> Option<Finding> {
    let have = need.have?;
    if need.total.high <= have.low {
        return None;
    }
    let surely = need.total.low > have.high;
    let severity = match need.total.likely > have.likely {
        _ if surely => Severity::Error,
        true => Severity::Warning,
        false => Severity::Note,
    };
    // Where there may be enough it is the most that it takes which tells how far it goes.
    let end = |all: Estimate<Mm>| if surely { all.likely } else { all.high };
    let there = if surely { have.likely } else { have.low };
    let row = runs_out_in(piece, walk, cloth, need, there, habits, end);
    let at = match row {
        Some(row) => Where {
            rows: (row, row),
            ends: piece.crossings(row).span(),
            edge: None,
            band: Some(piece.place_of(row).band),
        },
        None => Where::everywhere(piece),
    };
    let missing = |long: Mm, there: Mm| (long - there).max(Mm::ZERO);
    let short = Estimate {
        likely: missing(need.total.likely, have.likely),
        low: missing(need.total.low, have.high),
        high: missing(need.total.high, have.low),
        basis: need.total.basis,
    };
    let kind = Kind::RunsOut { yarn: need.yarn, short, row };
    Some(Finding { severity, at, kind })
}

/// The row in which the yarn is used up, at one end of what it is estimated to take; `None` where the warp and the
/// header take it all.
/// What goes into tails, joins and rests is spread over the rows.
fn runs_out_in(
    piece: &Piece,
    walk: &Walk,
    cloth: &Cloth,
    need: &YarnNeed,
    have: Mm,
    habits: &Habits,
    end: impl Fn(Estimate<Mm>) -> Mm,
) -> Option<u32> {
    let left = have - end(need.warp) - end(need.header);
    if left < Mm::ZERO {
        return None;
    }
    let mine: Vec<(u32, Mm)> = (0..)
        .zip(row_lengths(piece, walk, cloth, habits))
        .filter(|&(row, _)| piece.wefts[piece.row(row).weft.0].yarn == need.yarn)
        .map(|(row, length)| (row, length.sum() * f64::from(piece.wefts[piece.row(row).weft.0].strands)))
        .collect();
    let rows: Mm = mine.iter().map(|&(_, length)| length).sum();
    let scale = end(need.weft) / rows;
    let mut used = Mm::ZERO;
    mine.into_iter()
        .find(|&(_, length)| {
            used += length * scale;
            used > left
        })
        .map(|(row, _)| row)
}
