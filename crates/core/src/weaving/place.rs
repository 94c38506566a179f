//! Where a weaving is: a function of the rows done and the piece alone.

use super::{Rows, Woven};
use crate::piece::Piece;
use crate::walk::Walk;

/// Where a weaving is in its piece. Rows are counted from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The first row that is not done; `None` when all are. Everything before it lies below the fell.
    pub next: Option<u32>,
    /// How many rows of the piece are done.
    pub done: u32,
    /// Rows done past the first that isn't: a tick between is missing or still on its way.
    pub ahead: Vec<u32>,
    /// Rows done that the piece does not have.
    pub beyond: Vec<u32>,
}

/// A row done that the piece would have otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Difference {
    /// The row, from 0.
    pub row: u32,
    /// What differs first, in the order in which [`What`] lists it.
    pub what: What,
}

/// What of a row done the piece would have otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// The piece has no such row.
    NoRow,
    /// Another weft, another yarn on it, or another number of strands.
    Weft,
    /// Another side to start from.
    Side,
    /// Other ends.
    Span,
    /// Over and under.
    Opening,
    /// What is done before or after it at the edges.
    Steps,
}

/// Where a weaving with these rows done is in a piece.
#[must_use]
pub fn place(rows: &Rows<'_>, piece: &Piece) -> Place {
    let count = piece.row_count();
    let next = (0..count).find(|row| !rows.contains_key(row));
    let from = |first: u32| rows.range(first..).map(|(&row, _)| row);
    Place {
        next,
        // A piece has no more rows than fit.
        done: rows.range(..count).count() as u32,
        ahead: next.map_or(Vec::new(), |next| from(next).take_while(|&row| row < count).collect()),
        beyond: from(count).collect(),
    }
}

/// The rows done that the piece would have otherwise: nothing, if it can be followed as it is.
#[must_use]
pub fn differences(rows: &Rows<'_>, piece: &Piece, walk: &Walk) -> Vec<Difference> {
    let differing = rows.iter().filter_map(|(&row, woven)| {
        let what = match Woven::of(piece, walk, row) {
            None => What::NoRow,
            Some(planned) => what(woven, &planned)?,
        };
        Some(Difference { row, what })
    });
    differing.collect()
}

fn what(woven: &Woven, planned: &Woven) -> Option<What> {
    if woven == planned {
        return None;
    }
    let weft = |w: &Woven| (w.weft.clone(), w.yarn.clone(), w.strands);
    Some(if weft(woven) != weft(planned) {
        What::Weft
    } else if woven.from != planned.from {
        What::Side
    } else if woven.opening.span() != planned.opening.span() {
        What::Span
    } else if woven.opening != planned.opening {
        What::Opening
    } else {
        What::Steps
    })
}
