//! A picture that is kept while its plan is edited: only the pieces that an edit changed are drawn again.

use super::drawn::{Drawn, paint, prepare};
use super::view::View;
use super::{Picture, Placement, Raster, Region, TooLarge, seen};
use fellmark_core::study::Study;

/// A picture with what is needed to make the next from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    raster: Raster,
    options: Picture,
    view: View,
    placement: Placement,
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
    /// The parts of the new picture in which all lies that differs from the old one (after it has moved by `grown`), none
    /// over another. What is about as small joined is joined.
    pub regions: Vec<Region>,
}

impl Changes {
    /// What these and the next changes come to, in the picture that they led to.
    #[must_use]
    pub fn then(&self, next: &Changes, last: &Raster) -> Changes {
        let moved = self.regions.iter().filter_map(|region| {
            // What was lost at the top is gone.
            let down = |y: u32| (i64::from(y) + next.grown).clamp(0, i64::from(last.height)) as u32;
            let (y, low) = (down(region.y), down(region.y + region.height));
            (y < low).then_some(Region { y, height: low - y, ..*region })
        });
        let mut regions: Vec<Region> = Vec::new();
        for mut region in moved.chain(next.regions.iter().copied()) {
            // What lies over one another, or is about as small joined, is joined.
            while let Some(at) =
                regions.iter().position(|known| overlap(known, &region) || cheap(known, &region))
            {
                region = hull(&regions.swap_remove(at), &region);
            }
            regions.push(region);
        }
        Changes { all: self.all || next.all, grown: self.grown + next.grown, regions }
    }
}

impl Kept {
    /// Pictures all of a piece; a region in the options is left aside.
    ///
    /// # Errors
    /// If it would be larger than any picture may be.
    pub fn new(study: &Study, options: &Picture) -> Result<Kept, TooLarge> {
        let options = Picture { region: None, ..options.clone() };
        let seen = seen(study, &options);
        let drawn = prepare(&seen, &options)?;
        let placement = Placement::new(&study.cloth, &seen.study, &options, &drawn.view);
        Ok(Kept::full(&drawn, placement, options))
    }

    fn full(drawn: &Drawn, placement: Placement, options: Picture) -> Kept {
        let (view, part) = (drawn.view, drawn.part);
        let mut rgb = vec![0; part.width as usize * part.height as usize * 3];
        let mut marks = Vec::new();
        paint(drawn, &options, &mut rgb, Some(&mut marks), |_| {});
        let raster = Raster { width: part.width, height: part.height, per_mm: drawn.per_mm(), rgb };
        Kept { raster, options, view, placement, marks }
    }

    /// The picture.
    #[must_use]
    pub fn raster(&self) -> &Raster {
        &self.raster
    }

    /// Where the cloth lies in it.
    #[must_use]
    pub fn placement(&self) -> &Placement {
        &self.placement
    }

