//! Where the cloth lies in a picture: from a point of the cloth to a pixel, and back.

use super::Picture;
use super::view::View;
use fellmark_core::cloth::Cloth;
use fellmark_core::quantity::Mm;
use fellmark_core::side::Surface;
use fellmark_core::study::Study;

/// Where the cloth lies in a picture. Its points are those of [`Cloth::point`]: seen from the front on the loom,
/// before any draw-in, across from the first end and up from the foot of the first row, in whichever state and from
/// whichever side the cloth is shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Pixels across the whole picture.
    pub width: u32,
    /// Pixels down the whole picture.
    pub height: u32,
    /// Pixels for a mm of the cloth as it is shown.
    pub per_mm: f64,
    /// The pixel, from the left, of the first end seen from the front.
    pub first_end: f64,
    /// From one end to the next, in pixels: below 0 on the back, where the first end is at the right.
    pub end_to_end: f64,
    /// The pixel, from the top, of the foot of the first row.
    pub foot: f64,
    /// Pixels for a mm of height on the loom.
    pub up: f64,
    /// From one end to the next on the loom, in mm.
    spacing: f64,
}

impl Placement {
    pub(super) fn new(front: &Cloth, seen: &Study, options: &Picture, view: &View) -> Placement {
        let fine = f64::from(view.fine);
        let per_mm = view.scale / fine;
        let last = f64::from(seen.cloth.end_count().saturating_sub(1));
        let (first, last) =
            (f64::from(view.x(0.0)) / fine, f64::from(view.x(seen.cloth.spacing().mm() * last)) / fine);
        let step = seen.cloth.spacing().mm() * per_mm;
        let (first_end, end_to_end) = match options.surface {
            Surface::Front => (first, step),
            Surface::Back => (last, -step),
        };
        Placement {
            width: view.width,
            height: view.height,
            per_mm,
            first_end,
            end_to_end,
            foot: f64::from(view.height) - f64::from(view.y(0.0)) / fine,
            up: per_mm * seen.size.stance(options.state).along,
            spacing: front.spacing().mm(),
        }
    }

    /// The pixel of a point of the cloth: from the left and from the top of the whole picture.
    #[must_use]
    pub fn pixel(&self, x: Mm, y: Mm) -> (f64, f64) {
        (self.first_end + x.mm() / self.spacing * self.end_to_end, self.foot - y.mm() * self.up)
    }

    /// The point of the cloth at a pixel, for [`Cloth::point`].
    #[must_use]
    pub fn point(&self, x: f64, y: f64) -> (Mm, Mm) {
        let across = (x - self.first_end) / self.end_to_end * self.spacing;
        (Mm::new(across), Mm::new((self.foot - y) / self.up))
    }
}
