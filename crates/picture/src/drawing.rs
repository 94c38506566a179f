//! The sheet: what lies where, and in what order it is drawn.

use crate::cloth::Cloth;
use crate::edge::Edges;
use crate::frame::Frame;
use crate::header::Header;
use crate::ink;
use crate::labels::{self, Bands, Key};
use crate::path::Paper;
use crate::ruler;
use crate::strand::{self, Layer};
use crate::svg::Svg;
use crate::type_size::{ASIDE, FAMILY, Held, TITLE};
use crate::warp;
use fellmark_core::say::{self, Units};
use fellmark_core::side::{Side, Surface};
use fellmark_core::study::Study;
use fellmark_core::warp::wind;
use std::fmt::Display;
use std::ops::Range;

/// How a piece is drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// How the reader measures.
    pub units: Units,
    /// The side that is looked at; the back is turned like a page.
    pub surface: Surface,
    /// Whether the frame is drawn round it, with the warp up to its bars.
    pub frame: bool,
    /// The rows to draw, counted from 0, for a closer look without the frame; `None`: all. Rows that the piece
    /// doesn't have are left out.
    pub rows: Option<Range<u32>>,
}

impl Default for Drawing {
    fn default() -> Drawing {
        Drawing { units: Units::default(), surface: Surface::Front, frame: true, rows: None }
    }
}

/// White all round, in mm.
const MARGIN: f64 = 9.0;
/// Between the parts of the sheet.
const GAP: f64 = 3.5;
/// How far the warp goes on beyond the cloth where no frame is drawn.
const OPEN: f64 = 6.0;

/// Draws a piece as an SVG document in true size: width and height are in mm, and one unit is one mm.
///
/// It is the cloth as it lies on the loom with the maker's likely habits, row 1 at the bottom. The document is
/// well-formed XML without references to anything outside; equal studies and options give equal bytes. Its size
/// grows in proportion to the crossings.
#[must_use]
pub fn drawing(study: &Study, options: &Drawing) -> String {
    let cloth = Cloth::new(study, options.surface, options.rows.as_ref());
    let sheet = Sheet::new(&cloth, options);
    let mut svg = Svg::default();
    svg.element("svg")
        .set("xmlns", "http://www.w3.org/2000/svg")
        .set("width", format_args!("{}mm", crate::svg::Hundredths::of(sheet.width)))
        .set("height", format_args!("{}mm", crate::svg::Hundredths::of(sheet.height)))
        .set(
            "viewBox",
            format_args!(
                "0 0 {} {}",
                crate::svg::Hundredths::of(sheet.width),
                crate::svg::Hundredths::of(sheet.height)
            ),
        )
        .set("role", "img")
        .set("font-family", FAMILY)
        .open();
    svg.element("title").text(&study.piece.name);
    svg.element("desc").text(description(study, options));
    svg.element("rect")
        .set("class", "ground")
        .length("width", sheet.width)
        .length("height", sheet.height)
        .set("fill", ink::PAPER)
        .end();
    sheet.draw(&mut svg, &cloth, options);
    svg.finish()
}

/// How wide and how tall a drawing is, in mm.
pub(crate) fn extent(study: &Study, options: &Drawing) -> (f64, f64) {
    let cloth = Cloth::new(study, options.surface, options.rows.as_ref());
    let sheet = Sheet::new(&cloth, options);
    (sheet.width, sheet.height)
}

/// The piece in words, for who does not see the drawing.
fn description(study: &Study, options: &Drawing) -> impl Display {
    let Study { piece, walk, need, size, findings, .. } = study;
    let side = say::seen_from(options.surface);
    let asked = say::asked(piece, options.units);
    let follows = say::follows(piece, walk, findings, need, size, options.units);
    format!("{asked} {follows} {side}")
}

/// What lies where on the sheet.
struct Sheet<'a> {
    width: f64,
    height: f64,
    paper: Paper,
    edges: Edges,
    frame: Option<(Frame, fellmark_core::warp::Winding)>,
    bands: Bands<'a>,
    /// The yarns, where the bands don't say which they are woven with.
    key: Option<Key>,
    /// Where the numbers of rows are held, the ruler stands and the brackets stand.
    numbers_at: f64,
    ruler_at: f64,
    bands_at: f64,
    /// The heights between which the ruler stands, and the warp where there is no frame.
    low: f64,
    high: f64,
}

