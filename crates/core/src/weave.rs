//! A weave: an opening over a span of ends, and how it moves from row to row.
//!
//! The trade's names (plain, rib, basket, twill, satin and their kin) are shorthands that expand to the same
//! few numbers, so a new weave is data, not code.

mod named;
mod recipe;
mod runs;

pub use named::{NamedWeave, SatinError, TwillKind, satin_steps};
pub use recipe::{Recipe, WantedStep};
pub use runs::{MOST_ENDS, Run, Runs, RunsError};

use std::num::NonZeroU32;

/// A lean that turns back, over rows or over ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TurnBack {
    /// How many steps (over rows) or ends less one (over ends) it takes before it turns.
    pub after: NonZeroU32,
    /// `false`: it turns in a point. `true`: it jumps by half a repeat as it turns, so that the two leans
    /// are cut from each other and floats do not join.
    pub broken: bool,
}

impl TurnBack {
    /// How many positions it takes before it begins again.
    #[must_use]
    pub fn period(self) -> u32 {
        if self.broken {
            (self.after.get() + 1).saturating_mul(2)
        } else {
            self.after.get().saturating_mul(2)
        }
    }

    /// Where position `k` stands: steps from the start, and whether it lies in the part that was broken off.
    fn fold(self, k: u32) -> (u32, bool) {
        let after = self.after.get();
        let k = k % self.period();
        if k <= after {
            (k, false)
        } else if self.broken {
            (2 * after + 1 - k, true)
        } else {
            (2 * after - k, false)
        }
    }
}

/// How the opening moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// Ends to the right (negative: to the left) at each step.
    pub right: i32,
    /// How many rows are woven before each step.
    pub every_rows: NonZeroU32,
}

/// An opening and how it moves. Rows and ends are counted from 0; the pattern begins at the first end of
/// the span it is woven over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weave {
    /// The first row, seen from the front and from the left, repeated across the span.
    pub opening: Runs,
    /// How it moves.
    pub step: Step,
    /// Every second row is the opposite of the row below it: over where that goes under.
    pub opposite: bool,
    /// The lean turns back as rows go by.
    pub turn_rows: Option<TurnBack>,
    /// The lean turns back from end to end.
    pub turn_ends: Option<TurnBack>,
}

impl Weave {
    /// An opening that does not move.
    #[must_use]
    pub fn still(opening: Runs) -> Weave {
        Weave {
            opening,
            step: Step { right: 0, every_rows: NonZeroU32::MIN },
            opposite: false,
            turn_rows: None,
            turn_ends: None,
        }
    }

    /// Whether `row` goes over `end`.
    #[must_use]
    pub fn over(&self, row: u32, end: u32) -> bool {
        let period = i64::from(self.opening.period());
        let half = period / 2;
        let moved = row / self.step.every_rows;
        let (steps, cut_rows) = self.turn_rows.map_or((moved, false), |t| t.fold(moved));
        let (place, cut_ends) = self.turn_ends.map_or((end, false), |t| t.fold(end));
        let shift = i64::from(self.step.right) * i64::from(steps) + if cut_rows { half } else { 0 };
        let at = i64::from(place) + if cut_ends { half } else { 0 } - shift;
        let over = self.opening.over(at.rem_euclid(period) as u32);
        over != (self.opposite && row % 2 == 1)
    }

    /// How many ends it takes before it repeats.
    #[must_use]
    pub fn repeat_ends(&self) -> u32 {
        self.turn_ends.map_or(self.opening.period(), TurnBack::period)
    }

    /// How many rows it takes before it repeats.
    #[must_use]
    pub fn repeat_rows(&self) -> u32 {
        let openings = match self.turn_rows {
            Some(turn) => turn.period(),
            None => {
                let period = self.opening.period();
                period / gcd(period, self.step.right.unsigned_abs())
            }
        };
        let rows = openings.saturating_mul(self.step.every_rows.get());
        if self.opposite && rows % 2 == 1 { rows.saturating_mul(2) } else { rows }
    }

    /// Whether its rows take two openings in turn, each the opposite of the other, and nothing moves
    /// otherwise: plain weave, or columns.
    #[must_use]
    pub fn is_opening_and_opposite(&self) -> bool {
        let two = self.repeat_rows() == 2;
        two && (0..self.repeat_ends()).all(|end| self.over(0, end) != self.over(1, end))
    }
}

/// Greatest common divisor; `gcd(n, 0)` is `n`.
pub(crate) fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Least common multiple, as far as it can be counted.
pub(crate) fn lcm(a: u32, b: u32) -> u32 {
    (a / gcd(a, b).max(1)).saturating_mul(b)
}
