//! How yarns lie in the cloth: where each row lies, what shows on its faces, how long it comes out, and where
//! it builds up. The geometry from which sizes, yarn and pictures follow.
//!
//! Across, a cloth has a place on every end and one in every gap between two ends ([`Across`]): 2n - 1 of them
//! for n ends, half a spacing apart. Heights are those of a row's centre line above the foot of the first row.

mod build_up;
mod cover;
mod lay;
mod map;
pub mod measures;
mod rise;
pub mod size;

pub use build_up::Hump;
pub use cover::{Cover, Seen, Shows};
pub use lay::lay;
pub use map::{Spot, Spots};

use crate::piece::{Piece, Place, PlaceId};
use crate::plan::WeftId;
use crate::quantity::Mm;
use crate::side::{Span, Surface};
use crate::thread::Thread;

/// A cloth on the loom, as it is packed.
#[derive(Debug, Clone, PartialEq)]
pub struct Cloth {
    spacing: Mm,
    /// Each end's strand.
    warp: Vec<Thread>,
    /// Each weft's strand.
    wefts: Vec<Thread>,
    /// Each row's span and weft.
    rows: Vec<(Span, WeftId)>,
    /// Where each row's heights begin.
    starts: Vec<usize>,
    heights: Vec<f32>,
    /// Upper edge of the highest row at every place across.
    fell: Vec<f32>,
    last_combable: Option<u32>,
    hump: Option<Hump>,
}

/// A place across the cloth. Ends are counted from 0 at the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Across {
    /// On an end.
    End(u32),
    /// In the gap to the right of an end.
    Gap(u32),
}

impl Across {
    /// Its number from the left, counted from 0: twice the end's, and one more for the gap.
    #[must_use]
    pub fn number(self) -> u32 {
        match self {
            Across::End(end) => end.saturating_mul(2),
            Across::Gap(end) => end.saturating_mul(2).saturating_add(1),
        }
    }

    /// The place of a number.
    #[must_use]
    pub fn of(number: u32) -> Across {
        if number.is_multiple_of(2) { Across::End(number / 2) } else { Across::Gap(number / 2) }
    }
}

/// Where a row lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lie<'a> {
    span: Span,
    heights: &'a [f32],
}

impl<'a> Lie<'a> {
    /// The ends that the row covers.
    #[must_use]
    pub fn span(self) -> Span {
        self.span
    }

    /// The height of its centre line in mm at every end of its span and in every gap between them, from the
    /// left.
    #[must_use]
    pub fn heights(self) -> &'a [f32] {
        self.heights
    }

    /// The height of its centre line at a place; `None` outside its span.
    #[must_use]
    pub fn at(self, place: Across) -> Option<Mm> {
        let from = place.number().checked_sub(Across::End(self.span.first()).number())?;
        self.heights.get(from as usize).map(|&height| Mm::new(f64::from(height)))
    }

    /// The mean height of its centre line over its ends.
    #[must_use]
    pub fn mean(self) -> Mm {
        let sum: f64 = self.heights.iter().step_by(2).map(|&height| f64::from(height)).sum();
        Mm::new(sum / f64::from(self.span.len()))
    }

    /// The highest point of its centre line.
    #[must_use]
    pub fn highest(self) -> Mm {
        Mm::new(f64::from(self.heights.iter().fold(0.0, |a: f32, &b| a.max(b))))
    }
}

impl Cloth {
    /// The same cloth as it lies in a state: its ends and its rows at other distances, in the order in which they
    /// are woven.
    #[must_use]
    pub fn lying(&self, stance: size::Stance) -> Cloth {
        let along = stance.along as f32;
        let mut cloth = self.clone();
        cloth.spacing = stance.spacing;
        cloth.heights.iter_mut().chain(&mut cloth.fell).for_each(|height| *height *= along);
        cloth
    }

    /// How many ends there are: at least one.
    #[must_use]
    pub fn end_count(&self) -> u32 {
        self.warp.len() as u32
    }

    /// How many rows there are.
    #[must_use]
    pub fn row_count(&self) -> u32 {
        self.rows.len() as u32
    }

    /// Distance between neighbouring ends; places across lie half of it apart.
    #[must_use]
    pub fn spacing(&self) -> Mm {
        self.spacing
    }

    /// An end's strand.
    ///
    /// # Panics
    /// If there is no such end.
    #[must_use]
    pub fn end(&self, end: u32) -> Thread {
        self.warp[end as usize]
    }

