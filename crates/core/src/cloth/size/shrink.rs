//! What finishing takes of length and width.
//!
//! Shrinkage is a part of the size *before*. Cloth that comes off the loom 100 mm long and shrinks by a tenth is
//! 90 mm; for 100 mm finished it must come off at `100 / (1 - 0.1)`, which is more than 110.

use crate::habits::{Habit, Habits};
use crate::plan::Finish;
use crate::quantity::Mm;
use crate::yarn::Kin;

/// The size after a loss of `share`.
#[must_use]
pub fn after(before: Mm, share: f64) -> Mm {
    before * (1.0 - share)
}

/// The size that is needed for `after` to be left when `share` is lost. At a loss of everything there is none.
#[must_use]
pub fn before(after: Mm, share: f64) -> Option<Mm> {
    (share < 1.0).then(|| after / (1.0 - share))
}

/// What a finish takes along a warp of such a yarn, and across a weft of it.
#[must_use]
pub fn of_yarn(kin: Kin, finish: Finish, habits: &Habits) -> [f64; 2] {
    let part = match finish {
        Finish::AsItIs => 0.0,
        Finish::Steamed => habits.ratio(Habit::Steamed),
        Finish::Washed => 1.0,
        Finish::Pinned => habits.ratio(Habit::Pinned),
    };
    [Habit::shrink_along(kin), Habit::shrink_across(kin)].map(|habit| (habits.ratio(habit) * part).min(0.95))
}
