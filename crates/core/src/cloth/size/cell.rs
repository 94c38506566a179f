//! The smallest piece of cloth: one crossing of warp and weft, on the loom and when its tension is gone.
//!
//! Both sets follow Peirce's geometry ([`peirce`]), each from one thread of the other set to the next: spacing,
//! rise and length, and both rises together make up the contact. On the loom the warp is as straight as the
//! spacing of the ends lets it be. Off the loom it springs back, and then warp and weft *share the crimp*: each
//! thread keeps its length, so all that is left free is how the contact is divided between the two rises, and it
//! is divided so that the threads are bent least.
//!
//! The energy is that of a slender elastic strand held alternately from both sides: between two crossings it is
//! a beam with level ends that are `h` apart, over its length l, and holds `6 B h^2 / l^3`, B its bending
//! rigidity. The sum over warp and weft, with `h1 + h2 = D`, is least where
//!
//! ```text
//! h1 / h2 = (B2 / l2^3) / (B1 / l1^3)
//! ```
//!
//! That is the balance of crossing forces of two relaxed elasticas in its small-deflection form (B. Olofsson,
//! *J. Text. Inst.* 55 (1964) T541; P. Grosberg & S. Kedia, *Text. Res. J.* 36 (1966) 71; S. de Jong & R. Postle's
//! energy methods of 1977: all three cited from memory, none was at hand). Two choices are this program's: l stands
//! where those papers have the spacing, since here the lengths are what is kept; and the angle, which at these
//! crimps is not small, is Peirce's. The least energy is convex in `h1`, so where a jammed thread can't rise as far
//! the nearest rise that it can reach is the least one, and there is always just one answer.

use crate::peirce::{self, Bend};
use crate::quantity::Mm;

/// One of the two sets of threads at a crossing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    /// From one thread that it crosses to the next.
    pub spacing: Mm,
    /// How far its axis moves from face to face.
    pub rise: Mm,
    /// The length of its axis.
    pub length: Mm,
}

impl Side {
    /// How much longer the thread is than the cloth, as a part of the cloth's length (the crimp of ASTM D3883).
    #[must_use]
    pub fn crimp(self) -> f64 {
        self.length / self.spacing - 1.0
    }
}

/// A crossing. The rises of warp and weft together make up the contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// The warp: its spacing is that of the rows.
    pub warp: Side,
    /// The weft: its spacing is that of the ends.
    pub weft: Side,
    /// Distance of both axes where they cross.
    pub contact: Mm,
}

/// How many halvings settle a contact to the last digit.
const HALVINGS: u32 = 60;

impl Cell {
    /// A crossing on the loom: ends and rows at these spacings, the warp as straight as it may be. Where rows
    /// were combed closer than Peirce's jam of round threads, the threads are taken to be flatter: the contact is
    /// the largest that both spacings allow. `None` if a length isn't more than nothing.
    #[must_use]
    pub fn on_loom(ends: Mm, rows: Mm, contact: Mm) -> Option<Cell> {
        let possible =
            [ends, rows, contact].iter().all(|length| length.mm() > 0.0 && length.mm().is_finite());
        if !possible {
            return None;
        }
        // Threads that jam need less and less room the flatter they are.
        let jams = |contact: Mm| peirce::jammed_spacing(ends, contact) > rows;
        let contact = largest(contact, jams);
        let weft_rise = peirce::weft_rise(ends, contact);
        let warp_rise = contact - weft_rise;
        Some(Cell { warp: side(rows, warp_rise, contact), weft: side(ends, weft_rise, contact), contact })
    }

