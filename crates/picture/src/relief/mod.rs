//! The picture that is the cloth: every strand as a round yarn with its plies, fibres and hairs, where the
//! packing puts it, lit softly from the top left.
//!
//! It is a field of heights (the foremost strand at every pixel wins), then light on it. The grain of a strand
//! is a function of its yarn, its row within its band, and the length along it: an edit in one band changes no
//! pixel of another that did not move. Equal studies and options give equal bytes on every machine and with any
//! number of threads.

mod abreast;
mod bands;
mod bars;
mod columns;
mod drawn;
mod edges;
mod hair;
mod header;
mod jpeg;
mod kept;
mod lay;
mod light;
mod look;
mod mark;
mod noise;
mod open;
mod placement;
mod png;
mod ramp;
mod scene;
mod shade;
mod shadow;
mod smooth;
mod stubs;
mod tails;
mod tile;
mod tube;
mod turns;
mod view;
mod wood;

pub use self::jpeg::jpeg;
pub use self::png::{png, png_quickly};
pub use crate::ink::{EVENING, PAPER};
pub use kept::{Changes, Kept};
pub use placement::Placement;
pub use tile::Shown;

use drawn::{paint, prepare};
use edges::Edging;
use fellmark_core::cloth::size::State;
use fellmark_core::side::{Side, Surface};
use fellmark_core::study::Study;
use fellmark_core::yarn::Srgb;
use header::Below;
use open::Warp;
use std::borrow::Cow;
use std::num::NonZeroUsize;
use std::ops::Range;
use view::View;

/// Half of the width of a row's yarn where it has come out of the cloth, in widths of it lying free.
const STUB_HALF: f32 = 0.43;
/// How deep it lies there, over its depth on the edge end.
const STUB_DEPTH: f32 = 0.6;
/// How thick it is there toward the eye, over its width.
const STUB_ROUND: f32 = 0.9;

/// How large a picture is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scale {
    /// So many px for a mm of the cloth.
    PerMm(f64),
    /// In true size on a device or paper with so many dots per inch.
    Dpi(f64),
    /// So many px wide.
    Width(u32),
}

/// How a piece is pictured.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// The side that is looked at; the back is turned like a page.
    pub surface: Surface,
    /// On the loom, released or finished: it is as large as [`fellmark_core::cloth::size`] says. Off the loom its
    /// warp hangs out in loops and knots; when it is finished no more of it is left than a fringe, and the tails are
    /// darned in.
    pub state: State,
    /// How large.
    pub scale: Scale,
    /// Whether, on the loom, the frame is shown, with the warp up to the bars; else the cloth alone.
    pub frame: bool,
    /// What it lies on.
    pub ground: Srgb,
    /// The rows to look at more closely, counted from 0, without the frame; `None`: all. Rows that the piece
    /// doesn't have are left out.
    pub rows: Option<Range<u32>>,
    /// A part of the picture; `None`: all of it. What lies beyond the picture is left out.
    pub region: Option<Region>,
    /// How many threads to use at most; `None`: as many as the machine has.
    pub threads: Option<NonZeroUsize>,
}

impl Picture {
    /// Whether the frame is shown: on the loom, where it is wished for, and not in a closer look at some rows.
    fn shows_frame(&self) -> bool {
        self.state == State::OnLoom && self.frame && self.rows.is_none()
    }
}

impl Default for Picture {
    fn default() -> Picture {
        Picture {
            surface: Surface::Front,
            state: State::OnLoom,
            scale: Scale::Width(1200),
            frame: true,
            ground: PAPER,
            rows: None,
            region: None,
            threads: None,
        }
    }
}

/// A part of a picture, in pixels from its top left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Region {
    /// Pixels left of it.
    pub x: u32,
    /// Pixels above it.
    pub y: u32,
    /// Its width.
    pub width: u32,
    /// Its height.
    pub height: u32,
}

/// Pixels, from the top left: red, green and blue of each.
#[derive(Debug, Clone, PartialEq)]
pub struct Raster {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Pixels for a mm of the cloth.
    pub per_mm: f64,
    /// Three bytes a pixel.
    pub rgb: Vec<u8>,
}

/// A picture larger than any may be ([`MOST_PIXELS`], [`LONGEST`]).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TooLarge {
    /// Pixels across that it would have.
    pub width: f64,
    /// Pixels down.
    pub height: f64,
}

/// The most pixels that are made at once.
pub const MOST_PIXELS: f64 = 100e6;
/// The most pixels across or down of a whole picture, of which a region may be made.
pub const LONGEST: f64 = 60_000.0;

/// Ground round the frame, and between the loops at the edges and the side, in mm.
pub const MARGIN: f64 = 5.0;
/// How far the warp goes on beyond the cloth where no frame is shown.
const OPEN: f64 = 7.0;

/// Pictures a piece as it lies in its state with the maker's likely habits, row 1 at the bottom.
///
/// # Errors
/// If it would be larger than any picture may be.
pub fn picture(study: &Study, options: &Picture) -> Result<Raster, TooLarge> {
    let seen = seen(study, options);
    let drawn = prepare(&seen, options)?;
    let (width, height) = (drawn.part.width, drawn.part.height);
    let mut rgb = vec![0; width as usize * height as usize * 3];
    paint(&drawn, options, &mut rgb, None, |_| {});
    Ok(Raster { width, height, per_mm: drawn.per_mm(), rgb })
}

