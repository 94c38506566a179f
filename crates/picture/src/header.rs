//! The header below the first row in the line drawing: rows of waste yarn, or a strip of card.

use crate::cloth::Cloth;
use crate::edge::Edges;
use crate::frame::Frame;
use crate::ink;
use crate::path::{Paper, Path};
use crate::strand::{self, Layer};
use crate::svg::Svg;
use fellmark_core::piece::HeaderKind;
use fellmark_core::side::Pass;
use fellmark_core::study::Study;

/// What a header is drawn from.
pub(crate) enum Header {
    /// Rows: a cloth of its own, whose top is the foot of the first row.
    Woven(Box<Study>),
    /// A strip of card.
    Card {
        /// How much of the warp it takes, in mm.
        high: f64,
        /// Whether it goes over the first end, seen from the front.
        over_first: bool,
    },
}

impl Header {
    /// The header of a piece, if it has one.
    pub(crate) fn of(cloth: &Cloth<'_>) -> Option<Header> {
        let header = cloth.study.piece.header.as_ref()?;
        match header.kind {
            HeaderKind::Card { over_first } => {
                Some(Header::Card { high: header.length.value.mm(), over_first })
            }
            HeaderKind::Rows(_) => cloth.study.header().map(|rows| Header::Woven(Box::new(rows))),
        }
    }

    /// Draws what of it lies behind the warp, or before it.
    pub(crate) fn draw(&self, svg: &mut Svg, cloth: &Cloth<'_>, paper: &Paper, frame: &Frame, layer: Layer) {
        svg.element("g").set("class", "header").open();
        match self {
            Header::Woven(study) => {
                let rows = Cloth::new(study, cloth.surface, None);
                let below = Paper { base: paper.base + study.cloth.highest().mm(), ..*paper };
                strand::draw(svg, &rows, &below, layer);
                if layer == Layer::Over {
                    Edges::new(&rows).draw(svg, &rows, &below);
                }
            }
            Header::Card { high, over_first } => {
                card(svg, cloth, paper, frame, (-high, *over_first), layer);
            }
        }
        svg.close();
    }
}

/// How far a strip of card stands out beyond the warp, in mm: it is longer than the warp is wide, so that it can be taken hold of.
pub(crate) const BEYOND: f64 = 4.0;

/// A strip of card, over one end and under the next: all of it behind the warp, then what
/// lies before the ends that it goes over.
fn card(
    svg: &mut Svg,
    cloth: &Cloth<'_>,
    paper: &Paper,
    frame: &Frame,
    (low, over_first): (f64, bool),
    layer: Layer,
) {
    let half = cloth.spacing / 2.0;
    let count = cloth.study.piece.end_count();
    let (first, last) = (cloth.end_at(0), cloth.end_at(count.saturating_sub(1)));
    let opening = frame.opening();
    let left = (first - cloth.spacing - BEYOND).max(opening.0.min(first - half));
    let right = (last + cloth.spacing + BEYOND).min(opening.1.max(last + half));
    let (mut faces, mut lines) = (Path::new(paper), Path::new(paper));
    let mut strip = |from: f64, to: f64| {
        faces.move_to(from, low).line_to(to, low).line_to(to, 0.0).line_to(from, 0.0).close();
        lines.move_to(from, low).line_to(to, low).move_to(from, 0.0).line_to(to, 0.0);
    };
    match layer {
        Layer::Under => {
            strip(left, right);
            for end in [left, right] {
                lines.move_to(end, low).line_to(end, 0.0);
            }
        }
        Layer::Over => {
            let over =
                |end: u32| cloth.seen(Pass::from_bit(end.is_multiple_of(2) == over_first)) == Pass::Over;
            (0..count)
                .filter(|&end| over(end))
                .for_each(|end| strip(cloth.end_at(end) - half, cloth.end_at(end) + half));
        }
    }
    svg.element("path").set("fill", ink::CARD).set("d", faces.data()).end();
    svg.element("path")
        .set("fill", "none")
        .set("stroke", ink::FAINT)
        .length("stroke-width", 0.15)
        .set("d", lines.data())
        .end();
}
