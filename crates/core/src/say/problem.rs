//! Why a plan makes no piece: what is so, and what to do.

use crate::piece::{PieceError, PieceErrorKind};
use crate::plan::bounds;

/// What keeps a plan from becoming a piece, and what to do about it.
#[must_use]
pub fn piece_error(error: &PieceError) -> (String, String) {
    let name = error.at.get(1).map_or("the band", String::as_str);
    match &error.kind {
        PieceErrorKind::TooManyEnds { ends, most } => (
            format!("This asks for {ends} ends; the notches take {most}."),
            format!("Take {most} ends or fewer."),
        ),
        PieceErrorKind::NoEnds => {
            ("This leaves room for no end at all.".into(), "Make it wider, or say how many ends.".into())
        }
        PieceErrorKind::TooManyRows => (
            format!("The stack comes to more than {} rows.", bounds::ROWS),
            "Repeat fewer times, or make its bands shorter.".into(),
        ),
        PieceErrorKind::NoExtent => (
            format!("{} doesn't say how long it is.", super::sentence(name)),
            "Give it rows, such as rows = 8, or a length, such as length = \"3 cm\" or \"fill\".".into(),
        ),
        PieceErrorKind::NoRows => {
            ("Not one row fits into this length.".into(), "Make it longer, or say how many rows.".into())
        }
        PieceErrorKind::SecondFill { other } => (
            format!("Only one place can be filled with what is left, and {other} already is."),
            "Give this band rows or a length, and let a fill stand once, outside repeats.".into(),
        ),
        PieceErrorKind::EndsWithoutPart { end } => (
            format!("No part of {name} weaves end {}.", end + 1),
            "Add a part for it, or a part without a range of ends, which takes all that is left.".into(),
        ),
        PieceErrorKind::BeyondTheLastEnd { last } => (
            format!("These ends lie beyond the last one, end {}.", last + 1),
            "Shorten the range, or take more ends in the warp.".into(),
        ),
        PieceErrorKind::OutsideItsBand { band } => (
            format!(
                "None of these ends lies within {name}'s own, {}.",
                super::ends(band.first(), band.last())
            ),
            "Choose ends within the band's, or widen the band.".into(),
        ),
        PieceErrorKind::NotTwoWefts => (
            format!("{} has no two wefts that could change places.", super::sentence(name)),
            "Exchange a band of two wefts; for one weft there is over-for-under.".into(),
        ),
        PieceErrorKind::NoWeft => (
            format!("{} has no weft.", super::sentence(name)),
            "Name the yarn or yarns that weave it, such as wefts = [\"foam\"].".into(),
        ),
    }
}
