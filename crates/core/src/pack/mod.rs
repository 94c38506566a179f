//! How rows pack: the heights at which rows come to rest when the comb pushes them down (the cloth model,
//! section 3).
//!
//! Two kinds of place keep rows apart. *On an end*, rows that pass it alike lie one above the other. *In the
//! gap* between two ends, rows that change from one face to the other in opposite senses cross each other, and
//! rows that change in the same sense lie side by side. Rows that do none of this do not meet: inside a float
//! two opposite rows lie at one height. Where the ends stand closer than the strands are thick, the warp can't
//! stay straight, and rows that pass an end differently are kept apart by Peirce's jamming too, of strands side by side
//! by Kemp's.
//!
//! Rows that are not to come so close keep a distance of their own ([`Packer::lay`], `apart`): on every end they lie so far
//! above whatever lies highest there, on either face.
//!
//! In a gap in which it meets nothing a row reaches straight from end to end: no strand dives between two
//! ends. Over longer stretches it sags as far as it bends ([`Thread::bend`]): it is the lowest row that clears
//! its contacts and nowhere curves upward more sharply. A row that doesn't bend is level: the limit of a rod.

mod closing;
mod height;

pub use height::Height;

use crate::quantity::Mm;
use crate::racetrack::Crossed;
use crate::side::Span;
use crate::thread::Thread;

/// A fell: what lies highest at each of its places so far.
#[derive(Debug, Clone)]
pub struct Packer {
    spacing: Mm,
    warp: Thread,
    comb: f64,
    on_end: Vec<OnEnd>,
    /// The gap to the left of each end.
    in_gap: Vec<InGap>,
    fell: Height,
    /// The row that was laid last: its height at every end of its span and in the gaps between.
    row: Vec<Height>,
    supports: Vec<usize>,
}

/// What lies highest on an end, by face: under it, over it.
#[derive(Debug, Clone, Copy)]
struct OnEnd {
    /// Upper edges, for rows on the same face.
    edge: [Height; 2],
    /// The same for rows on the other face, where they jam.
    jam: [Height; 2],
    /// The centre of the row that lies highest, on either face.
    centre: Height,
}

/// What lies highest in a gap, by the sense in which it changes: down to the right, up to the right.
#[derive(Debug, Clone, Copy)]
struct InGap {
    /// Upper edges, for rows that cross them.
    crossing: [Height; 2],
    /// The same for rows that lie beside them.
    beside: [Height; 2],
}

/// How far apart a weft is kept, and how sharply it bends: all that a packing has of its strands. Rows of wefts that
/// have these alike pack alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Keeps {
    halves: Halves,
    sag: Height,
}

/// Half of the distances that a weft keeps from another of its kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Halves {
    along: Height,
    squeezed: Height,
    jam: Height,
}

impl Packer {
    /// An empty warp: `ends` ends at this spacing and of this thickness; `comb` scales how far rows stay
    /// apart.
    #[must_use]
    pub fn new(ends: u32, spacing: Mm, warp: Thread, comb: f64) -> Packer {
        let (foot, nothing) = ([Height::FOOT; 2], [Height::NOTHING; 2]);
        Packer {
            spacing,
            warp,
            comb,
            on_end: vec![OnEnd { edge: foot, jam: nothing, centre: Height::NOTHING }; ends as usize],
            in_gap: vec![InGap { crossing: foot, beside: nothing }; ends as usize],
            fell: Height::FOOT,
            row: Vec::new(),
            supports: Vec::new(),
        }
    }

    /// Lays a row that doesn't bend on the fell and combs it down. `over` tells for each end of the span, by
    /// its number among all ends, whether the row passes over it; `apart` is how far it stays at least above the rows
    /// below, whatever `comb` is. Returns the height of the row's centre line.
    ///
    /// # Panics
    /// If the span reaches beyond the ends.
    pub fn lay(&mut self, span: Span, over: impl Fn(u32) -> bool, weft: Thread, apart: Option<Mm>) -> Mm {
        let halves = self.halves(weft);
        let mut height = halves.along;
        self.meet(span, &over, halves, apart, |_, contact| height = height.max(contact));
        self.settle(span, &over, halves, |_| height);
        self.fell = self.fell.max(height + halves.along);
        height.mm()
    }

    /// Lays a row as [`Packer::lay`] does, but lets it bend as far as its thread does. Returns the height of
    /// its centre line at every end of the span and in every gap between them, from the left: 2n - 1 places
    /// for n ends.
    ///
    /// # Panics
    /// If the span reaches beyond the ends.
    pub fn lay_bending(
        &mut self,
        span: Span,
        over: impl Fn(u32) -> bool,
        weft: Thread,
        apart: Option<Mm>,
    ) -> &[Height] {
        let halves = self.halves(weft);
        let mut row = std::mem::take(&mut self.row);
        row.clear();
        row.resize(2 * span.len() as usize - 1, halves.along);
        self.meet(span, &over, halves, apart, |place, contact| row[place] = row[place].max(contact));
        reach_across_gaps(&mut row);
        closing::close(&mut row, self.sag(weft), &mut self.supports);
        self.settle(span, &over, halves, |place| row[place]);
        let highest = row.iter().copied().max().unwrap_or_default();
        self.fell = self.fell.max(highest + halves.along);
        self.row = row;
        &self.row
    }

