//! The making of a picture, band by band and with many threads: all of it, or only the pieces that are not as they
//! were.

use super::bands::{self, Desk, Part};
use super::edges::Edging;
use super::header::Below;
use super::open::Warp;
use super::scene::Scene;
use super::view::View;
use super::{MOST_PIXELS, Picture, Region, Seen, TooLarge, mark, ramp, view};
use fellmark_core::study::Study;
use fellmark_core::yarn::Srgb;
use std::cell::Cell;
use std::num::NonZeroUsize;
use std::ops::Range;
use std::sync::{Mutex, PoisonError};

thread_local! {
    /// A thread's desk, from picture to picture: to ask for its memory anew takes a tenth of the time of a small one.
    static DESK: Cell<Desk> = Cell::default();
}

/// More threads than this are no use to a picture.
const MANY: usize = 64;

/// All that is known of a picture before its first pixel.
pub(super) struct Drawn<'a> {
    study: &'a Study,
    edging: Edging<'a>,
    below: Option<Below<'a>>,
    pub(super) view: View,
    warp: Warp,
    ground: Srgb,
    /// The part that is made.
    pub(super) part: Region,
}

/// Measures a picture of a piece as it lies before the eye.
pub(super) fn prepare<'a>(seen: &'a Seen<'_>, options: &Picture) -> Result<Drawn<'a>, TooLarge> {
    let (edging, below) = seen.edging();
    let (view, warp) = view(&seen.study, options, &edging, below.as_ref())?;
    let whole = Region { x: 0, y: 0, width: view.width, height: view.height };
    let part = options.region.unwrap_or(whole);
    let (x, y) = (part.x.min(view.width), part.y.min(view.height));
    let (width, height) = (part.width.min(view.width - x), part.height.min(view.height - y));
    if f64::from(width) * f64::from(height) > MOST_PIXELS {
        return Err(TooLarge { width: width.into(), height: height.into() });
    }
    Ok(Drawn {
        study: &seen.study,
        edging,
        below,
        view,
        warp,
        ground: options.ground,
        part: Region { x, y, width, height },
    })
}

/// A band to be made: its lines from the picture's bottom, its pixels, the marks of its pieces.
type Job<'a, T> = (Range<u32>, &'a mut [T], &'a mut [u64]);

impl Drawn<'_> {
    /// Px of the picture for a mm.
    pub(super) fn per_mm(&self) -> f64 {
        self.view.scale / f64::from(self.view.fine)
    }

    /// Lines in a band of a picture that is kept.
    pub(super) fn lines(&self) -> usize {
        bands::lines(&self.view)
    }

    /// Lays all strands and makes something of them.
    pub(super) fn with_scene(&self, make: impl FnOnce(&Scene<'_>)) {
        make(&Scene::new(self.study, self.view, &self.edging, self.below.as_ref(), &self.warp, self.ground));
    }

    /// Makes the part in bands, with as many threads as asked for at the most; a line takes `line` items. Those of a picture
    /// that is kept are counted from the bottom of the whole, so that an edit at its top moves none; of another each thread
    /// gets as many, as high as each other.
    pub(super) fn bands<T: Send>(
        &self,
        options: &Picture,
        mut pixels: &mut [T],
        line: usize,
        marks: Vec<&mut [u64]>,
        band: impl Fn(&mut Desk, &Part, &mut [T], &mut [u64]) + Sync,
    ) {
        let Region { x, y, width, height } = self.part;
        let threads = options.threads.map_or_else(rayon::current_num_threads, NonZeroUsize::get).min(MANY);
        let (low, top) = (self.view.height - y - height, self.view.height - y);
        let (high, from) = if marks.is_empty() {
            let count = (height as usize).div_ceil(bands::tall(&self.view)).next_multiple_of(threads);
            ((height as usize).div_ceil(count.max(1)).max(1) as u32, low)
        } else {
            (self.lines() as u32, 0)
        };
        let mut jobs: Vec<Job<'_, T>> = Vec::new();
        let mut marks = marks.into_iter();
        let mut to = top;
        while to > low {
            let from = (from + (to - from - 1) / high * high).max(low);
            let (band, rest) = pixels.split_at_mut((to - from) as usize * line);
            jobs.push((from..to, band, marks.next_back().unwrap_or_default()));
            (pixels, to) = (rest, from);
        }
        let jobs = Mutex::new(jobs.into_iter());
        let next = || jobs.lock().unwrap_or_else(PoisonError::into_inner).next();
        let work = || {
            let mut desk = DESK.take();
            while let Some((lines, out, marks)) = next() {
                band(&mut desk, &Part { columns: x..x + width, lines }, out, marks);
            }
            DESK.set(desk);
        };
        if threads == 1 {
            return work();
        }
        // Whoever asks for the picture begins at once; the others come in as they wake.
        rayon::in_place_scope(|scope| {
            for _ in 1..threads {
                scope.spawn(|_| work());
            }
            work();
        });
    }
}

