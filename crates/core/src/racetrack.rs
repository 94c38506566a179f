//! Strands that lie side by side and are crossed as one.
//!
//! Their section is no circle but a racetrack: as wide as all of them and as thick as one, straight over so much of its
//! width as it is wider than thick, and round at both ends. A thread runs straight over the straight part and bends
//! between two of them as Peirce's geometry ([`peirce`]) has it of round threads that stand so much closer: with the
//! flat part taken from spacing and length, his equations hold as they are (A. Kemp, *J. Text. Inst.* 49 (1958) T44; the
//! citation and its form from memory). A strand alone is a racetrack with no straight part.

use crate::peirce;
use crate::quantity::Mm;
use crate::thread::Thread;

/// Threads at some distance that another crosses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossed {
    /// From one to the next, from middle to middle.
    pub spacing: Mm,
    /// How much of that the thread runs straight over one of them.
    pub flat: Mm,
    /// Distance of both axes where they cross.
    pub contact: Mm,
}

impl Crossed {
    /// Threads at a spacing, crossed by another.
    #[must_use]
    pub fn of(threads: &Thread, spacing: Mm, by: &Thread) -> Crossed {
        Crossed { spacing, flat: threads.flat().min(spacing), contact: threads.thick + by.thick }
    }

    /// The spacing of round threads between which it would bend alike.
    #[must_use]
    pub fn round(self) -> Mm {
        self.spacing - self.flat
    }

    /// How far apart they stand for the thickness of both, as Peirce's geometry counts it: below 1 neither set can stay
    /// straight while the other takes all the bends.
    #[must_use]
    pub fn openness(self) -> f64 {
        self.round() / self.contact
    }

    /// Whether they leave the thread room to bend from face to face while they stay straight.
    #[must_use]
    pub fn stay_straight(self) -> bool {
        self.round() >= self.contact
    }

    /// How far a weft can move from face to face between such ends.
    #[must_use]
    pub fn weft_rise(self) -> Mm {
        peirce::weft_rise(self.round(), self.contact)
    }

    /// The length of weft that a change of face takes between such ends.
    #[must_use]
    pub fn path_at_change(self) -> Mm {
        peirce::path_at_change(self.round(), self.contact) + self.flat
    }

    /// The length of weft round the outermost of such ends, from face to face.
    #[must_use]
    pub fn path_round(self) -> Mm {
        self.contact * std::f64::consts::FRAC_PI_2 + self.flat
    }

    /// The closest that rows of such a weft can lie, on both faces of such ends in turn, where the ends stand so close
    /// that they bend round the rows; nothing where they stay straight.
    #[must_use]
    pub fn closest_rows(self, weft: &Thread) -> Mm {
        if self.stay_straight() {
            Mm::ZERO
        } else {
            peirce::jammed_spacing(self.round(), self.contact) + weft.flat()
        }
    }
}