/// What every pixel of the same picture shows, from the top left: what lies foremost at its middle.
///
/// # Errors
/// If it would be larger than any picture may be.
pub fn shown(study: &Study, options: &Picture) -> Result<(u32, u32, Vec<Shown>), TooLarge> {
    let seen = seen(study, options);
    let drawn = prepare(&seen, options)?;
    let (width, height) = (drawn.part.width, drawn.part.height);
    let mut all = vec![Shown::Paper; width as usize * height as usize];
    drawn.with_scene(|scene| {
        drawn.bands(options, &mut all, width as usize, Vec::new(), |desk, part, out, _| {
            desk.shown(scene, part, |x, width, shown| {
                for (out, shown) in out.chunks_mut(part.columns.len()).rev().zip(shown.chunks(width)) {
                    out.get_mut(x..x + width).unwrap_or_default().copy_from_slice(shown);
                }
            });
        });
    });
    Ok((width, height, all))
}

/// Where the cloth comes to lie in a picture.
///
/// # Errors
/// If the picture would be larger than any may be.
pub fn placement(study: &Study, options: &Picture) -> Result<Placement, TooLarge> {
    let seen = seen(study, options);
    let (edging, below) = seen.edging();
    let (view, _) = view(&seen.study, options, &edging, below.as_ref())?;
    Ok(Placement::new(&study.cloth, &seen.study, options, &view))
}

/// A piece as it lies before the eye, and what lies below it.
struct Seen<'a> {
    study: Cow<'a, Study>,
    state: State,
    /// The header's rows, if it is woven and seen.
    header: Option<Study>,
}

impl Seen<'_> {
    /// The edges of both, laid out.
    fn edging(&self) -> (Edging<'_>, Option<Below<'_>>) {
        (Edging::new(&self.study, self.state), self.header.as_ref().map(Below::new))
    }
}

/// A piece as it lies before the eye: from its side, in its state.
fn seen<'a>(study: &'a Study, options: &Picture) -> Seen<'a> {
    let mut study = match options.surface {
        Surface::Front => Cow::Borrowed(study),
        Surface::Back => Cow::Owned(study.from_back()),
    };
    let stance = study.size.stance(options.state);
    // On the loom it mostly lies as it was laid.
    if (stance.spacing, stance.along) != (study.cloth.spacing(), 1.0) {
        study.to_mut().cloth = study.cloth.lying(stance);
    }
    let header = options.shows_frame().then(|| study.header()).flatten().map(|mut header| {
        header.cloth = header.cloth.lying(stance);
        header
    });
    Seen { study, state: options.state, header }
}

/// What part of the plane a picture shows.
fn view(
    study: &Study,
    options: &Picture,
    edging: &Edging<'_>,
    below: Option<&Below<'_>>,
) -> Result<(View, Warp), TooLarge> {
    let last = study.cloth.spacing().mm() * f64::from(study.cloth.end_count().saturating_sub(1));
    // A margin in steps, so that an edit at an edge moves the picture seldom.
    let reach = |side| edging.reach(side).max(below.map_or(0.0, |below| below.edging.reach(side)));
    let beyond = |side| ((reach(side) + 1.0) / 5.0).ceil() * 5.0;
    let (left, right) = (beyond(Side::Left), beyond(Side::Right));
    let count = study.cloth.row_count();
    let closer = options.rows.as_ref().map(|rows| rows.start.min(count)..rows.end.min(count));
    let warp = Warp::new(study, edging, options, (left, right));
    let rectangle = match (&warp.frame, closer) {
        (Some(frame), _) => {
            let ((l, r), (b, t)) = (frame.across(), frame.down());
            // Knots and loops stand out beyond the bars.
            (l - MARGIN, b - MARGIN - 4.0, r + MARGIN, t + MARGIN + 4.0)
        }
        (None, None) => {
            let (low, high) = warp.shown(study.cloth.highest().mm());
            (-left, low, last + right, high)
        }
        (None, Some(rows)) => {
            let edges = rows.map(|row| {
                let (heights, half) =
                    (study.cloth.row(row).heights(), study.cloth.thread(row).spread().mm() / 2.0);
                let low = heights.iter().fold(f64::INFINITY, |a, &b| a.min(b.into()));
                let high = heights.iter().fold(0.0, |a: f64, &b| a.max(b.into()));
                (low - half, high + half)
            });
            let (low, high) = edges.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))).unwrap_or((0.0, 1.0));
            (-left, low, last + right, high)
        }
    };
    let (wide, high) = (rectangle.2 - rectangle.0, rectangle.3 - rectangle.1);
    let per_mm = match options.scale {
        Scale::PerMm(px) => px,
        Scale::Dpi(dots) => dots / 25.4,
        Scale::Width(px) => f64::from(px.max(1)) / wide,
    };
    let (width, height) = (wide * per_mm, high * per_mm);
    if !(width <= LONGEST && height <= LONGEST && per_mm > 0.0) {
        return Err(TooLarge { width, height });
    }
    let thinnest =
        study.piece.yarns.iter().map(|yarn| study.habits.diameter(yarn).mm()).fold(f64::INFINITY, f64::min);
    Ok((View::new(rectangle, per_mm, thinnest.min(10.0)), warp))
}