/// Paints a picture's colours. With marks, only pieces are painted whose mark has changed, and `changed` gets what of
/// them is not as it was.
pub(super) fn paint(
    drawn: &Drawn<'_>,
    options: &Picture,
    rgb: &mut [u8],
    mut marks: Option<&mut Vec<u64>>,
    changed: impl Fn(Region) + Sync,
) {
    let (wide, high) = (drawn.part.width as usize * 3, drawn.lines());
    if rgb.is_empty() {
        return;
    }
    drawn.with_scene(|scene| {
        let known = marks.is_some();
        let across = bands::pieces_across(&drawn.view);
        let by_band = marks.as_mut().map_or_else(Vec::new, |marks| {
            marks.resize((drawn.part.height as usize).div_ceil(high) * across, 0);
            marks.chunks_mut(across).collect()
        });
        let of_scene = if known { mark::of_scene(scene) } else { 0 };
        drawn.bands(options, rgb, wide, by_band, |desk, part, out, marks| {
            desk.band(scene, part, known.then_some((of_scene, marks)), |x, width, colours| {
                let mut differs = Differs::default();
                // Pieces come from the bottom up, the picture goes from the top down.
                let lines = out.chunks_mut(wide).enumerate().rev().zip(colours.chunks(width));
                for ((line, out), colours) in lines {
                    let out = out.get_mut(x * 3..(x + width) * 3).unwrap_or_default();
                    if known {
                        differs.look(line, out, colours);
                    }
                    ramp::bytes(colours, out);
                }
                let top = drawn.view.height - part.lines.end - drawn.part.y;
                if let Some(region) = differs.region(x as u32, top) {
                    changed(region);
                }
            });
        });
    });
}

/// The pixels of a piece that are not as they were.
#[derive(Default)]
struct Differs {
    columns: Option<Range<usize>>,
    lines: Option<Range<usize>>,
}

impl Differs {
    fn look(&mut self, line: usize, old: &[u8], new: &[u32]) {
        let differs = |(old, new): (&[u8], &u32)| old != ramp::unpack(*new);
        let pairs = || old.chunks_exact(3).zip(new);
        let Some(first) = pairs().position(differs) else { return };
        let last = pairs().rposition(differs).unwrap_or(first) + 1;
        let widen = |known: &Option<Range<usize>>, new: Range<usize>| {
            known.as_ref().map_or(new.clone(), |k| k.start.min(new.start)..k.end.max(new.end))
        };
        self.columns = Some(widen(&self.columns, first..last));
        self.lines = Some(widen(&self.lines, line..line + 1));
    }

    /// The smallest region with all of them, of a piece that begins here.
    fn region(&self, x: u32, y: u32) -> Option<Region> {
        let (columns, lines) = (self.columns.as_ref()?, self.lines.as_ref()?);
        Some(Region {
            x: x + columns.start as u32,
            y: y + lines.start as u32,
            width: columns.len() as u32,
            height: lines.len() as u32,
        })
    }
}
