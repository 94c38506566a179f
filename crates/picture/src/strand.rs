//! Rows as strands: what lies under the warp, and what lies over it.
//!
//! Each is drawn in two strokes. The core runs along the middle, as wide as the strand is where it changes face;
//! the two sides swell out from it over every end and are lined. At the middle of a gap both end in a plain
//! cut, so that the part over and the part under join as one strand.

use crate::cloth::{Cloth, Strand};
use crate::path::{Paper, Path};
use crate::svg::Svg;
use crate::way::{self, Spot};
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
    /// Its way, from the middle of a gap, or from beyond the edge, to the same at its other end.
    spots: Vec<Spot>,
}

fn stretches(cloth: &Cloth, row: u32, layer: Layer) -> Vec<Stretch> {
    let crossings = cloth.study.piece.crossings(row);
    let span = crossings.span();
    let wanted = match layer {
        Layer::Under => Pass::Under,
        Layer::Over => Pass::Over,
    };
    let mut first = span.first();
    let mut all = Vec::new();
    for run in crossings.runs(Side::Left) {
        let last = first + (run.ends - 1);
        if cloth.seen(run.pass) == wanted {
            all.push(Stretch { first, last, spots: spots(cloth, row, layer, first, last) });
        }
        first = last + 1;
    }
    all
}

/// The way of a stretch, and how wide it is.
///
/// From end to end a float is as wide as it is at the narrower of the two, up to the middle of the gap: another
/// row may dive beside it there.
fn spots(cloth: &Cloth, row: u32, layer: Layer, first: u32, last: u32) -> Vec<Spot> {
    let span = cloth.study.piece.crossings(row).span();
    let slender = cloth.slender(row);
    let half = |end| match layer {
        Layer::Over => cloth.half(row, end),
        Layer::Under => cloth.half_behind(row, end),
    };
    let mut spots = vec![match first.checked_sub(1) {
        Some(before) if first > span.first() => cloth.spot_in_gap(row, before, slender),
        _ => cloth.spot_out(row, Side::Left, slender),
    }];
    for end in first..=last {
        let here = half(end);
        spots.push(cloth.spot(row, end, here));
        if end < last && half(end + 1) != here {
            spots.push(cloth.spot_in_gap(row, end, here.min(half(end + 1))));
        }
    }
    spots.push(if last < span.last() {
        cloth.spot_in_gap(row, last, slender)
    } else {
        cloth.spot_out(row, Side::Right, slender)
    });
    spots
}

fn draw_row(svg: &mut Svg, cloth: &Cloth, paper: &Paper, layer: Layer, row: u32) {
    let weft = cloth.weft(row);
    let slender = cloth.slender(row);
    let stretches = stretches(cloth, row, layer);
    let mut core = Path::new(paper);
    if layer == Layer::Under {
        // The whole row: what lies over covers its part of it.
        middle(&mut core, &cloth.whole_way(row, slender));
    }
    // A side is filled as far as the chord of its ends, which leaves a row that bends: such rows have bodies instead.
    let bends = !stretches.iter().all(|stretch| way::is_straight(&stretch.spots));
    let mut bodies = Path::new(paper);
    let mut sides = Path::new(paper);
    let mut seams = Path::new(paper);
    let mut ends = String::new();
    for stretch in &stretches {
        let swells = stretch.spots.iter().any(|spot| spot.half > slender);
        if layer == Layer::Over && !(bends && swells) {
            middle(&mut core, &stretch.spots);
        }
        if bends && swells {
            way::fill(&mut bodies, &stretch.spots);
        }
        for seam in weft.seams(slender * 2.0) {
            let beside: Vec<Spot> =
                stretch.spots.iter().map(|spot| Spot { y: spot.y + seam, half: 0.0, ..*spot }).collect();
            trace(&mut seams, &beside, 1.0);
        }
        let gap = if ends.is_empty() { "" } else { " " };
        let (first, last) = (stretch.first + 1, stretch.last + 1);
        // Writing to a string never fails.
        let _ =
            if first == last { write!(ends, "{gap}{first}") } else { write!(ends, "{gap}{first}-{last}") };
    }
    for up in [1.0, -1.0] {
        for stretch in &stretches {
            trace(&mut sides, &stretch.spots, up);
        }
    }
    if !core.is_empty() {
        // A little wider than the chord of its sides, so that no seam shows; the line covers the rest.
        stroke(svg, &core, weft, slender * 2.0 + weft.line * 0.9);
    }
    if !bodies.is_empty() {
        svg.element("path").set("fill", weft.colour).set("d", bodies.data()).end();
    }
    if !sides.is_empty() {
        let name = match layer {
            Layer::Under => "under",
            Layer::Over => "over",
        };
        let path = svg.element("path").set("class", name).set("data-row", row + 1).set("data-ends", ends);
        let path = if bends { path } else { path.set("fill", weft.colour) };
        path.set("stroke", weft.outline).length("stroke-width", weft.line).set("d", sides.data()).end();
    }
    line(svg, &seams, weft);
}

/// A new part of the path along the middle.
fn middle(path: &mut Path, spots: &[Spot]) {
    if let Some(first) = spots.first() {
        path.move_to(first.x, first.y);
        way::edged(path, spots);
    }
}

/// A new part of the path along the upper side (1) or the lower (-1).
fn trace(path: &mut Path, spots: &[Spot], up: f64) {
    if let Some(first) = spots.first() {
        path.move_to(first.x, first.y + up * first.half);
        way::along(path, spots, up);
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
