//! The units themselves. Arithmetic keeps the unit; a bare number comes out only by naming a unit.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// The international yard of 1959, exact; a foot is a third of it and an inch a thirty-sixth.
pub(crate) const YARD_IN_MM: f64 = 914.4;
/// A foot, exact.
pub(crate) const FOOT_IN_MM: f64 = 304.8;
/// An inch, exact.
pub(crate) const INCH_IN_MM: f64 = 25.4;
/// The international avoirdupois pound of 1959, exact.
pub(crate) const POUND_IN_GRAMS: f64 = 453.592_37;

macro_rules! unit {
    ($(#[$doc:meta])* $name:ident, $make:ident, $take:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: $name = $name(0.0);

            /// From a number in this unit.
            #[must_use]
            pub const fn $make(value: f64) -> $name {
                $name(value)
            }

            /// As a number in this unit.
            #[must_use]
            pub const fn $take(self) -> f64 {
                self.0
            }

            /// The larger of two.
            #[must_use]
            pub fn max(self, other: $name) -> $name {
                $name(self.0.max(other.0))
            }

            /// The smaller of two.
            #[must_use]
            pub fn min(self, other: $name) -> $name {
                $name(self.0.min(other.0))
            }

            /// Its size without the sign.
            #[must_use]
            pub fn abs(self) -> $name {
                $name(self.0.abs())
            }
        }

        impl Add for $name {
            type Output = $name;
            fn add(self, other: $name) -> $name {
                $name(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: $name) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = $name;
            fn sub(self, other: $name) -> $name {
                $name(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = $name;
            fn neg(self) -> $name {
                $name(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = $name;
            fn mul(self, factor: f64) -> $name {
                $name(self.0 * factor)
            }
        }
        impl Div<f64> for $name {
            type Output = $name;
            fn div(self, divisor: f64) -> $name {
                $name(self.0 / divisor)
            }
        }
        /// A ratio of two quantities of one kind is a plain number.
        impl Div for $name {
            type Output = f64;
            fn div(self, divisor: $name) -> f64 {
                self.0 / divisor.0
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = $name>>(all: I) -> $name {
                all.fold($name::ZERO, Add::add)
            }
        }
    };
}

unit!(
    /// A length in millimetres.
    Mm, new, mm
);
unit!(
    /// A mass in grams.
    Gram, new, grams
);
unit!(
    /// A yarn's linear density in tex: grams per kilometre (ISO 1144).
    Tex, new, tex
);
unit!(
    /// A mass per area in grams per square metre.
    GramsPerArea, new, grams_per_m2
);

impl GramsPerArea {
    /// That of a mass spread over a rectangle.
    #[must_use]
    pub fn of(mass: Gram, width: Mm, length: Mm) -> GramsPerArea {
        GramsPerArea(mass.0 / (width.metres() * length.metres()))
    }
}

impl Mm {
    /// A length in metres.
    #[must_use]
    pub fn metres(self) -> f64 {
        self.0 / 1000.0
    }

    /// A length in centimetres.
    #[must_use]
    pub fn cm(self) -> f64 {
        self.0 / 10.0
    }

    /// A length in inches (25.4 mm each).
    #[must_use]
    pub fn inches(self) -> f64 {
        self.0 / INCH_IN_MM
    }
}

impl Tex {
    /// The mass of a length of this yarn.
    #[must_use]
    pub fn mass_of(self, length: Mm) -> Gram {
        Gram(self.0 * length.0 / 1e6)
    }

    /// The length of a mass of this yarn.
    #[must_use]
    pub fn length_of(self, mass: Gram) -> Mm {
        Mm(mass.0 / self.0 * 1e6)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kilometre_of_one_tex_weighs_a_gram() {
        // The definition of the tex, ISO 1144.
        assert_eq!(Tex::new(1.0).mass_of(Mm::new(1e6)), Gram::new(1.0));
        assert_eq!(Tex::new(200.0).length_of(Gram::new(1.0)), Mm::new(5000.0));
    }
}
