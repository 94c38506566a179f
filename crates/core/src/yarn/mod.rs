//! Yarn: how thick and how heavy it is, from whatever its label or a ruler says.

mod fibre;
mod label;
mod read_size;
mod size;
mod system;

pub use crate::colour::{ColourError, Srgb};
pub use crate::quantity::Amount as Stock;
pub use fibre::{Fibre, Hardness, Kin, diameter};
pub use label::{Hank, HankError, Price, PriceError};
pub use size::{PACKED, ParsedSize, Size, SizeError};
pub use system::System;

use crate::quantity::{Basis, Estimate, Mm, Tex, Typed};

/// One yarn of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Yarn {
    /// Its name in the plan.
    pub name: String,
    /// Its colour.
    pub colour: Srgb,
    /// Its size as its label or its maker gives it.
    pub size: Typed<Size>,
    /// The width of one wrap on a ruler, where it is noted beside another size.
    pub wraps: Option<Typed<Mm>>,
    /// A weighed and measured hank.
    pub measured: Option<Typed<Hank>>,
    /// What it is made of; cotton is assumed where neither a fibre nor a count that implies one is given.
    pub fibre: Fibre,
    /// How far fibres stand out round its core, where the maker has looked: none for a smooth, tight yarn,
    /// millimetres for a brushed one. It is seen; it moves no strand.
    pub halo: Option<Typed<Mm>>,
    /// What it costs.
    pub price: Option<Typed<Price>>,
    /// How much of it there is.
    pub have: Option<Typed<Stock>>,
}

/// A thickness known twice, by weight and by the ruler, with a gap that yarn alone hardly explains: one of the
/// two is mistyped, or the yarn is very soft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThicknessConflict {
    /// The diameter that the label's count, or a weighed hank, gives.
    pub by_weight: Mm,
    /// The diameter that the wraps give.
    pub by_wraps: Mm,
}

/// A linear density known twice, from the label and from a hank that was weighed, so far apart that one of the two is
/// hardly this yarn's. The hank counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightConflict {
    /// What the label's count says.
    pub by_label: Tex,
    /// What the hank shows.
    pub by_hank: Tex,
}

/// How much the larger of two linear densities may exceed the smaller: a fifth. Labels are right to a tenth or so, and a
/// kitchen scale and a ruler to about as much (common practice, no source).
const USUAL_WEIGHT_GAP: f64 = 1.2;

/// How far past the usual ([`PACKED`]) a diameter by weight may lie from one by wraps: a quarter.
const USUAL_GAP: f64 = 1.25;

impl Yarn {
    /// Its linear density: from a measured hank, else from its count, else guessed from its wraps.
    #[must_use]
    pub fn tex(&self) -> Tex {
        self.tex_between().likely
    }

    /// The same with how far a guess from wraps may be off; what was weighed stands.
    #[must_use]
    pub fn tex_between(&self) -> Estimate<Tex> {
        let exact = |tex| Estimate { likely: tex, low: tex, high: tex, basis: Basis::default() };
        self.weighed().map_or_else(|| self.size.value.tex(self.fibre), exact)
    }

    /// Whether nothing but its wraps tells what it weighs.
    #[must_use]
    pub fn weight_is_guessed(&self) -> bool {
        self.weighed().is_none()
    }

    /// Whether its thickness is only worked out from its weight, and it may be up to twice as thick ([`PACKED`]): soft yarn is
    /// spun more or less loosely, and nobody has laid it round a ruler.
    #[must_use]
    pub fn thickness_is_guessed(&self) -> bool {
        self.wrapped().is_none() && self.fibre.hardness() == Hardness::Soft
    }

    /// Its diameter lying free: from wraps if they are known, else from its linear density.
    #[must_use]
    pub fn diameter(&self) -> Mm {
        self.wrapped().unwrap_or_else(|| self.fibre.diameter(self.tex()))
    }

    /// The two diameters, where weight and wraps are both known and differ by a quarter more than yarns do.
    #[must_use]
    pub fn thickness_conflict(&self) -> Option<ThicknessConflict> {
        let (by_weight, by_wraps) = (self.fibre.diameter(self.weighed()?), self.wrapped()?);
        let [low, _, high] = PACKED;
        let usual = low / USUAL_GAP..=high * USUAL_GAP;
        (!usual.contains(&(by_weight / by_wraps))).then_some(ThicknessConflict { by_weight, by_wraps })
    }

    /// The two linear densities, where a label's count and a hank are both known and differ by more than a fifth.
    #[must_use]
    pub fn weight_conflict(&self) -> Option<WeightConflict> {
        let (Some(hank), Size::Count(by_label)) = (&self.measured, self.size.value) else { return None };
        let by_hank = hank.value.tex();
        let gap = by_hank.tex().max(by_label.tex()) / by_hank.tex().min(by_label.tex());
        (gap > USUAL_WEIGHT_GAP).then_some(WeightConflict { by_label, by_hank })
    }

    /// Its linear density as far as it rests on a weight: a hank's or the label's.
    fn weighed(&self) -> Option<Tex> {
        match (&self.measured, self.size.value) {
            (Some(hank), _) => Some(hank.value.tex()),
            (None, Size::Count(tex)) => Some(tex),
            (None, Size::Wraps(_)) => None,
        }
    }

    /// Its diameter as far as it rests on a ruler.
    fn wrapped(&self) -> Option<Mm> {
        match (&self.wraps, self.size.value) {
            (Some(noted), _) => Some(noted.value),
            (None, Size::Wraps(width)) => Some(width),
            (None, Size::Count(_)) => None,
        }
    }
}