    /// Makes it the picture of an edited piece, from the same side, in the same state and size: byte for byte what
    /// [`super::picture`] makes.
    ///
    /// # Errors
    /// If it would be larger than any picture may be; then it stays as it was.
    pub fn renew(&mut self, study: &Study) -> Result<Changes, TooLarge> {
        let seen = seen(study, &self.options);
        let drawn = prepare(&seen, &self.options)?;
        let placement = Placement::new(&study.cloth, &seen.study, &self.options, &drawn.view);
        let (old, new) = (self.view, drawn.view);
        let grown = i64::from(new.height) - i64::from(old.height);
        if !old.lies_as(&new) {
            *self = Kept::full(&drawn, placement, self.options.clone());
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
        (self.view, self.placement) = (new, placement);
        let changed = std::sync::Mutex::new(Vec::new());
        paint(&drawn, &self.options, &mut self.raster.rgb, Some(&mut self.marks), |region| {
            if let Ok(mut changed) = changed.lock() {
                changed.push(region);
            }
        });
        let regions = joined(changed.into_inner().unwrap_or_default(), new.height, drawn.lines() as u32);
        Ok(Changes { all: false, grown, regions })
    }
}

/// Regions of pieces, the uppermost first, where it costs little joined within their bands, and bands with a single one
/// with each other. A band has so many lines, counted from the picture's bottom.
fn joined(mut regions: Vec<Region>, height: u32, lines: u32) -> Vec<Region> {
    let band = |region: &Region| (height - region.y - region.height) / lines.max(1);
    regions.sort_by_key(|region| (std::cmp::Reverse(band(region)), region.x));
    let mut bands: Vec<Vec<Region>> = Vec::new();
    for of_band in regions.chunk_by(|a, b| band(a) == band(b)) {
        let mut joined: Vec<Region> = Vec::new();
        for &region in of_band {
            match joined.last_mut() {
                Some(last) if cheap(last, &region) => *last = hull(last, &region),
                _ => joined.push(region),
            }
        }
        match (bands.last_mut().map(Vec::as_mut_slice), joined.as_slice()) {
            (Some([above]), [below]) if cheap(above, below) => *above = hull(above, below),
            _ => bands.push(joined),
        }
    }
    bands.concat()
}

/// Whether two regions joined have hardly more pixels than by themselves.
fn cheap(a: &Region, b: &Region) -> bool {
    let pixels = |region: &Region| u64::from(region.width) * u64::from(region.height);
    4 * pixels(&hull(a, b)) <= 5 * (pixels(a) + pixels(b))
}

fn overlap(a: &Region, b: &Region) -> bool {
    a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height
}

/// The smallest region with both.
fn hull(a: &Region, b: &Region) -> Region {
    let (x, y) = (a.x.min(b.x), a.y.min(b.y));
    let (right, low) = ((a.x + a.width).max(b.x + b.width), (a.y + a.height).max(b.y + b.height));
    Region { x, y, width: right - x, height: low - y }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plans::{plan, studied};
    use crate::relief::Scale;

    /// Two bands, each of a yarn of its own, on an order of a third.
    fn dyed(foam: &str) -> Study {
        let bands = r#"
[band.hem]
wefts = ["slate"]
weave = "plain"
rows = 80
[band.rim]
wefts = ["foam"]
weave = "plain"
rows = 8
[piece]
bands = ["hem", "rim"]
"#;
        studied(&plan(12, bands).replace("#e3e9de", foam))
    }

    #[test]
    fn where_a_yarn_lies_nowhere_near_nothing_is_drawn_again_when_it_is_dyed() {
        let options = Picture { frame: false, scale: Scale::PerMm(20.0), ..Picture::default() };
        let mut kept = Kept::new(&dyed("#e3e9de"), &options).unwrap();
        let before = kept.marks.clone();
        let changes = kept.renew(&dyed("#e3c0de")).unwrap();
        let anew = before.iter().zip(&kept.marks).filter(|(before, after)| before != after).count();
        assert!(!changes.all && !changes.regions.is_empty());
        assert!(0 < anew && anew * 3 < before.len(), "{anew} of {}", before.len());
    }

    fn at(x: u32, y: u32, width: u32, height: u32) -> Region {
        Region { x, y, width, height }
    }

    #[test]
    fn neighbours_are_joined_and_what_lies_apart_is_not() {
        // Bands of 10 lines from the bottom of a picture of 40.
        let beside = vec![at(0, 31, 20, 8), at(20, 30, 20, 9)];
        assert_eq!(joined(beside, 40, 10), [at(0, 30, 40, 9)]);
        let apart = vec![at(0, 31, 5, 8), at(90, 30, 5, 9)];
        assert_eq!(joined(apart.clone(), 40, 10), apart);
        let above = vec![at(2, 30, 20, 10), at(0, 20, 20, 10)];
        assert_eq!(joined(above, 40, 10), [at(0, 20, 22, 20)]);
        // A band that is in two stays so: joined with another it might come to lie over one of them.
        let three = vec![at(0, 20, 60, 10), at(0, 30, 5, 10), at(55, 30, 5, 10)];
        assert_eq!(joined(three.clone(), 40, 10), three);
        assert!(joined(Vec::new(), 40, 10).is_empty());
    }
}
