//! The small pictures of the list: each piece as it will be, finished. They are kept apart from the pictures of
//! the piece that is worked on, so that a look at the list costs that one nothing.

use crate::lock;
use fellmark_core::cloth::size::State;
use fellmark_core::study::Study;
use fellmark_core::yarn::Srgb;
use fellmark_picture::relief::{self, Picture, Region, Scale};
use fellmark_store::RevisionId;
use std::collections::VecDeque;
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex};

/// As many are kept: some ten kilobytes each.
const KEPT: usize = 200;
/// All have one scale, which is fine enough for a sharp screen.
const PER_MM: f64 = 3.5;
/// What is taller than the book is cut off at the top, in mm.
const TALLEST: f64 = 132.0;

/// What is pictured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Of {
    Revision(RevisionId),
    Example(String),
    Start(&'static str),
}

/// A small picture.
#[derive(Debug)]
pub(crate) struct Swatch {
    pub(crate) jpeg: Vec<u8>,
    pub(crate) per_mm: f64,
}

/// Those that were asked for lately, the latest first.
#[derive(Debug, Default)]
pub(crate) struct Swatches(Mutex<VecDeque<(Of, Srgb, Arc<Swatch>)>>);

impl Swatches {
    /// A small picture on this ground; `None` where there can be none.
    pub(crate) fn get(&self, of: Of, ground: Srgb, study: &Study) -> Option<Arc<Swatch>> {
        if let Some(known) = self.known(&of, ground) {
            return Some(known);
        }
        // Drawn outside of the lock: who asks for another doesn't wait.
        let swatch = Arc::new(draw(study, ground)?);
        let mut all = lock(&self.0);
        all.push_front((of, ground, Arc::clone(&swatch)));
        all.truncate(KEPT);
        Some(swatch)
    }

    fn known(&self, of: &Of, ground: Srgb) -> Option<Arc<Swatch>> {
        let mut all = lock(&self.0);
        let at = all.iter().position(|(known, on, _)| known == of && *on == ground)?;
        let found = all.remove(at)?;
        let swatch = Arc::clone(&found.2);
        all.push_front(found);
        Some(swatch)
    }
}

fn draw(study: &Study, ground: Srgb) -> Option<Swatch> {
    let mut options = Picture {
        state: State::Finished,
        scale: Scale::PerMm(PER_MM),
        frame: false,
        ground,
        // Whoever works on a piece has the other threads.
        threads: Some(NonZeroUsize::MIN),
        ..Picture::default()
    };
    let whole = relief::placement(study, &options).ok()?;
    let height = whole.height.min((TALLEST * PER_MM) as u32);
    options.region = Some(Region { x: 0, y: whole.height - height, width: whole.width, height });
    let raster = relief::picture(study, &options).ok()?;
    Some(Swatch { jpeg: relief::jpeg(&raster)?, per_mm: raster.per_mm })
}
