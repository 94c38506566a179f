//! Yarn: how thick and how heavy it is, from whatever its label or a ruler says.

mod colour;
mod fibre;
mod label;
mod read_size;
mod size;
mod system;

pub use crate::quantity::Amount as Stock;
pub use colour::{ColourError, Srgb};
pub use fibre::{Fibre, Hardness, diameter};
pub use label::{Hank, HankError, Price, PriceError};
pub use size::{ParsedSize, Size, SizeError};
pub use system::System;

use crate::quantity::{Mm, Tex, Typed};

/// One yarn of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Yarn {
    /// Its name in the plan.
    pub name: String,
    /// Its colour.
    pub colour: Srgb,
    /// Its size as its label or its maker gives it.
    pub size: Typed<Size>,
    /// Wraps on a ruler, where they are noted beside another size.
    pub wraps: Option<Typed<Size>>,
    /// A weighed and measured hank.
    pub measured: Option<Typed<Hank>>,
    /// What it is made of; cotton is assumed where neither a fibre nor a count that implies one is given.
    pub fibre: Fibre,
    /// What it costs.
    pub price: Option<Typed<Price>>,
    /// How much of it there is.
    pub have: Option<Typed<Stock>>,
}

impl Yarn {
    /// Its linear density: from a measured hank, else from its count, else guessed from its thickness.
    #[must_use]
    pub fn tex(&self) -> Tex {
        if let Some(hank) = &self.measured {
            return hank.value.tex();
        }
        self.size.value.tex(self.fibre)
    }

    /// Its diameter lying free: from wraps if they are known, else from its linear density.
    #[must_use]
    pub fn diameter(&self) -> Mm {
        match (&self.wraps, self.size.value) {
            (Some(wraps), _) => wraps.value.diameter(self.fibre),
            (None, wraps @ Size::Wraps(_)) => wraps.diameter(self.fibre),
            (None, Size::Count(_)) => self.fibre.diameter(self.tex()),
        }
    }
}
