//! Where each needle waits.

use crate::plan::WeftId;
use crate::side::Side;

/// All needles of a piece. A needle that has woven a row waits at the side where it came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Needles {
    waits: Vec<Side>,
}

impl Needles {
    /// Needles at their starting sides, one per weft.
    pub fn start(from: impl IntoIterator<Item = Side>) -> Needles {
        Needles { waits: from.into_iter().collect() }
    }

    /// The side at which this weft's needle waits.
    #[must_use]
    pub fn waits(&self, weft: WeftId) -> Side {
        self.waits[weft.0]
    }

    /// Weaves a row with this weft and returns the side it started from.
    pub fn weave(&mut self, weft: WeftId) -> Side {
        let from = self.waits[weft.0];
        self.waits[weft.0] = from.other();
        from
    }
}
