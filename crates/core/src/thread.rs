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
    /// The smallest radius to which it bends in the plane of the cloth.
    pub bend: Mm,
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
        let free = habits.diameter(yarn);
        let side_by_side = free * f64::from(strands);
        Thread {
            free,
            thick: free * habits.ratio(flatten),
            along: side_by_side * habits.ratio(flatten),
            squeezed: side_by_side * habits.ratio(squeeze),
            bend: free * habits.ratio(Habit::Stiffness),
        }
    }

    /// How far a row of it lies from the one before where the two touch and cross in every gap, by contact alone:
    /// `max(f d2, s_same / 2)` of the cloth model, section 3, without what Peirce's jam adds on a close warp.
    #[must_use]
    pub fn touch(&self) -> Mm {
        self.squeezed.max(self.along / 2.0)
    }

    /// How wide it lies where it is pressed flat on an end and nothing hems it in: as much wider than lying
    /// free as it is thinner.
    #[must_use]
    pub fn spread(&self) -> Mm {
        if self.thick > Mm::ZERO { self.side_by_side() * (self.free / self.thick) } else { Mm::ZERO }
    }

    /// How much wider it is along the cloth than thick where it is crossed: what a strand runs straight over where
    /// others lie side by side.
    #[must_use]
    pub fn flat(&self) -> Mm {
        (self.along - self.thick).max(Mm::ZERO)
    }

    /// How wide it lies where nothing presses on it, strands side by side.
    #[must_use]
    pub fn side_by_side(&self) -> Mm {
        if self.thick > Mm::ZERO { self.free * (self.along / self.thick) } else { Mm::ZERO }
    }

    /// Strands as one: the mean of each of their thicknesses.
    #[must_use]
    pub fn mean(threads: impl ExactSizeIterator<Item = Thread> + Clone) -> Thread {
        let count = threads.len().max(1) as f64;
        Thread::by_parts(|part| threads.clone().map(|thread| part(&thread)).sum::<Mm>() / count)
    }

    /// A strand of which each measure is got alike, as the mean of others is.
    #[must_use]
    pub fn by_parts(of: impl Fn(fn(&Thread) -> Mm) -> Mm) -> Thread {
        Thread {
            free: of(|t| t.free),
            thick: of(|t| t.thick),
            along: of(|t| t.along),
            squeezed: of(|t| t.squeezed),
            bend: of(|t| t.bend),
        }
    }
}

/// How much wider a cloth is than the distance of its outer ends' axes: by one end, and a wrap of weft on either side.
#[must_use]
pub fn edges(end: Mm, wrap: Mm) -> Mm {
    end + wrap * 2.0
}
