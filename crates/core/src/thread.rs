//! A strand as it lies in cloth: how far a yarn flattens where it crosses another.

use crate::habits::{Habit, Habits};
use crate::quantity::Mm;
use crate::yarn::{Hardness, Yarn};

/// The thicknesses of a strand that matter where strands meet (the cloth model, sections 1 and 3).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Diameter lying free.
    pub free: Mm,
    /// Thickness at right angles to the cloth where it crosses an end.
    pub thick: Mm,
    /// Room it takes along an end, between rows that pass the end alike.
    pub along: Mm,
    /// Room it takes in a gap, between rows that cross each other there.
    pub squeezed: Mm,
}

impl Thread {
    /// A yarn as it lies in cloth; `strands` of it side by side count as one.
    #[must_use]
    pub fn of(yarn: &Yarn, strands: u32, habits: &Habits) -> Thread {
        let (flatten, squeeze) = match yarn.fibre.hardness() {
            Hardness::Soft => (Habit::FlattenSoft, Habit::SqueezeSoft),
            Hardness::Medium => (Habit::FlattenMedium, Habit::SqueezeMedium),
            Hardness::Hard => (Habit::FlattenHard, Habit::SqueezeHard),
        };
        let free = yarn.diameter();
        let side_by_side = free * f64::from(strands);
        Thread {
            free,
            thick: free * habits.ratio(flatten),
            along: side_by_side * habits.ratio(flatten),
            squeezed: side_by_side * habits.ratio(squeeze),
        }
    }
}
