//! Yarns that shrink unlike when the cloth is finished.

use super::{Finding, Kind, Severity, Unlike, Where};
use crate::cloth::size::shrink;
use crate::habits::Habits;
use crate::piece::Piece;
use crate::plan::YarnId;

/// A difference of so many hundredths is told, and one of so many disappoints. Habit, no source: a hand's breadth
/// that loses 3 mm more one way than the other is seen.
const TOLD: f64 = 0.03;
const DISAPPOINTS: f64 = 0.06;

/// The worst pair of yarns between warp and weft, among the ends, and among the wefts.
pub fn findings(piece: &Piece, habits: &Habits) -> Vec<Finding> {
    let warp = used(piece, piece.ends.iter().map(|end| end.yarn));
    let weft = used(piece, piece.rows.iter().map(|row| piece.wefts[row.weft.0].yarn));
    let part = |yarn: YarnId, across: bool| {
        let kin = piece.yarns[yarn.0].fibre.kin();
        shrink::of_yarn(kin, piece.finish, habits)[usize::from(across)]
    };
    let sets = [
        (Unlike::WarpAndWeft, (&warp, false), (&weft, true)),
        (Unlike::Ends, (&warp, false), (&warp, false)),
        (Unlike::Wefts, (&weft, true), (&weft, true)),
    ];
    let mut found = Vec::new();
    for (how, (one, one_across), (other, other_across)) in sets {
        let mut worst: Option<(f64, Kind)> = None;
        for (&a, &b) in one.iter().flat_map(|a| other.iter().map(move |b| (a, b))) {
            let (pa, pb) = (part(a, one_across), part(b, other_across));
            let gap = (pa - pb).abs();
            if worst.as_ref().is_none_or(|(known, _)| gap > *known) {
                let (more, less, parts) = if pa >= pb { (a, b, [pa, pb]) } else { (b, a, [pb, pa]) };
                worst = Some((gap, Kind::ShrinksUnlike { more, less, how, parts }));
            }
        }
        if let Some((gap, kind)) = worst.filter(|(gap, _)| *gap >= TOLD) {
            let severity = if gap >= DISAPPOINTS { Severity::Warning } else { Severity::Note };
            found.push(Finding { severity, at: Where::everywhere(piece), kind });
        }
    }
    found
}

/// The yarns among these, in the order of the plan.
fn used(piece: &Piece, yarns: impl Iterator<Item = YarnId>) -> Vec<YarnId> {
    let mut seen = vec![false; piece.yarns.len()];
    yarns.for_each(|yarn| seen[yarn.0] = true);
    (0..piece.yarns.len()).map(YarnId).filter(|yarn| seen[yarn.0]).collect()
}
