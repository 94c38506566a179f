//! Fibres and what the trade's tables say of them.

use crate::quantity::{Mm, Tex};

/// What a yarn is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fibre {
    /// Cotton.
    Cotton,
    /// Flax.
    Linen,
    /// Wool.
    Wool,
}

impl Fibre {
    /// Diameter of a yarn of this fibre and linear density, lying free.
    #[must_use]
    pub fn diameter(self, tex: Tex) -> Mm {
        let specific_volume = 1.1;
        Mm::new(0.035_682_482_323 * (tex.tex() * specific_volume).sqrt())
    }
}
