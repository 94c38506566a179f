//! Whether the finished size is the one that the plan asks for.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::size::Size;
use crate::piece::Piece;

/// Width and length that are asked for and lie outside the spread of what they will be.
pub fn findings(piece: &Piece, size: &Size) -> Vec<Finding> {
    let Some(wanted) = piece.wanted else { return Vec::new() };
    let sides = [(true, wanted.width, size.finished.width), (false, wanted.length, size.finished.length)];
    let off = sides.into_iter().filter_map(|(across, wanted, is)| {
        let wanted = wanted?;
        (wanted < is.low || wanted > is.high).then(|| Finding {
            severity: Severity::Warning,
            at: Where::everywhere(piece),
            kind: Kind::OtherSize { across, wanted, likely: is.likely },
        })
    });
    off.collect()
}
