//! Lengths, masses, yarn counts and estimates: numbers that know their unit.

mod estimate;
mod parse;
mod scan;
mod units;

pub use estimate::{Basis, Estimate};
pub(crate) use parse::whole;
pub use parse::{Amount, QuantityError, parse_ratio, parse_sides};
pub(crate) use scan::Scan;
pub use units::{Gram, GramsPerArea, Mm, Tex};
pub(crate) use units::{POUND_IN_GRAMS, YARD_IN_MM};

/// A value together with the text from which it was read, so that what was typed is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed<T> {
    /// What the text means.
    pub value: T,
    /// What was typed.
    pub typed: String,
}

impl<T> Typed<T> {
    /// Pairs a value with its text.
    pub fn new(value: T, typed: impl Into<String>) -> Typed<T> {
        Typed { value, typed: typed.into() }
    }
}
