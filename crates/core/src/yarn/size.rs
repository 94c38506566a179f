//! Yarn sizes in the trade's many systems.

use super::Fibre;
use crate::quantity::{Mm, Tex};

/// How thick a yarn is said to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// By count: any system of mass per length or length per mass, as tex.
    Count(Tex),
    /// By wraps on a ruler, softly laid: the width of one wrap.
    Wraps(Mm),
}

impl Size {
    /// Linear density; guessed from the thickness where only wraps are known.
    #[must_use]
    pub fn tex(self, _fibre: Fibre) -> Tex {
        match self {
            Size::Count(tex) => tex,
            Size::Wraps(d) => Tex::new(d.mm() * d.mm()),
        }
    }

    /// Diameter lying free.
    #[must_use]
    pub fn diameter(self, fibre: Fibre) -> Mm {
        match self {
            Size::Count(tex) => fibre.diameter(tex),
            Size::Wraps(d) => d,
        }
    }
}
