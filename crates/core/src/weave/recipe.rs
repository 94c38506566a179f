//! A weave as a plan asks for it: by name, by its opening and how that moves, or by a name with changes.

use super::{Runs, Step, TurnBack, Weave};
use crate::quantity::Typed;
use std::num::NonZeroU32;

/// How an opening is to move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WantedStep {
    /// Ends to the right; negative: to the left.
    pub right: i32,
    /// How many rows are woven before each step; `None`: every row, or every pair where each opening is followed
    /// by its opposite.
    pub every: Option<NonZeroU32>,
}

/// What the keys of a weave say. One of `name` and `opening` at least is there.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Recipe {
    /// The weave of a name, and the name.
    pub name: Option<Typed<Weave>>,
    /// The first row.
    pub opening: Option<Runs>,
    /// Every opening is woven twice, the second time with over and under exchanged.
    pub opposite: bool,
    /// How it moves.
    pub step: Option<WantedStep>,
    /// Where its lean turns back as rows go by.
    pub turn_rows: Option<TurnBack>,
    /// Where its lean turns back from end to end.
    pub turn_ends: Option<TurnBack>,
}

impl Recipe {
    /// The weave: that of the name, with what else is said in the place of its own. `None` if there is neither a
    /// name nor an opening.
    #[must_use]
    pub fn weave(&self) -> Option<Weave> {
        let named = self.name.as_ref().map(|name| name.value.clone());
        let mut made = match (named, self.opening.clone()) {
            (Some(named), Some(opening)) => Weave { opening, ..named },
            (Some(named), None) => named,
            (None, Some(opening)) => Weave::still(opening),
            (None, None) => return None,
        };
        made.opposite = self.opposite;
        // Each opening is woven twice, once by each weft, before it moves.
        let pairs = if self.opposite { NonZeroU32::MIN.saturating_add(1) } else { NonZeroU32::MIN };
        match self.step {
            Some(step) => {
                made.step = Step { right: step.right, every_rows: step.every.unwrap_or(pairs) };
            }
            None => made.step.every_rows = made.step.every_rows.saturating_mul(pairs),
        }
        made.turn_rows = self.turn_rows.or(made.turn_rows);
        made.turn_ends = self.turn_ends.or(made.turn_ends);
        Some(made)
    }
}
