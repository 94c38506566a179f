//! The frame: notches, pitch, heights.

use crate::quantity::{Mm, Typed};

/// What several strands in one notch count as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StrandsAct {
    /// The needle takes them together: one end per notch.
    AsOneEnd,
    /// The needle may part them: as many ends per notch as strands.
    AsEnds,
}

/// A small notched frame, as the plan describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Loom {
    /// What its owner calls it, if the plan says so.
    pub name: Option<String>,
    /// How many notches each bar has: at least one.
    pub notches: u32,
    /// Centre-to-centre distance of the notches.
    pub pitch: Typed<Mm>,
    /// Length of one end, from turn to turn.
    pub turn_to_turn: Typed<Mm>,
    /// What can be woven between the bars, if a needle could reach all of it.
    pub clear_height: Typed<Mm>,
    /// The part at the top that a needle can't reach.
    pub out_of_reach: Option<Typed<Mm>>,
    /// How wide a notch is: how thick a yarn it takes.
    pub notch_width: Option<Typed<Mm>>,
    /// How deep a notch is: extra warp at each turn.
    pub notch_depth: Option<Typed<Mm>>,
    /// Strands of warp in each notch: at least one.
    pub strands: u32,
    /// Whether the strands of one notch are one end or several.
    pub strands_act: StrandsAct,
}

impl Loom {
    /// How many ends one notch holds.
    #[must_use]
    pub fn ends_per_notch(&self) -> u32 {
        match self.strands_act {
            StrandsAct::AsOneEnd => 1,
            StrandsAct::AsEnds => self.strands,
        }
    }

    /// How many strands of warp make one end.
    #[must_use]
    pub fn strands_per_end(&self) -> u32 {
        match self.strands_act {
            StrandsAct::AsOneEnd => self.strands,
            StrandsAct::AsEnds => 1,
        }
    }

    /// Mean distance between neighbouring ends.
    #[must_use]
    pub fn end_spacing(&self) -> Mm {
        self.pitch.value / f64::from(self.ends_per_notch())
    }

    /// The height that can be woven: clear height less what the needle can't reach.
    #[must_use]
    pub fn reach(&self) -> Mm {
        self.clear_height.value - self.out_of_reach.as_ref().map_or(Mm::ZERO, |t| t.value)
    }

    /// The most ends the notches take.
    #[must_use]
    pub fn most_ends(&self) -> u32 {
        self.notches.saturating_mul(self.ends_per_notch())
    }
}
