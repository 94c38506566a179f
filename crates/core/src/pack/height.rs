//! Heights that add and compare without rounding.

use crate::quantity::Mm;
use std::ops::{Add, Sub};

/// A height above the foot of the first row, in whole steps of 2^-24 mm.
///
/// Whole numbers make the laws of packing hold to the last bit: sums don't depend on their order, so a
/// mirrored row lies as the row does, and nothing that is raised lowers anything else. A step is 0.06
/// nanometres, far finer than any yarn is even.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Height(pub(super) i64);

/// Steps in a millimetre.
const STEPS: f64 = (1_i64 << 24) as f64;

/// No strand keeps others farther away than this; it leaves room for sums and products of any cloth.
const FARTHEST: f64 = 64.0;

impl Height {
    /// The foot of the first row.
    pub const FOOT: Height = Height(0);

    /// Where nothing lies that could keep a row up.
    pub(super) const NOTHING: Height = Height(i64::MIN / 4);

    /// As a length, exactly.
    #[must_use]
    pub fn mm(self) -> Mm {
        Mm::new(self.0 as f64 / STEPS)
    }

    /// As a plain number of millimetres, to 7 figures: what cloth is kept in.
    #[must_use]
    pub fn to_f32(self) -> f32 {
        (self.0 as f64 / STEPS) as f32
    }

    /// The nearest step to a distance that strands keep; a number that is no distance counts as none.
    pub(super) fn distance(distance: Mm) -> Height {
        Height((distance.mm().clamp(0.0, FARTHEST) * STEPS).round() as i64)
    }
}

impl Add for Height {
    type Output = Height;
    fn add(self, other: Height) -> Height {
        Height(self.0 + other.0)
    }
}

impl Sub for Height {
    type Output = Height;
    fn sub(self, other: Height) -> Height {
        Height(self.0 - other.0)
    }
}
