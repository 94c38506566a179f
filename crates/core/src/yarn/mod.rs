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

/// How far past what is usual of its loft a yarn's wraps may be wide: a quarter.
const USUAL_GAP: f64 = 1.25;

impl Yarn {
    /// Its linear density: from a measured hank, else from its count, else guessed from its wraps. `loft` is how much thicker
    /// such a yarn lies free than its weight says ([`Habit::loft`](crate::habits::Habit::loft)).
    #[must_use]
    pub fn tex(&self, loft: f64) -> Tex {
        match (self.weighed(), self.wrapped()) {
            (Some(tex), _) => tex,
            (None, wrapped) => self.fibre.tex_of(wrapped.unwrap_or_default() / loft),
        }
    }

    /// Whether nothing but its wraps tells what it weighs.
    #[must_use]
    pub fn weight_is_guessed(&self) -> bool {
        self.weighed().is_none()
    }

    /// Whether its thickness is only worked out from its weight: yarn is spun more or less loosely, and nobody has laid it
    /// round a ruler.
    #[must_use]
    pub fn thickness_is_guessed(&self) -> bool {
        self.wrapped().is_none()
    }

    /// Its diameter lying free: from wraps if they are known, else from its linear density and its loft.
    #[must_use]
    pub fn diameter(&self, loft: f64) -> Mm {
        self.wrapped().unwrap_or_else(|| self.fibre.diameter(self.tex(loft)) * loft)
    }

    /// The two diameters, where weight and wraps are both known and differ by more than a yarn's loft does: `loft` is the least,
    /// the likely and the most of it.
    #[must_use]
    pub fn thickness_conflict(&self, loft: [f64; 3]) -> Option<ThicknessConflict> {
        let (close, by_wraps) = (self.fibre.diameter(self.weighed()?), self.wrapped()?);
        let [least, likely, most] = loft;
        let usual = least / USUAL_GAP..=most * USUAL_GAP;
        let conflict = ThicknessConflict { by_weight: close * likely, by_wraps };
        (!usual.contains(&(by_wraps / close))).then_some(conflict)
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