impl<'a> Sheet<'a> {
    fn new(cloth: &Cloth<'a>, options: &Drawing) -> Sheet<'a> {
        let study = cloth.study;
        let edges = Edges::new(cloth);
        let reach = |side| edges.reach(cloth, side);
        let numbers = labels::numbers_width(cloth);
        let turned = cloth.surface == Surface::Back;
        // The numbers stand at the left of the sheet, whichever side of the cloth that is.
        let room = if turned {
            (reach(Side::Left) + GAP, reach(Side::Right) + numbers + GAP)
        } else {
            (reach(Side::Left) + numbers + GAP, reach(Side::Right) + GAP)
        };
        let frame = (options.frame && options.rows.is_none()).then(|| {
            let winding = wind(&study.piece, &study.habits);
            (Frame::new(cloth, &winding, room), winding)
        });
        let (foot, top) = cloth.extent().unwrap_or_default();
        let last_end = cloth.end_at(study.piece.end_count().saturating_sub(1));
        let across = frame.as_ref().map_or((-room.0, last_end + room.1), |(frame, _)| frame.across());
        let down = frame.as_ref().map_or((foot - OPEN, top + OPEN), |(frame, _)| frame.down());
        let (low, high) = match &frame {
            Some((frame, _)) => (0.0, frame.inner(true).max(top)),
            None => (foot.max(0.0), top),
        };
        let bands = Bands::new(cloth, (down.1 - down.0).max(20.0));
        let (bands_low, bands_high) = bands.extent().unwrap_or((low, high));
        // Knots and tails may reach a little beyond the bars.
        let beyond = 3.5;
        let bottom = (down.0.min(foot) - beyond).min(bands_low);
        let highest = (down.1.max(top) + beyond).max(bands_high);

        let (left, right) = if turned { (last_end - across.1, last_end - across.0) } else { across };
        let ruler = ruler::width(high, options.units);
        let origin = MARGIN + ruler + GAP - left;
        let bands_at = origin + right + GAP;
        let aside = say::surface(options.surface);
        let title = TITLE.width(&TITLE.cut(&study.piece.name, LONGEST_TITLE)) + 3.0 + ASIDE.width(aside);
        let width = (bands_at + bands.width).max(MARGIN + title) + MARGIN;
        let key = (!bands.with_wefts).then(|| Key::new(cloth, width - 2.0 * MARGIN));
        let head = MARGIN + TITLE.size + GAP * 1.5 + key.as_ref().map_or(0.0, Key::tall);
        // Next to the loops of the cloth, inside the frame.
        let numbers_at = origin - reach(if turned { Side::Right } else { Side::Left }) - 2.5;
        Sheet {
            width,
            height: head + highest - bottom + MARGIN,
            paper: Paper { left: origin, base: head + highest, turned_at: turned.then_some(last_end) },
            edges,
            frame,
            bands,
            key,
            numbers_at,
            ruler_at: MARGIN + ruler,
            bands_at,
            low,
            high,
        }
    }

    fn draw(&self, svg: &mut Svg, cloth: &Cloth, options: &Drawing) {
        let paper = &self.paper;
        let name = TITLE.cut(&cloth.study.piece.name, LONGEST_TITLE);
        let foot = MARGIN + TITLE.size * 0.8;
        match options.surface {
            Surface::Front => TITLE.write(svg, "title", (MARGIN, foot), Held::AtStart, &name),
            Surface::Back => {
                let aside = say::surface(options.surface);
                TITLE.write_two(svg, (MARGIN, foot), ("title", &name), (ASIDE, "surface", aside));
            }
        }
        if let Some(key) = &self.key {
            key.draw(svg, cloth, paper, (MARGIN, MARGIN + TITLE.size + GAP / 2.0));
        }
        if let Some((frame, _)) = &self.frame {
            frame.draw(svg, paper);
        }
        ruler::draw(svg, paper, self.ruler_at, (self.low, self.high), options.units);
        let header = self.frame.as_ref().and_then(|(frame, _)| Some((frame, Header::of(cloth)?)));
        if let Some((frame, header)) = &header {
            header.draw(svg, cloth, paper, frame, Layer::Under);
        }
        strand::draw(svg, cloth, paper, Layer::Under);
        match &self.frame {
            Some((frame, winding)) => warp::draw_wound(svg, cloth, paper, frame, winding),
            None => {
                let (low, high) = cloth.extent().unwrap_or_default();
                warp::draw_open(svg, cloth, paper, (low - OPEN, high + OPEN));
            }
        }
        if let Some((frame, header)) = &header {
            header.draw(svg, cloth, paper, frame, Layer::Over);
        }
        strand::draw(svg, cloth, paper, Layer::Over);
        self.edges.draw(svg, cloth, paper);
        labels::draw_numbers(svg, cloth, paper, self.numbers_at);
        self.bands.draw(svg, cloth, paper, self.bands_at);
    }
}

/// The longest that a piece's name is written.
const LONGEST_TITLE: f64 = 170.0;
