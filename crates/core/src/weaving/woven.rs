//! A row as it was woven. It names its weft and yarn, so that it stays what it is when the plan's change.

use crate::piece::Piece;
use crate::plan::WeftId;
use crate::side::{Pass, Side, Span};
use crate::walk::{Step, Walk};

/// A row as it was woven; it never changes.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Woven {
    /// The weft's name.
    pub weft: String,
    /// Its yarn's name.
    pub yarn: String,
    /// Strands of yarn on the needle.
    pub strands: u32,
    /// The side the needle started from.
    pub from: Side,
    /// The ends it passed, and how.
    pub opening: Opening,
    /// What was done before it, in this order.
    pub before: Vec<Act>,
    /// What was done after it, in this order.
    pub after: Vec<Act>,
}

/// How a row passes its ends.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Opening {
    span: Span,
    /// Bit `k % 8` (from the lowest) of byte `k / 8` is the end `k` to the right of the span's first; the bits
    /// past its last are 0.
    bits: Box<[u8]>,
}

/// A step as it was done: what of it the cloth keeps. Lengths of tails aren't told, since they change with
/// the maker's habits; laying a hill and combing belong to every row, and a ruler leaves nothing in it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Act {
    /// The weft's yarn was begun.
    Begin {
        /// At this side.
        side: Side,
    },
    /// The weft was taken round another at the edge.
    Cross {
        /// Under or over the other.
        pass: Pass,
        /// The other weft's name.
        other: String,
        /// The side at which they met.
        side: Side,
    },
    /// The weft was carried up the edge.
    Carry {
        /// The side at which it had waited.
        side: Side,
        /// Past so many rows.
        past: u32,
    },
    /// The yarn was cut.
    Cut {
        /// At this side.
        side: Side,
    },
}

impl Woven {
    /// Row `row` (from 0) of a piece, woven as its walk says; `None` if there is no such row.
    #[must_use]
    pub fn of(piece: &Piece, walk: &Walk, row: u32) -> Option<Woven> {
        let crossings = piece.grid.row(row)?;
        let weft = piece.rows.get(row as usize)?.weft;
        let needle = piece.wefts.get(weft.0)?;
        let steps = walk.rows.get(row as usize)?;
        let acts = |steps: &[Step]| steps.iter().filter_map(|step| Act::of(step, piece)).collect();
        Some(Woven {
            weft: needle.name.clone(),
            yarn: piece.yarns.get(needle.yarn.0)?.name.clone(),
            strands: needle.strands,
            from: steps.from,
            opening: Opening::new(crossings.span(), |end| crossings.over(end) == Some(true)),
            before: acts(&steps.before),
            after: acts(&steps.after),
        })
    }
}

impl Opening {
    /// An opening over `span`; `over` is asked for each of its ends (from 0), from the left.
    #[must_use]
    pub fn new(span: Span, over: impl FnMut(u32) -> bool) -> Opening {
        let mut bits = vec![0_u8; span.len().div_ceil(8) as usize];
        for (k, is_over) in span.ends().map(over).enumerate() {
            bits[k / 8] |= u8::from(is_over) << (k % 8);
        }
        Opening { span, bits: bits.into() }
    }

    /// The ends it covers.
    #[must_use]
    pub fn span(&self) -> Span {
        self.span
    }

    /// How it passes an end; `None` outside its span.
    #[must_use]
    pub fn pass(&self, end: u32) -> Option<Pass> {
        if !self.span.contains(end) {
            return None;
        }
        let k = end - self.span.first();
        Some(Pass::from_bit(self.bits.get((k / 8) as usize)? >> (k % 8) & 1 == 1))
    }

    /// The passes from the left.
    pub fn passes(&self) -> impl Iterator<Item = Pass> + '_ {
        self.span.ends().filter_map(|end| self.pass(end))
    }
}

impl Act {
    fn of(step: &Step, piece: &Piece) -> Option<Act> {
        let name = |weft: WeftId| piece.wefts.get(weft.0).map(|needle| needle.name.clone());
        match *step {
            Step::Begin { side, .. } => Some(Act::Begin { side }),
            Step::Cross { pass, other, side, .. } => Some(Act::Cross { pass, other: name(other)?, side }),
            Step::Carry { side, past, .. } => Some(Act::Carry { side, past }),
            Step::Cut { side, .. } => Some(Act::Cut { side }),
            Step::Header { .. }
            | Step::HeaderOut
            | Step::Join { .. }
            | Step::Measure { .. }
            | Step::Room(_)
            | Step::Scarce { .. }
            | Step::Lead { .. }
            | Step::Beat { .. }
            | Step::Hill
            | Step::Comb { .. } => None,
        }
    }
}
