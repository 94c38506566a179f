//! How thick a yarn is said to be.

use super::{Fibre, System};
use crate::quantity::{Mm, QuantityError, Tex};

/// How thick a yarn is said to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// By count: any system of mass per length or length per mass, as tex.
    Count(Tex),
    /// By wraps on a ruler, softly laid: the width of one wrap.
    Wraps(Mm),
}

/// A size as it was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ParsedSize {
    /// The size.
    pub size: Size,
    /// The fibre that the text names, or that its count is kept for: "8/2 cotton", "2/30 worsted".
    pub implies: Option<Fibre>,
}

/// Why a text is no size.
#[derive(Debug, Clone, PartialEq)]
pub enum SizeError {
    /// There is nothing where a number should be.
    Empty,
    /// A number can't be read.
    Number(QuantityError),
    /// A count without a system, and the fibre settles none.
    NoSystem,
    /// A count without a system, and its fibre is counted in more than one.
    SystemUnclear {
        /// What it may mean.
        readings: Vec<(System, Tex)>,
    },
    /// Two systems, or two fibres, in one size.
    Twice,
    /// Words that are neither a system nor a fibre.
    UnknownWords {
        /// The words.
        words: String,
    },
    /// A stroke that no system gives a meaning: in a count of mass per length (where it may mean
    /// filaments), or more than one.
    Stroke,
    /// A number of strands that is no whole number from 1 to 200.
    Strands,
    /// One length or mass alone: "per" and the other one are missing.
    NoPer,
    /// A length per length, or a mass per mass.
    SameKind,
    /// Wraps per something that is no length.
    WrapsPer,
    /// Finer than 0.1 tex or heavier than 100 000 tex; thinner than 0.01 mm or thicker than 50 mm.
    OutOfRange,
}

impl From<QuantityError> for SizeError {
    fn from(error: QuantityError) -> SizeError {
        match error {
            QuantityError::Empty => SizeError::Empty,
            error => SizeError::Number(error),
        }
    }
}

impl Size {
    /// Whether a yarn can be so thick.
    pub(super) fn is_possible(self) -> bool {
        match self {
            Size::Count(tex) => (0.1..=100_000.0).contains(&tex.tex()),
            Size::Wraps(width) => (0.01..=50.0).contains(&width.mm()),
        }
    }
}
