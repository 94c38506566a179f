//! What comes after the last row.

use super::{Units, caution, counted, length, likely_sides, list, rows, side, weft};
use crate::piece::Piece;
use crate::plan::{Finish, WeftId};
use crate::side::Side;
use crate::study::Study;
use crate::walk::{Step, Walk};
use crate::warp::{self, AtBar, Bar, Kept};

/// Tails that are named one by one; of more the rows are told between which they hang.
const NAMED: usize = 4;

/// What is to be done when all rows are woven, in this order: the tails, what keeps the last row, off the frame, what makes it
/// a finished piece, and what to beware of. (Common practice, no source.)
#[must_use]
pub fn off_the_loom(study: &Study, units: Units) -> Vec<String> {
    let Study { piece, walk, size, habits, .. } = study;
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
    let bars = warp::at_bars(piece, &warp::wind(piece, habits), size.on_loom.length.likely);
    let mut said = vec![format!("Knot or darn in the tails: {}.", tails.join("; "))];
    said.extend(joins(walk));
    // What must be done while the warp still holds the rows comes before anything that lets go of it.
    said.extend(bars.iter().filter(|bar| slips(bar, piece)).map(|bar| secured(bar, units)));
    // A warp that goes round the frame is let go at the back, all at once.
    let cut = if bars.iter().any(|bar| bar.cut) {
        "Cut the warp behind it, halfway between the bars, and untie its knots. "
    } else {
        ""
    };
    said.push(format!("Take it off the frame. {cut}{}", bars.map(|bar| let_go(&bar, units)).join(" ")));
    said.push(finish);
    said.extend(caution(piece.purpose).map(str::to_owned));
    said
}

/// Whether the outer row must be secured while the warp still holds it. Row 1 above a header is secured when that comes out.
fn slips(at: &AtBar, piece: &Piece) -> bool {
    let by_header = at.bar == Bar::Near && piece.header.is_some();
    at.kept() == Kept::TooShort && !by_header
}

fn secured(at: &AtBar, units: Units) -> String {
    let (row, beyond) = match at.bar {
        Bar::Near => ("first", "below"),
        Bar::Far => ("last", "above"),
    };
    format!(
        "While it is still on the frame, secure the {row} row with a stitch round every two or three ends: the {} of warp \
         {beyond} it is too short to knot.",
        length(at.open, units)
    )
}

/// How the warp is let go at a bar, and what then keeps the rows beside it.
fn let_go(at: &AtBar, units: Units) -> String {
    let (bar, row) = match at.bar {
        Bar::Near => ("near", "first"),
        Bar::Far => ("far", "last"),
    };
    let lift = match (at.loops, at.knots) {
        (0, _) => "untie its knots".to_owned(),
        (_, 0) => "lift its loops off the notches".to_owned(),
        _ => "lift its loops off the notches and untie its knots".to_owned(),
    };
    let open = length(at.open, units);
    if at.cut {
        return match at.kept() {
            Kept::Knotted => format!("Knot its {open} of ends at the {row} row, a few at a time."),
            Kept::AtTheBar | Kept::TooShort => {
                format!("At the {row} row its {open} of ends are a fringe, or are cut shorter.")
            }
        };
    }
    match at.kept() {
        Kept::AtTheBar => {
            let stays = match (at.loops, at.knots) {
                (_, 0) => format!(
                    "the loops, {open} long, hold the {row} row once the rows are eased out into them"
                ),
                (0, _) => format!("knot the ends two and two at the {row} row"),
                _ => format!(
                    "the loops, {open} long, hold the {row} row once the rows are eased out into them, and the ends are \
                     knotted or darned in"
                ),
            };
            format!("At the {bar} bar, {lift}: {stays}.")
        }
        Kept::TooShort => {
            format!("At the {bar} bar, {lift}: {open} of warp is a fringe there, or is cut shorter.")
        }
        Kept::Knotted => {
            format!(
                "At the {bar} bar, cut the warp and knot its {open} of ends at the {row} row, a few at a time."
            )
        }
    }
}

/// The ends of yarn that stick out where one was joined to the next.
fn joins(walk: &Walk) -> Option<String> {
    let steps = walk.rows.iter().flat_map(|row| &row.before);
    let many = steps.filter(|step| matches!(step, Step::Join { .. })).count() as u32;
    (many > 0).then(|| {
        let joins = if many == 1 { "join".to_owned() } else { counted(many, "join", "joins") };
        format!("Trim the ends that stick out at its {joins}, close to the cloth.")
    })
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
