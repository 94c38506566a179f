//! What cloth is measured by: its mass, and how much of it the yarn covers.

use crate::quantity::{GramsPerArea, Mm, Tex};

/// One of the two sets of threads in a cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Threads {
    /// From one thread to the next.
    pub spacing: Mm,
    /// Of what yarn.
    pub tex: Tex,
    /// How much longer a thread is than the cloth, as a part of the cloth's length.
    pub crimp: f64,
}

impl Threads {
    /// Mass of these threads over the cloth's area: `0.1 n T (1 + c)` g/m2 with n threads per cm.
    #[must_use]
    pub fn mass_per_area(self) -> GramsPerArea {
        GramsPerArea::new(0.1 * self.per_cm() * self.tex.tex() * (1.0 + self.crimp))
    }

    /// Cover factor `n sqrt(T) / 10`, n threads per cm. Peirce's own, threads per inch over the root of the
    /// cotton count, is 1.0452 times as large.
    #[must_use]
    pub fn cover_factor(self) -> f64 {
        self.per_cm() * self.tex.tex().sqrt() / 10.0
    }

    fn per_cm(self) -> f64 {
        Mm::new(10.0) / self.spacing
    }
}

/// What two sets of threads cover together, each covering a part of the cloth (its diameter over its
/// spacing): what one leaves open the other covers in proportion.
#[must_use]
pub fn covered(one: f64, other: f64) -> f64 {
    one + other - one * other
}
