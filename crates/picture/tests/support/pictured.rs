//! A piece pictured, small and without its frame, and where a point of its cloth lies in that.

use fellmark_core::quantity::Mm;
use fellmark_core::side::Surface;
use fellmark_core::study::Study;
use fellmark_picture::relief::{Picture, Raster, Scale, picture, placement};

pub(crate) fn small() -> Picture {
    Picture { scale: Scale::PerMm(6.0), frame: false, ..Picture::default() }
}

/// The pixel of a point of the cloth as it is seen from its side.
pub(crate) fn place(study: &Study, options: &Picture, (x, y): (f64, f64)) -> (f64, f64) {
    let placement = placement(study, options).unwrap();
    let last = study.cloth.spacing() * f64::from(study.cloth.end_count() - 1);
    let x = if options.surface == Surface::Back { last - Mm::new(x) } else { Mm::new(x) };
    placement.pixel(x, Mm::new(y))
}

pub(crate) fn made(study: &Study, options: &Picture) -> Raster {
    picture(study, options).unwrap_or_else(|large| panic!("{large:?}"))
}
