//! The trade's weaves by name, each expanded to an opening and how it moves.

use super::{Run, Runs, RunsError, Step, TurnBack, Weave, gcd};
use crate::side::{Pass, Side};
use std::num::NonZeroU32;

/// A weave by the name the trade gives it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NamedWeave {
    /// Over one, under one, the opposite in the next row.
    Plain,
    /// Plain weave in which this many ends act as one.
    RibOfEnds(NonZeroU32),
    /// Plain weave in which this many rows act as one.
    RibOfRows(NonZeroU32),
    /// Plain weave with groups in both directions.
    Basket {
        /// Ends that act as one.
        ends: NonZeroU32,
        /// Rows that act as one.
        rows: NonZeroU32,
    },
    /// Each row is the one below, moved by one end.
    Twill {
        /// The trade's fraction: warp up, warp down, warp up ... (so the weft goes under, over, under ...).
        fraction: Vec<NonZeroU32>,
        /// The side it leans to, upward: right is the trade's Z, left its S.
        lean: Side,
        /// How the lean turns back, if it does.
        kind: TwillKind,
    },
    /// Scattered binding points, warp-faced: the weft goes over one end and under the rest.
    Satin {
        /// Ends and rows in a repeat.
        on: u32,
        /// How far the binding point moves from row to row.
        step: u32,
    },
    /// Scattered binding points, weft-faced: the weft goes under one end and over the rest.
    Sateen {
        /// Ends and rows in a repeat.
        on: u32,
        /// How far the binding point moves from row to row.
        step: u32,
    },
}

/// How a twill's lean turns back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TwillKind {
    /// It doesn't.
    Straight,
    /// In a point, row by row, after this many steps (one repeat if not said).
    Pointed(Option<NonZeroU32>),
    /// Broken, row by row, after this many rows (half a repeat if not said).
    Broken(Option<NonZeroU32>),
    /// Broken, from end to end, after this many ends (one repeat if not said).
    Herringbone(Option<NonZeroU32>),
}

/// Why there is no such satin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SatinError {
    /// No step makes a satin on this many ends.
    NoneOn(u32),
    /// This step doesn't; these do.
    Step {
        /// Ends of the repeat.
        on: u32,
        /// The steps that make a satin.
        steps: Vec<u32>,
    },
}

/// The steps that make a satin on `on` ends: 1 < s < on - 1 with no divisor in common with `on`
/// (A. Wolfensberger, *Theory of Silk Weaving*, the chapter on satin).
#[must_use]
pub fn satin_steps(on: u32) -> Vec<u32> {
    (2..on.saturating_sub(1)).filter(|&s| gcd(on, s) == 1).collect()
}

impl NamedWeave {
    /// A satin or sateen whose step exists; the smallest step if none is asked for.
    ///
    /// # Errors
    /// If there is no satin on so many ends, or none with that step.
    pub fn satin(on: u32, step: Option<u32>, weft_faced: bool) -> Result<NamedWeave, SatinError> {
        let steps = satin_steps(on);
        let step = match step {
            None => *steps.first().ok_or(SatinError::NoneOn(on))?,
            Some(step) if steps.contains(&step) => step,
            Some(_) if steps.is_empty() => return Err(SatinError::NoneOn(on)),
            Some(_) => return Err(SatinError::Step { on, steps }),
        };
        Ok(if weft_faced { NamedWeave::Sateen { on, step } } else { NamedWeave::Satin { on, step } })
    }

    /// The opening and how it moves.
    ///
    /// # Errors
    /// [`RunsError::TooLong`] if a repeat would have more ends than any piece may have.
    pub fn expand(&self) -> Result<Weave, RunsError> {
        let over = |ends| Run { pass: Pass::Over, ends };
        let under = |ends| Run { pass: Pass::Under, ends };
        let grouped = |ends: NonZeroU32, rows: NonZeroU32| {
            let opening = Runs::new([over(ends.get()), under(ends.get())])?;
            let step = Step { right: ends.get() as i32, every_rows: rows };
            Ok(Weave { step, ..Weave::still(opening) })
        };
        match self {
            NamedWeave::Plain => grouped(NonZeroU32::MIN, NonZeroU32::MIN),
            NamedWeave::RibOfEnds(ends) => grouped(*ends, NonZeroU32::MIN),
            NamedWeave::RibOfRows(rows) => grouped(NonZeroU32::MIN, *rows),
            NamedWeave::Basket { ends, rows } => grouped(*ends, *rows),
            NamedWeave::Twill { fraction, lean, kind } => {
                let runs = fraction.iter().enumerate();
                let opening =
                    Runs::new(runs.map(|(k, n)| if k % 2 == 0 { under(n.get()) } else { over(n.get()) }))?;
                let right = if *lean == Side::Right { 1 } else { -1 };
                Ok(kind.turn(Weave {
                    step: Step { right, every_rows: NonZeroU32::MIN },
                    ..Weave::still(opening)
                }))
            }
            NamedWeave::Satin { on, step } => scattered(Runs::new([over(1), under(on - 1)])?, *step),
            NamedWeave::Sateen { on, step } => scattered(Runs::new([under(1), over(on - 1)])?, *step),
        }
    }
}

fn scattered(opening: Runs, step: u32) -> Result<Weave, RunsError> {
    let step = Step { right: step as i32, every_rows: NonZeroU32::MIN };
    Ok(Weave { step, ..Weave::still(opening) })
}

impl TwillKind {
    fn turn(self, weave: Weave) -> Weave {
        let period = weave.opening.period();
        let turn = |after: u32, broken| NonZeroU32::new(after).map(|after| TurnBack { after, broken });
        match self {
            TwillKind::Straight => weave,
            TwillKind::Pointed(after) => {
                Weave { turn_rows: turn(after.map_or(period, NonZeroU32::get), false), ..weave }
            }
            TwillKind::Broken(rows) => {
                // One row has no lean to interrupt.
                let rows = rows.map_or(period / 2, NonZeroU32::get).max(2);
                Weave { turn_rows: turn(rows - 1, true), ..weave }
            }
            TwillKind::Herringbone(ends) => {
                let ends = ends.map_or(period, NonZeroU32::get).max(2);
                Weave { turn_ends: turn(ends - 1, true), ..weave }
            }
        }
    }
}
