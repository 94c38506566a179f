//! Yarn: how thick and how heavy it is, from whatever its label or a ruler says.

mod fibre;
mod size;

pub use fibre::Fibre;
pub use size::Size;

use crate::quantity::{Gram, Mm, Tex, Typed};

/// A colour as its sRGB bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Srgb(pub [u8; 3]);

/// What a yarn costs: so much money for so much yarn.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Money, in whole and part of `currency`.
    pub amount: f64,
    /// The currency as it was typed, such as "EUR" or "£".
    pub currency: String,
    /// What that buys.
    pub per: Stock,
}

/// An amount of yarn, by length or by mass, as people note it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stock {
    /// By length.
    Length(Mm),
    /// By mass.
    Mass(Gram),
}

/// A hank that was weighed and reeled off: it beats the label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hank {
    /// What it weighed.
    pub mass: Gram,
    /// How long it was.
    pub length: Mm,
}

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
            return Tex::new(hank.value.mass.grams() / hank.value.length.metres() * 1000.0);
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