    /// The same crossing with no tension in it: the warp shorter by `spring_back`, a part of its length, and the
    /// crimp shared by rigidities, in whatever unit both have. Threads keep their lengths; where both would jam,
    /// they are flattened further. Rows that are `touch` apart on the loom or less touch.
    #[must_use]
    pub fn released(self, spring_back: f64, touch: Mm, warp_rigidity: f64, weft_rigidity: f64) -> Cell {
        let warp = self.warp.length * (1.0 - spring_back.clamp(0.0, 0.95));
        let weft = self.weft.length;
        let jams =
            |contact: Mm| peirce::most_rise(warp, contact) + peirce::most_rise(weft, contact) < contact;
        let contact = largest(self.contact, jams);
        let stiffness = |rigidity: f64, length: Mm| rigidity / (length.mm() * length.mm() * length.mm());
        let (k1, k2) = (stiffness(warp_rigidity, warp), stiffness(weft_rigidity, weft));
        let share = if k1 + k2 > 0.0 { k2 / (k1 + k2) } else { 0.5 };
        let least = (contact - peirce::most_rise(weft, contact)).max(Mm::ZERO);
        let closest = self.warp.spacing.min(touch) * (warp / self.warp.length);
        let most = peirce::bend_of_crimp(closest, (warp / closest - 1.0).max(0.0), contact);
        let most = most.map_or(contact, |bend| bend.rise);
        let rise = (contact * share).min(most).max(least).min(peirce::most_rise(warp, contact));
        Cell { warp: kept(warp, rise, contact), weft: kept(weft, contact - rise, contact), contact }
    }

    /// This crossing, released, of yarns that fill out again when nothing presses them flat any more: what the warp has risen the
    /// weft need not give up as far as the contact may grow, at most to `full`, and as far as both can still bend. So a weft that
    /// has lain bent `on_loom` straightens little (common practice, no source: width is lost off the loom and hardly gained).
    #[must_use]
    pub fn filled_out(self, on_loom: Cell, full: Mm) -> Cell {
        let Cell { warp, weft, contact } = self;
        let wanted = (warp.rise + on_loom.weft.rise).min(full);
        // The thicker they are the less room is left to bend in.
        let bends = |contact: Mm| {
            peirce::most_rise(weft.length, contact) >= contact - warp.rise
                && peirce::most_rise(warp.length, contact) >= warp.rise
        };
        if wanted <= contact || !bends(contact) {
            return self;
        }
        let (mut low, mut high) = (contact, wanted);
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            if bends(middle) { low = middle } else { high = middle }
        }
        let contact = if bends(wanted) { wanted } else { low };
        Cell {
            warp: kept(warp.length, warp.rise, contact),
            weft: kept(weft.length, contact - warp.rise, contact),
            contact,
        }
    }

    /// Bending energy of both threads from this crossing to the next, in the unit of the rigidities over mm: what
    /// [`Cell::released`] makes least.
    #[must_use]
    pub fn energy(self, warp_rigidity: f64, weft_rigidity: f64) -> f64 {
        let of = |rigidity: f64, side: Side| {
            let (h, l) = (side.rise.mm(), side.length.mm());
            6.0 * rigidity * h * h / (l * l * l)
        };
        of(warp_rigidity, self.warp) + of(weft_rigidity, self.weft)
    }
}

/// The largest contact up to this one that does not jam; a flat enough thread never does.
fn largest(contact: Mm, jams: impl Fn(Mm) -> bool) -> Mm {
    if !jams(contact) {
        return contact;
    }
    let (mut low, mut high) = (Mm::ZERO, contact);
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if jams(middle) { high = middle } else { low = middle }
    }
    low
}

/// A thread from its spacing and rise. At the very jam, where rounding may leave no bend, it is all arc.
fn side(spacing: Mm, rise: Mm, contact: Mm) -> Side {
    let bend = peirce::bend(spacing, rise, contact);
    let length = bend.map_or_else(|| peirce::path_at_change(spacing, contact), |Bend { length, .. }| length);
    Side { spacing, rise, length }
}

/// A thread from its length and rise, within rounding of the most that it can rise.
fn kept(length: Mm, rise: Mm, contact: Mm) -> Side {
    let rise = rise.max(Mm::ZERO).min(peirce::most_rise(length, contact));
    Side { spacing: peirce::spacing_of(length, rise, contact).unwrap_or(length), rise, length }
}
