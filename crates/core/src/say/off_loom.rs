//! What comes after the last row.

use super::{Units, counted, likely_sides, list, rows, side, weft};
use crate::cloth::size::Size;
use crate::piece::Piece;
use crate::plan::{Finish, WeftId};
use crate::side::Side;
use crate::walk::{Step, Walk};

/// Tails that are named one by one; of more the rows are told between which they hang.
const NAMED: usize = 4;

/// What is to be done when all rows are woven, in this order: the tails, off the frame, and what makes it a finished
/// piece. (Common practice, no source.)
#[must_use]
pub fn off_the_loom(piece: &Piece, walk: &Walk, size: &Size, units: Units) -> Vec<String> {
    let wefts = (0..piece.wefts.len()).filter_map(|k| tails(piece, walk, WeftId(k)));
    let tails: Vec<String> = wefts.collect();
    let then = likely_sides(size.finished, units);
    let finish = match (size.finish, piece.wanted) {
        (Finish::AsItIs, _) => format!("It is left as it is: about {then}."),
        (Finish::Steamed, _) => format!("Steam it, or press it damp. Then it will be about {then}."),
        (Finish::Washed, _) => format!("Wash it, and let it dry by itself. Then it will be about {then}."),
        (Finish::Pinned, Some(wanted)) => {
            format!("Wash it, and pin it out to dry at {}.", super::wanted(wanted, units))
        }
        (Finish::Pinned, None) => format!("Wash it, and pin it out to dry. Then it will be about {then}."),
    };
    vec![
        format!("Knot or darn in the tails: {}.", tails.join("; ")),
        "Take it off the frame: lift its loops off the notches one by one, or cut them at the bars and knot them, \
         so that the first and the last row stay where they are."
            .to_owned(),
        finish,
    ]
}

/// Where a weft's tails hang.
fn tails(piece: &Piece, walk: &Walk, of: WeftId) -> Option<String> {
    let mut hang: Vec<(u32, Side)> = Vec::new();
    for (row, number) in walk.rows.iter().zip(0..) {
        for step in row.before.iter().chain(&row.after) {
            if let Step::Begin { weft, side, .. } | Step::Cut { weft, side, .. } = *step
                && weft == of
            {
                hang.push((number, side));
            }
        }
    }
    let (first, last) = (hang.first()?.0, hang.last()?.0);
    let name = weft(piece, of);
    if hang.len() > NAMED {
        let many = u32::try_from(hang.len()).unwrap_or(u32::MAX);
        return Some(format!("{} of {name}, in {}", counted(many, "tail", "tails"), rows(first, last)));
    }
    let at_side = |at: Side| {
        let numbers: Vec<String> =
            hang.iter().filter(|(_, side)| *side == at).map(|(row, _)| (row + 1).to_string()).collect();
        let rows = if numbers.len() == 1 { "row" } else { "rows" };
        let numbers = list(&numbers);
        (!numbers.is_empty()).then(|| format!("at the {} of {rows} {numbers}", side(at)))
    };
    let begun = hang.first()?.1;
    let each: Vec<String> = [begun, begun.other()].into_iter().filter_map(at_side).collect();
    Some(format!("{name} {}", each.join(" and ")))
}
