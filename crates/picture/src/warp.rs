//! The warp: every end from bar to bar, the loops by which it goes from notch to notch, the knots where each
//! length of yarn is tied. Without the frame only the ends are drawn, a little beyond the cloth.

use crate::cloth::{Cloth, Strand};
use crate::frame::Frame;
use crate::path::{Paper, Path};
use crate::strand;
use crate::svg::Svg;
use fellmark_core::plan::WarpPath;
use fellmark_core::warp::{Bar, Block, Length, Winding};

/// How far tied ends stick out of a knot, at least.
const KNOT_ENDS: f64 = 2.2;

/// Draws the ends between two heights, without loops.
pub(crate) fn draw_open(svg: &mut Svg, cloth: &Cloth, paper: &Paper, (low, high): (f64, f64)) {
    svg.element("g").set("class", "warp").set("fill", "none").open();
    for (yarn, strand) in cloth.warps.iter().enumerate() {
        let mut path = Path::new(paper);
        let mut seams = Path::new(paper);
        for (end, _) in (0..).zip(&cloth.study.piece.ends).filter(|(_, end)| end.yarn.0 == yarn) {
            let x = cloth.end_at(end);
            path.move_to(x, low).line_to(x, high);
            for seam in strand.seams(strand.free) {
                seams.move_to(x + seam, low).line_to(x + seam, high);
            }
        }
        lined(svg, &path, strand);
        strand::line(svg, &seams, strand);
    }
    svg.close();
}

/// Draws the warp as it is wound on the frame.
pub(crate) fn draw_wound(svg: &mut Svg, cloth: &Cloth, paper: &Paper, frame: &Frame, winding: &Winding) {
    svg.element("g").set("class", "warp").set("fill", "none").set("stroke-linejoin", "round").open();
    // Strands that are one end together are one strand here.
    for block in winding.blocks.iter().filter(|block| block.strand == 0) {
        draw_block(svg, cloth, paper, frame, winding, block);
    }
    svg.close();
}

fn draw_block(svg: &mut Svg, cloth: &Cloth, paper: &Paper, frame: &Frame, winding: &Winding, block: &Block) {
    let strand = &cloth.warps[block.yarn.0];
    // Of two yarns that alternate, the second goes round farther out, so that their loops are told apart.
    let sink = if block.every > 1 && block.first % 2 == 1 { 0.8 + strand.free * 1.5 } else { 0.8 };
    let mut path = Path::new(paper);
    let mut seams = Path::new(paper);
    // Where the pen is: in which notch, and whether at the far bar.
    let mut before: Option<(f64, bool)> = None;
    let mut ties = Vec::new();
    for Length { end, from, .. } in winding.lengths(block).filter(|length| !length.behind) {
        let Some(notch) = cloth.study.piece.ends.get(end as usize).map(|end| end.notch) else { continue };
        let (x, in_notch) = (cloth.end_at(end), frame.in_notch(cloth, end, notch));
        let (from, to) = (from == Bar::Far, from == Bar::Near);
        let bar = |far: bool| match winding.path {
            WarpPath::Zigzag => frame.turn(far),
            WarpPath::Round => frame.outer(far),
        };
        match before {
            None => {
                path.move_to(in_notch, bar(from));
                ties.push((in_notch, bar(from), from));
            }
            Some((last, far)) => {
                if far != from {
                    // It has come back, behind the frame or beside itself, and goes on to the next notch.
                    path.move_to(last, bar(from));
                }
                hop(&mut path, (last, in_notch), bar(from), if from { sink } else { -sink });
            }
        }
        path.line_to(in_notch, frame.turn(from)).line_to(x, frame.inner(from));
        path.line_to(x, frame.inner(to)).line_to(in_notch, frame.turn(to)).line_to(in_notch, bar(to));
        for seam in strand.seams(strand.free) {
            seams.move_to(x + seam, frame.inner(from)).line_to(x + seam, frame.inner(to));
        }
        before = Some((in_notch, to));
    }
    if let Some((last, _)) = before {
        let far = block.finishes == Bar::Far;
        let bar = if winding.path == WarpPath::Round { frame.outer(far) } else { frame.turn(far) };
        ties.push((last, bar, far));
    }
    lined(svg, &path, strand);
    strand::line(svg, &seams, strand);
    for (x, y, far) in ties {
        knot(svg, paper, strand, (x, y), far);
    }
}

/// The way from one notch to the next round the wood between them, `sink` beyond the place where it turns.
fn hop(path: &mut Path, (from, to): (f64, f64), turn: f64, sink: f64) {
    let round = ((to - from) / 2.0).clamp(-1.2, 1.2);
    let out = turn + sink;
    path.corner((from, turn), (from, out), (from + round, out));
    path.line_to(to - round, out);
    path.corner((to - round, out), (to, out), (to, turn));
}

/// A knot with its two short ends, outward from the bar.
fn knot(svg: &mut Svg, paper: &Paper, strand: &Strand, (x, y): (f64, f64), far: bool) {
    let out = if far { 1.0 } else { -1.0 };
    let size = strand.free.clamp(0.4, 2.5);
    let at = y + out * size * 0.4;
    let long = KNOT_ENDS.max(size * 1.6);
    let mut path = Path::new(paper);
    for lean in [-1.0, 1.0] {
        path.move_to(x, at);
        path.curve_to(
            (x + lean * size * 0.2, at + out * long * 0.5),
            (x + lean * size * 0.8, at + out * long * 0.6),
            (x + lean * size, at + out * long),
        );
    }
    let thin = Strand { free: size * 0.55, ..*strand };
    lined(svg, &path, &thin);
    svg.element("circle")
        .set("class", "knot")
        .length("cx", paper.across(x))
        .length("cy", paper.down(at))
        .length("r", size * 0.85)
        .set("fill", strand.colour)
        .set("stroke", strand.outline)
        .length("stroke-width", strand.line)
        .end();
}

/// A strand with a line at either side.
fn lined(svg: &mut Svg, path: &Path, strand: &Strand) {
    if path.is_empty() {
        return;
    }
    svg.element("path")
        .set("stroke", strand.outline)
        .length("stroke-width", strand.free + strand.line)
        .set("d", path.data())
        .end();
    strand::stroke(svg, path, strand, strand.free - strand.line);
}