    /// Lays a row as [`Packer::lay_bending`] does and returns its mean height over its ends: what a piece is
    /// planned with.
    ///
    /// # Panics
    /// If the span reaches beyond the ends.
    pub fn lay_mean(
        &mut self,
        span: Span,
        over: impl Fn(u32) -> bool,
        weft: Thread,
        apart: Option<Mm>,
    ) -> Mm {
        let row = self.lay_bending(span, over, weft, apart);
        let sum: Mm = row.iter().step_by(2).map(|height| height.mm()).sum();
        sum / f64::from(span.len())
    }

    /// The height of the fell: the upper edge of the highest row.
    #[must_use]
    pub fn fell(&self) -> Mm {
        self.fell.mm()
    }

    /// What packing a weft into this warp comes to.
    #[must_use]
    pub fn keeps(&self, weft: Thread) -> Keeps {
        Keeps { halves: self.halves(weft), sag: self.sag(weft) }
    }

    fn halves(&self, weft: Thread) -> Halves {
        let half = |distance: Mm| Height::distance(distance * (self.comb / 2.0));
        Halves {
            along: half(weft.along),
            squeezed: half(weft.squeezed),
            jam: half(Crossed::of(&self.warp, self.spacing, &weft).closest_rows(&weft)),
        }
    }

    /// How far the sharpest bend of a thread leaves a straight line from one place to the next, half a spacing
    /// away: `x^2 / 2 R`.
    fn sag(&self, weft: Thread) -> Height {
        let place = self.spacing / 2.0;
        Height::distance(place * (place / (weft.bend * 2.0)))
    }

    /// The contacts of a row that is to be laid: calls `contact` with a place and the height that the row must
    /// have there at least, for every end and every gap in which it changes.
    #[inline]
    fn meet(
        &self,
        span: Span,
        over: impl Fn(u32) -> bool,
        halves: Halves,
        apart: Option<Mm>,
        mut contact: impl FnMut(usize, Height),
    ) {
        let (from, to) = (span.first() as usize, span.last() as usize);
        let ends = self.on_end[from..=to].iter().zip(&self.in_gap[from..=to]);
        let jams = halves.jam > Height::FOOT;
        let apart = apart.map(Height::distance);
        let mut left = over(span.first());
        for ((end, (on_end, in_gap)), place) in span.ends().zip(ends).zip((0..).step_by(2)) {
            let here = over(end);
            let mut on = on_end.edge[usize::from(here)] + halves.along;
            if jams {
                on = on.max(on_end.jam[usize::from(!here)] + halves.jam);
            }
            if let Some(apart) = apart {
                on = on.max(on_end.centre + apart);
            }
            contact(place, on);
            if here != left {
                let crossing = in_gap.crossing[usize::from(!here)] + halves.squeezed;
                contact(place - 1, crossing.max(in_gap.beside[usize::from(here)] + halves.along));
            }
            left = here;
        }
    }

    /// Takes a row that lies at these heights into the fell.
    #[inline]
    fn settle(
        &mut self,
        span: Span,
        over: impl Fn(u32) -> bool,
        halves: Halves,
        height: impl Fn(usize) -> Height,
    ) {
        let (from, to) = (span.first() as usize, span.last() as usize);
        let ends = self.on_end[from..=to].iter_mut().zip(&mut self.in_gap[from..=to]);
        let raise = |known: &mut Height, to: Height| *known = (*known).max(to);
        let mut left = over(span.first());
        for ((end, (on_end, in_gap)), place) in span.ends().zip(ends).zip((0..).step_by(2)) {
            let here = over(end);
            let face = usize::from(here);
            raise(&mut on_end.edge[face], height(place) + halves.along);
            raise(&mut on_end.jam[face], height(place) + halves.jam);
            raise(&mut on_end.centre, height(place));
            if here != left {
                raise(&mut in_gap.crossing[face], height(place - 1) + halves.squeezed);
                raise(&mut in_gap.beside[face], height(place - 1) + halves.along);
            }
            left = here;
        }
    }
}

/// In each gap a row lies no lower than halfway between the ends beside it.
fn reach_across_gaps(row: &mut [Height]) {
    for at in (2..row.len()).step_by(2) {
        let halfway = Height((row[at - 2].0 + row[at].0) >> 1);
        row[at - 1] = row[at - 1].max(halfway);
    }
}

#[cfg(test)]
mod tests;