    /// A weft's strand.
    ///
    /// # Panics
    /// If there is no such weft.
    #[must_use]
    pub fn weft(&self, weft: WeftId) -> Thread {
        self.wefts[weft.0]
    }

    /// The strand that a row is woven with.
    ///
    /// # Panics
    /// If there is no such row.
    #[must_use]
    pub fn thread(&self, row: u32) -> Thread {
        self.weft(self.rows[row as usize].1)
    }

    /// Where a row lies.
    ///
    /// # Panics
    /// If there is no such row.
    #[must_use]
    pub fn row(&self, row: u32) -> Lie<'_> {
        let at = row as usize;
        let end = self.starts.get(at + 1).copied().unwrap_or(self.heights.len());
        Lie { span: self.rows[at].0, heights: &self.heights[self.starts[at]..end] }
    }

    /// The fell: the upper edge in mm of the highest row at every place across, from the left; 0 where nothing
    /// is woven.
    #[must_use]
    pub fn fell(&self) -> &[f32] {
        &self.fell
    }

    /// The fell at an end.
    #[must_use]
    pub fn fell_at(&self, end: u32) -> Mm {
        let at = self.fell.get(Across::End(end).number() as usize);
        Mm::new(at.map_or(0.0, |&height| f64::from(height)))
    }

    /// The woven length: the mean of the fell over all ends.
    #[must_use]
    pub fn length(&self) -> Mm {
        let ends = 0..self.end_count();
        ends.map(|end| self.fell_at(end)).sum::<Mm>() / f64::from(self.end_count().max(1))
    }

    /// The height of its highest point.
    #[must_use]
    pub fn highest(&self) -> Mm {
        Mm::new(f64::from(self.fell.iter().fold(0.0, |a: f32, &b| a.max(b))))
    }

    /// Rows per cm as they are counted along an end, on average over what is woven: rows of fields side by side are not
    /// above each other. `None` where nothing is woven.
    #[must_use]
    pub fn rows_per_cm(&self) -> Option<f64> {
        let crossings: u64 = self.rows.iter().map(|(span, _)| u64::from(span.len())).sum();
        let woven: Mm = (0..self.end_count()).map(|end| self.fell_at(end)).sum();
        (woven > Mm::ZERO).then(|| crossings as f64 / woven.cm())
    }

    /// The last row that lies within the reach of the needle together with all rows below it; `None` if not
    /// even the first does.
    #[must_use]
    pub fn last_combable(&self) -> Option<u32> {
        self.last_combable
    }

    /// Where the fell stands highest over its mean in the course of weaving, compared with the length woven
    /// so far; `None` where it keeps level throughout.
    #[must_use]
    pub fn hump(&self) -> Option<Hump> {
        self.hump
    }

    /// What shows at a place across, from the lowest row there to the highest.
    #[must_use]
    pub fn column(&self, piece: &Piece, across: Across, surface: Surface) -> Vec<Seen> {
        cover::column(self, piece, across, surface)
    }

    /// What a face of the cloth shows, in shares.
    #[must_use]
    pub fn cover(&self, piece: &Piece, surface: Surface) -> Cover {
        cover::cover(self, piece, 0..self.row_count(), surface)
    }

    /// What a face shows within a place of the stack, as far as its own rows decide, in shares.
    #[must_use]
    pub fn cover_in(&self, piece: &Piece, place: PlaceId, surface: Surface) -> Cover {
        let rows = piece.places.get(place.0).map_or(0..0, Place::row_range);
        cover::cover(self, piece, rows, surface)
    }

    /// What lies at a point: `x` from the first end to the right, `y` from the foot of the first row up, seen
    /// from the front. `None` outside the cloth.
    #[must_use]
    pub fn point(&self, piece: &Piece, x: Mm, y: Mm) -> Option<Spot> {
        map::point(self, piece, x, y)
    }

    /// What a finger finds along an end: what [`Cloth::point`] finds at every height of it.
    #[must_use]
    pub fn spots(&self, piece: &Piece, end: u32) -> Spots {
        map::spots(self, piece, end)
    }

    /// How much longer a row is than if it lay level: `gap` gives for each of its gaps, from the left, the
    /// length of its path there were it level.
    #[must_use]
    pub fn rise(&self, row: u32, gap: impl Fn(u32) -> Mm) -> Mm {
        rise::rise(self.row(row), gap)
    }
}
