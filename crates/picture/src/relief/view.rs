//! From mm of the cloth to pixels: x to the right of the first end, y up from the foot of the first row.
//!
//! Pixels are counted from the bottom left inside the renderer, so that what lies low stays the same pixel
//! however high the cloth grows; pictures themselves begin at the top left.

/// What part of the plane the picture shows, and how finely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct View {
    /// Px of the fine grid per mm.
    pub(super) scale: f64,
    /// Pixels of the fine grid along one side of a pixel of the picture.
    pub(super) fine: u32,
    left: f64,
    bottom: f64,
    /// Pixels of the whole picture.
    pub(super) width: u32,
    pub(super) height: u32,
}

/// The least width of the thinnest strand in px of the fine grid: what is thinner is drawn finer and averaged.
const THINNEST: f64 = 3.5;
/// The most that a grid is finer.
const FINEST: f64 = 6.0;

impl View {
    /// The view of a rectangle in mm at a number of pixels per mm; `thinnest` is the thinnest strand of the plan.
    pub(super) fn new((left, bottom, right, top): (f64, f64, f64, f64), per_mm: f64, thinnest: f64) -> View {
        let pixels = |mm: f64| (mm * per_mm).round().clamp(1.0, f64::from(u32::MAX)) as u32;
        let fine = (THINNEST / (thinnest * per_mm).max(1e-6)).ceil().clamp(1.0, FINEST);
        View {
            scale: per_mm * fine,
            fine: fine as u32,
            left,
            bottom,
            width: pixels(right - left),
            height: pixels(top - bottom),
        }
    }

    /// Whether pixels that both have lie alike in both, counted from the bottom left.
    pub(super) fn lies_as(&self, other: &View) -> bool {
        *self == View { height: self.height, ..*other }
    }

    /// The view from a foot so many mm higher or lower.
    pub(super) fn standing_on(self, mm: f64) -> View {
        View { bottom: self.bottom - mm, ..self }
    }

    pub(super) fn x(&self, mm: f64) -> f32 {
        ((mm - self.left) * self.scale) as f32
    }

    pub(super) fn y(&self, mm: f64) -> f32 {
        ((mm - self.bottom) * self.scale) as f32
    }

    pub(super) fn px(&self, mm: f64) -> f32 {
        (mm * self.scale) as f32
    }
}
