//! A picture that is kept while its plan is edited: only the pieces that an edit changed are drawn again.

use super::drawn::{Drawn, paint, prepare};
use super::view::View;
use super::{Picture, Raster, Region, TooLarge};
use fellmark_core::study::Study;

/// A picture with what is needed to make the next from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    raster: Raster,
    options: Picture,
    view: View,
    /// The marks of its pieces, band by band from the bottom up.
    marks: Vec<u64>,
}

/// What an edit changed in a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changes {
    /// Whether all is new: the picture has another scale, width or place.
    pub all: bool,
    /// How many lines the picture grew at its top (below 0: lost). What did not change lies so many lines lower than
    /// before.
    pub grown: i64,
    /// The parts of the new picture that differ from the old one (after it has moved by `grown`), each as small as it
    /// can be, none over another.
    pub regions: Vec<Region>,
}

impl Kept {
    /// Pictures all of a piece; a region in the options is left aside.
    ///
    /// # Errors
    /// If it would be larger than any picture may be.
    pub fn new(study: &Study, options: &Picture) -> Result<Kept, TooLarge> {
        let options = Picture { region: None, ..options.clone() };
        let drawn = prepare(study, &options)?;
        Ok(Kept::full(&drawn, options))
    }

    fn full(drawn: &Drawn, options: Picture) -> Kept {
        let (view, part) = (drawn.view, drawn.part);
        let mut rgb = vec![0; part.width as usize * part.height as usize * 3];
        let mut marks = Vec::new();
        paint(drawn, &options, &mut rgb, Some(&mut marks), |_| {});
        let raster = Raster { width: part.width, height: part.height, per_mm: drawn.per_mm(), rgb };
        Kept { raster, options, view, marks }
    }

    /// The picture.
    #[must_use]
    pub fn raster(&self) -> &Raster {
        &self.raster
    }

    /// Makes it the picture of an edited piece, from the same side, in the same state and size: byte for byte what
    /// [`super::picture`] makes.
    ///
    /// # Errors
    /// If it would be larger than any picture may be; then it stays as it was.
    pub fn renew(&mut self, study: &Study) -> Result<Changes, TooLarge> {
        let drawn = prepare(study, &self.options)?;
        let (old, new) = (self.view, drawn.view);
        let grown = i64::from(new.height) - i64::from(old.height);
        if !old.lies_as(&new) {
            *self = Kept::full(&drawn, self.options.clone());
            let regions = vec![drawn.part];
            return Ok(Changes { all: true, grown, regions });
        }
        let line = new.width as usize * 3;
        if grown != 0 {
            // Lines are added and taken away at the top. A band that gets more or fewer has another mark.
            let keeps = old.height.min(new.height) as usize * line;
            let mut rgb = vec![0; new.height as usize * line];
            let (to, from) = (rgb.len() - keeps, self.raster.rgb.len() - keeps);
            rgb[to..].copy_from_slice(&self.raster.rgb[from..]);
            self.raster = Raster { height: new.height, rgb, ..self.raster };
        }
        self.view = new;
        let changed = std::sync::Mutex::new(Vec::new());
        paint(&drawn, &self.options, &mut self.raster.rgb, Some(&mut self.marks), |region| {
            if let Ok(mut changed) = changed.lock() {
                changed.push(region);
            }
        });
        let mut regions = changed.into_inner().unwrap_or_default();
        regions.sort_by_key(|region| (region.y, region.x));
        Ok(Changes { all: false, grown, regions })
    }
}
