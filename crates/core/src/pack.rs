//! How rows pack: the heights at which rows come to rest when the comb pushes them down (the cloth model,
//! section 3).
//!
//! Two kinds of place keep rows apart. *On an end*, rows that pass it alike lie one above the other. *In the
//! gap* between two ends, rows that change from one face to the other in opposite senses cross each other.
//! Rows that do neither do not meet: inside a float two opposite rows lie at one height. Where the ends stand
//! closer than the strands are thick, the warp can't stay straight, and rows that pass an end differently are
//! kept apart by Peirce's jamming too.
//!
//! Rows are level here: the limit of a row too stiff to bend within the piece.

use crate::cloth::peirce;
use crate::quantity::Mm;
use crate::side::Span;
use crate::thread::Thread;

/// The places that a fell has so far, and what lies highest at each.
#[derive(Debug, Clone)]
pub struct Packer {
    spacing: Mm,
    warp_thick: Mm,
    comb: f64,
    /// Upper edge of the highest row over each end, and of the highest under it.
    on_end: [Vec<f64>; 2],
    /// Centre of the highest row over each end, and of the highest under it, for jammed cloth.
    centre: [Vec<f64>; 2],
    /// Upper edge of the highest row that changes in each gap: down to the right, and up to the right.
    in_gap: [Vec<f64>; 2],
    fell: f64,
}

impl Packer {
    /// An empty warp: `ends` ends at this spacing and of this thickness; `comb` scales how far rows stay
    /// apart.
    #[must_use]
    pub fn new(ends: u32, spacing: Mm, warp: Thread, comb: f64) -> Packer {
        let places = || vec![0.0; ends as usize];
        Packer {
            spacing,
            warp_thick: warp.thick,
            comb,
            on_end: [places(), places()],
            centre: [vec![f64::NEG_INFINITY; ends as usize], vec![f64::NEG_INFINITY; ends as usize]],
            in_gap: [places(), places()],
            fell: 0.0,
        }
    }

    /// Lays a row on the fell and combs it down. `over` tells for each end of the span, by its number among
    /// all ends, whether the row passes over it. Returns the height of the row's centre line.
    pub fn lay(&mut self, span: Span, over: impl Fn(u32) -> bool, weft: Thread) -> Mm {
        let (first, last) = (span.first() as usize, span.last() as usize);
        let along = weft.along.mm() * self.comb / 2.0;
        let squeezed = weft.squeezed.mm() * self.comb / 2.0;
        let jam = peirce::jammed_spacing(self.spacing, self.warp_thick + weft.thick).mm() * self.comb;
        let mut height = along;
        let mut left = over(span.first());
        for end in first..=last {
            let here = over(end as u32);
            height = height.max(self.on_end[usize::from(here)][end] + along);
            if jam > 0.0 {
                height = height.max(self.centre[usize::from(!here)][end] + jam);
            }
            if end > first && here != left {
                height = height.max(self.in_gap[usize::from(!here)][end] + squeezed);
            }
            left = here;
        }
        let mut left = over(span.first());
        for end in first..=last {
            let here = over(end as u32);
            let face = usize::from(here);
            self.on_end[face][end] = self.on_end[face][end].max(height + along);
            self.centre[face][end] = self.centre[face][end].max(height);
            if end > first && here != left {
                self.in_gap[face][end] = self.in_gap[face][end].max(height + squeezed);
            }
            left = here;
        }
        self.fell = self.fell.max(height + along);
        Mm::new(height)
    }

    /// The height of the fell: the upper edge of the highest row.
    #[must_use]
    pub fn fell(&self) -> Mm {
        Mm::new(self.fell)
    }
}
