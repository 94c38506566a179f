//! Yarn against notches and spacing: too thick, touching, too open; and sizes that contradict each other.

use super::{Finding, Kind, Severity, Where};
use crate::habits::Habits;
use crate::piece::Piece;
use crate::plan::{WeftId, YarnId};
use crate::racetrack::Crossed;
use crate::thread::Thread;
use crate::yarn::{ThicknessConflict, WeightConflict};

/// Past this distance of the ends, over the thickness of warp and weft together, cloth slides (the cloth
/// model, section 3: about 2 to 2.5; common practice, no source). A cloth that was found too loose has 2.46 (`note/tests/trade.rs`).
pub(super) const SLEAZY: f64 = 2.4;

/// A yarn this many times as thick as a notch is wide can't be pressed into it. Common practice, no source.
const WONT_GO: f64 = 1.5;

/// Findings about the yarns, each yarn or weft once.
pub fn findings(piece: &Piece, habits: &Habits) -> Vec<Finding> {
    let everywhere = Where::everywhere(piece);
    let mut found = Vec::new();
    let mut say = |severity, kind| found.push(Finding { severity, at: everywhere, kind });
    let strands = piece.loom.strands_per_end();
    let spacing = piece.spacing();
    for (yarn, known) in (0..).map(YarnId).zip(&piece.yarns) {
        if let Some(ThicknessConflict { by_weight, by_wraps }) = habits.thickness_conflict(known) {
            say(Severity::Warning, Kind::SizesDisagree { yarn, by_weight, by_wraps });
        }
        if let Some(WeightConflict { by_label, by_hank }) = known.weight_conflict() {
            say(Severity::Warning, Kind::WeightsDisagree { yarn, by_label, by_hank });
        }
        if !piece.ends.iter().any(|end| end.yarn == yarn) {
            continue;
        }
        let end = Thread::of(known, strands, habits);
        let thickness = end.free;
        if let Some(notch) = piece.loom.notch_width.as_ref().map(|width| width.value)
            && thickness > notch
        {
            let severity = if thickness > notch * WONT_GO { Severity::Error } else { Severity::Warning };
            say(severity, Kind::TooThickForNotch { yarn, thickness, notch });
        }
        let thickness = end.side_by_side();
        if thickness >= spacing {
            say(Severity::Warning, Kind::EndsTouch { yarn, thickness, spacing });
        }
    }
    let warp = piece.warp_thread(habits);
    for weft in (0..piece.wefts.len()).map(WeftId) {
        if !piece.rows.iter().any(|row| row.weft == weft) {
            continue;
        }
        let ratio = Crossed::of(&warp, spacing, &piece.thread(weft, habits)).openness();
        if ratio > SLEAZY {
            say(Severity::Warning, Kind::OpenSett { weft, ratio });
        }
    }
    found
}
