//! Whether rows bend a close warp so much that it tightens more than its yarn bears: a frame lets nothing off.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::size;
use crate::habits::Habits;
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::racetrack::Crossed;

/// A warp that stretches by more than this part of what breaks it is too tight to weave on. Common practice, no source.
const MUCH: f64 = 0.5;

/// One finding, where the rows take more warp than the frame has.
pub(crate) fn findings(piece: &Piece, habits: &Habits) -> Option<Finding> {
    // Where the ends leave room for both yarns they lie straight, and most do: the rest isn't worked out for them.
    let warp = piece.warp_thread(habits);
    let drawn_in = piece.spacing() * (1.0 - habits.ratio(crate::habits::Habit::DrawIn));
    let wefts = (0..piece.wefts.len()).map(WeftId);
    let straight = |weft| Crossed::of(&warp, drawn_in, &piece.thread(weft, habits)).stay_straight();
    if wefts.into_iter().all(straight) {
        return None;
    }
    let likely = size::likely(piece, habits);
    let by = likely.course.warp_taken;
    let stretch = by / piece.loom.turn_to_turn.value;
    // The yarn that bears least is the one that breaks.
    let weakest = piece.ends.iter().map(|end| end.yarn);
    let weakest = weakest.min_by(|a, b| {
        let breaks = |yarn: &crate::plan::YarnId| piece.yarns[yarn.0].fibre.kin().breaks_at();
        breaks(a).total_cmp(&breaks(b))
    })?;
    let breaks_at = piece.yarns[weakest.0].fibre.kin().breaks_at();
    (stretch > MUCH * breaks_at).then(|| Finding {
        severity: Severity::Warning,
        at: Where::everywhere(piece),
        kind: Kind::WarpTightens { yarn: weakest, woven: likely.on_loom.length, by, stretch, breaks_at },
    })
}
