//! Rows as strands: what lies under the warp, and what lies over it.
//!
//! Each is drawn in two strokes. The core runs along the middle, as wide as the strand is where it changes face;
//! the two sides swell out from it over every end and are lined. At the middle of a gap both end in a plain
//! cut, so that the part over and the part under join as one strand.

use crate::cloth::{Cloth, Strand};
use crate::path::{Paper, Path};
use crate::svg::Svg;
use fellmark_core::side::{Pass, Side};
use std::fmt::Write;

/// What of the rows is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Layer {
    /// Behind the warp.
    Under,
    /// In front of it.
    Over,
}

/// Draws one layer of all rows, from the bottom up.
pub(crate) fn draw(svg: &mut Svg, cloth: &Cloth, paper: &Paper, layer: Layer) {
    let name = match layer {
        Layer::Under => "rows-under",
        Layer::Over => "rows-over",
    };
    svg.element("g").set("class", name).set("fill", "none").open();
    for row in cloth.rows.clone() {
        draw_row(svg, cloth, paper, layer, row);
    }
    svg.close();
}

/// A stretch of ends that a row passes alike.
struct Stretch {
    first: u32,
    last: u32,
    /// Where it begins and ends: in the middle of a gap, or beyond the edge.
    left: f64,
    right: f64,
}

fn stretches(cloth: &Cloth, row: u32, layer: Layer) -> Vec<Stretch> {
    let crossings = cloth.study.piece.crossings(row);
    let span = crossings.span();
    let wanted = match layer {
        Layer::Under => Pass::Under,
        Layer::Over => Pass::Over,
    };
    let (left_edge, right_edge) = (cloth.comes_out(row, Side::Left), cloth.comes_out(row, Side::Right));
    let mut first = span.first();
    let mut all = Vec::new();
    for run in crossings.runs(Side::Left) {
        let last = first + (run.ends - 1);
        if cloth.seen(run.pass) == wanted {
            let half_gap = cloth.spacing / 2.0;
            all.push(Stretch {
                first,
                last,
                left: if first == span.first() { left_edge } else { cloth.end_at(first) - half_gap },
                right: if last == span.last() { right_edge } else { cloth.end_at(last) + half_gap },
            });
        }
        first = last + 1;
    }
    all
}

fn draw_row(svg: &mut Svg, cloth: &Cloth, paper: &Paper, layer: Layer, row: u32) {
    let weft = cloth.weft(row);
    let (height, slender) = (cloth.height(row), cloth.slender(row));
    let stretches = stretches(cloth, row, layer);
    let mut core = Path::new(paper);
    if layer == Layer::Under {
        // The whole row: what lies over covers its part of it.
        core.move_to(cloth.comes_out(row, Side::Left), height);
        core.line_to(cloth.comes_out(row, Side::Right), height);
    }
    let mut sides = Path::new(paper);
    let mut seams = Path::new(paper);
    let mut ends = String::new();
    for stretch in &stretches {
        if layer == Layer::Over {
            core.move_to(stretch.left, height).line_to(stretch.right, height);
        }
        for seam in weft.seams(slender * 2.0) {
            seams.move_to(stretch.left, height + seam).line_to(stretch.right, height + seam);
        }
        let gap = if ends.is_empty() { "" } else { " " };
        let (first, last) = (stretch.first + 1, stretch.last + 1);
        // Writing to a string never fails.
        let _ =
            if first == last { write!(ends, "{gap}{first}") } else { write!(ends, "{gap}{first}-{last}") };
    }
    for up in [1.0, -1.0] {
        for stretch in &stretches {
            side(&mut sides, cloth, layer, row, stretch, up);
        }
    }
    if !core.is_empty() {
        // A little wider than the chord of its sides, so that no seam shows; the line covers the rest.
        stroke(svg, &core, weft, slender * 2.0 + weft.line * 0.4);
    }
    if !sides.is_empty() {
        let name = match layer {
            Layer::Under => "under",
            Layer::Over => "over",
        };
        svg.element("path")
            .set("class", name)
            .set("data-row", row + 1)
            .set("data-ends", ends)
            .set("fill", weft.colour)
            .set("stroke", weft.outline)
            .length("stroke-width", weft.line)
            .set("d", sides.data())
            .end();
    }
    line(svg, &seams, weft);
}

/// One side of a stretch, from left to right: `up` is 1 for its upper and -1 for its lower line.
///
/// From end to end a float is as wide as it is at the narrower of the two, up to the middle of the gap: another
/// row may dive beside it there.
fn side(path: &mut Path, cloth: &Cloth, layer: Layer, row: u32, stretch: &Stretch, up: f64) {
    let (height, slender) = (cloth.height(row), cloth.slender(row));
    let half = |end| match layer {
        Layer::Over => cloth.half(row, end),
        Layer::Under => cloth.half_behind(row, end),
    };
    let mut pen = (stretch.left, slender);
    path.move_to(pen.0, height + up * pen.1);
    let mut go = |to: (f64, f64), more: bool| {
        if to.1 != pen.1 {
            path.level_curve((pen.0, height + up * pen.1), (to.0, height + up * to.1));
        } else if more {
            // It goes on as wide as it is: one line is enough.
            return;
        } else {
            path.line_to(to.0, height + up * to.1);
        }
        pen = to;
    };
    for end in stretch.first..=stretch.last {
        let (x, here) = (cloth.end_at(end), half(end));
        if end == stretch.last {
            go((x, here), slender == here);
            go((stretch.right, slender), false);
        } else {
            let next = half(end + 1);
            go((x, here), next == here);
            if next != here {
                go((x + cloth.spacing / 2.0, here.min(next)), next < here);
            }
        }
    }
}

/// A strand's body.
pub(crate) fn stroke(svg: &mut Svg, path: &Path, strand: &Strand, width: f64) {
    svg.element("path")
        .set("stroke", strand.colour)
        .length("stroke-width", width)
        .set("d", path.data())
        .end();
}

/// The fine lines of a strand: between yarns that lie side by side.
pub(crate) fn line(svg: &mut Svg, path: &Path, strand: &Strand) {
    if !path.is_empty() {
        svg.element("path")
            .set("stroke", strand.outline)
            .length("stroke-width", strand.line * 0.7)
            .set("d", path.data())
            .end();
    }
}

/// The line between the yarns of a strand that lies doubled, along its middle.
pub(crate) fn seam(svg: &mut Svg, path: &Path, strand: &Strand) {
    if strand.strands > 1 {
        line(svg, path, strand);
    }
}
