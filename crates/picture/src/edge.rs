//! The edges: every turn as a loop round the edge end, carries side by side, crossings with the right yarn in
//! front, tails where yarn begins and ends.

pub(crate) mod beyond;
pub(crate) mod lanes;

use crate::cloth::{Cloth, Strand, outward};
use crate::path::{Paper, Path};
use crate::strand;
use crate::svg::Svg;
use fellmark_core::side::{Side, Surface};
use fellmark_core::walk::{Turn, TurnState};
use lanes::{Edge, Loop, Tail};

/// All edges of the cloth, laid out.
pub(crate) struct Edges {
    all: Vec<Edge>,
    /// The widest weft: lanes keep it apart.
    widest: f64,
    /// Where yarn goes that turns up or down beyond the drawn rows.
    window: (f64, f64),
}

/// How far the line round a loop reaches into the row it goes on from, and how much farther its body does: no
/// seam shows between the two.
const JOIN: f64 = 0.1;
const PAST: f64 = 0.2;
/// How far a tail hangs out, and out of a slit.
const TAIL: f64 = 5.0;
const IN_SLIT: f64 = 0.6;

impl Edges {
    pub(crate) fn new(cloth: &Cloth) -> Edges {
        let (low, high) = cloth.extent().unwrap_or_default();
        let widest = cloth.widest();
        Edges { all: lanes::edges(cloth), widest, window: (low - widest, high + widest) }
    }

    /// How far beyond the first or the last end loops and tails reach, at one side.
    pub(crate) fn reach(&self, cloth: &Cloth, side: Side) -> f64 {
        let edge = match side {
            Side::Left => 0.0,
            Side::Right => cloth.end_at(cloth.study.piece.end_count().saturating_sub(1)),
        };
        let beyond = self.all.iter().filter(|e| e.side == side).map(|e| {
            let from = (cloth.end_at(e.end) - edge) * outward(side);
            let loops = e.loops.iter().map(|one| one.out).fold(0.0, f64::max) + self.widest;
            let tails = e.past + TAIL + self.widest;
            from + if e.tails.is_empty() { loops } else { loops.max(tails) }
        });
        beyond.fold(0.0, f64::max)
    }

    /// Draws them.
    pub(crate) fn draw(&self, svg: &mut Svg, cloth: &Cloth, paper: &Paper) {
        svg.element("g").set("class", "edges").set("fill", "none").open();
        for edge in &self.all {
            self.draw_edge(svg, cloth, paper, edge);
        }
        svg.close();
    }

    /// One edge end's turns at one side. Inner lanes lie in front of what comes from farther out; where it is
    /// the other way, a short piece of the outer yarn is laid over them.
    fn draw_edge(&self, svg: &mut Svg, cloth: &Cloth, paper: &Paper, edge: &Edge) {
        for tail in &edge.tails {
            self.draw_tail(svg, cloth, paper, edge, tail);
        }
        let mut order: Vec<&Loop> = edge.loops.iter().collect();
        order.sort_by_key(|one| std::cmp::Reverse(one.lane));
        for one in order {
            let strand = loop_strand(cloth, one);
            let path = self.loop_path(cloth, paper, edge, one, JOIN);
            let class = match (one.turn.state, one.turn.held) {
                (TurnState::Caught, _) => "turn caught",
                (_, Some(_)) => "turn held",
                (_, None) => "turn loose",
            };
            svg.element("path")
                .set("class", class)
                .set("data-rows", format_args!("{}-{}", one.turn.since + 1, one.turn.row + 1))
                .set("stroke", strand.outline)
                .length("stroke-width", strand.squeezed + strand.line)
                .set("d", path.data())
                .end();
            let body = self.loop_path(cloth, paper, edge, one, JOIN + PAST);
            strand::stroke(svg, &body, strand, strand.squeezed - strand.line);
            strand::seam(svg, &body, strand);
        }
        let back = cloth.surface == Surface::Back;
        for crossing in &edge.crossings {
            if crossing.outer_in_front != back {
                self.draw_crossing(svg, cloth, paper, edge, crossing);
            }
        }
    }

    /// The middle line of a loop: out in one row, up its lane, in again in the other.
    ///
    /// It begins and ends a little within the row, `join` from where that ends.
    fn loop_path<'p>(&self, cloth: &Cloth, paper: &'p Paper, edge: &Edge, one: &Loop, join: f64) -> Path<'p> {
        let shape = self.shape(cloth, edge, one);
        let mut path = Path::new(paper);
        let Turn { since, row, .. } = one.turn;
        let join = |row| outward(edge.side) * join.min(cloth.beyond.stub(row, edge.side));
        if cloth.rows.contains(&since) {
            let (out, y) = (cloth.comes_out(since, edge.side) - join(since), shape.from);
            path.move_to(out, y).line_to(shape.bend_at(), y);
            path.corner((shape.bend_at(), y), (shape.lane, y), (shape.lane, y + shape.ry));
        } else {
            let y = if shape.ry < 0.0 { self.window.1 } else { self.window.0 };
            path.move_to(shape.lane, y);
        }
        if cloth.rows.contains(&row) {
            let (inward, y) = (cloth.comes_out(row, edge.side) - join(row), shape.to);
            path.line_to(shape.lane, y - shape.ry);
            path.corner((shape.lane, y - shape.ry), (shape.lane, y), (shape.bend_at(), y));
            path.line_to(inward, y);
        } else {
            let y = if shape.ry < 0.0 { self.window.0 } else { self.window.1 };
            path.line_to(shape.lane, y);
        }
        path
    }

    fn shape(&self, cloth: &Cloth, edge: &Edge, one: &Loop) -> Shape {
        let lane = lanes::across(cloth, edge, one.out);
        let out = |row| cloth.out_height(row, edge.side);
        let (from, to) = (out(one.turn.since), out(one.turn.row));
        let stub = |row| cloth.beyond.stub(row, edge.side);
        let base = lanes::across(cloth, edge, stub(one.turn.since).max(stub(one.turn.row)));
        let round = self.widest * if one.turn.is_open() { 1.6 } else { 0.85 };
        let rise = to - from;
        Shape {
            lane,
            from,
            to,
            rx: (lane - base).abs().min(round) * outward(edge.side),
            ry: (rise / 2.0).abs().min(round) * if rise < 0.0 { -1.0 } else { 1.0 },
        }
    }

    /// A piece of the outer yarn laid over the inner where they cross.
    fn draw_crossing(
        &self,
        svg: &mut Svg,
        cloth: &Cloth,
        paper: &Paper,
        edge: &Edge,
        crossing: &lanes::Crossing,
    ) {
        let inner = &edge.loops[crossing.inner];
        let y = cloth.out_height(crossing.row, edge.side);
        let at = self.shape(cloth, edge, inner).across_at(y) * outward(edge.side);
        let strand = cloth.weft(crossing.row);
        let half = loop_strand(cloth, inner).squeezed / 2.0 + self.widest * 0.25;
        let start = cloth.comes_out(crossing.row, edge.side) * outward(edge.side);
        let end = match crossing.outer {
            Some(outer) => {
                let shape = self.shape(cloth, edge, &edge.loops[outer]);
                (shape.lane - shape.rx * 0.6) * outward(edge.side)
            }
            None => lanes::across(cloth, edge, edge.past) * outward(edge.side),
        };
        let (start, end) = (start.max(at - half), end.min(at + half));
        let piece = |past: f64| {
            let mut path = Path::new(paper);
            path.move_to((start - past) * outward(edge.side), y)
                .line_to((end + past) * outward(edge.side), y);
            path
        };
        svg.element("path")
            .set("class", "crossing")
            .set("data-row", crossing.row + 1)
            .set("stroke", strand.outline)
            .length("stroke-width", strand.squeezed + strand.line)
            .set("d", piece(0.0).data())
            .end();
        strand::stroke(svg, &piece(PAST), strand, strand.squeezed - strand.line);
        strand::seam(svg, &piece(PAST), strand);
    }

    /// A tail: out past all lanes, then hanging down where yarn begins and standing up where it ends.
    fn draw_tail(&self, svg: &mut Svg, cloth: &Cloth, paper: &Paper, edge: &Edge, tail: &Tail) {
        let (out, y) = (outward(edge.side), cloth.out_height(tail.row, edge.side));
        let strand = cloth.weft(tail.row);
        let lean = if tail.begins { -1.0 } else { 1.0 };
        // Out of a slit it goes to the back: no more of it is drawn than lies in the gap.
        let (turn, far) = if cloth.beyond.is_slit(tail.row, edge.side) {
            (lanes::across(cloth, edge, cloth.beyond.stub(tail.row, edge.side)), IN_SLIT)
        } else {
            (lanes::across(cloth, edge, edge.past), TAIL)
        };
        let tip = (turn + out * far, y + lean * far * 0.5);
        let way = |join: f64| {
            let mut path = Path::new(paper);
            path.move_to(
                cloth.comes_out(tail.row, edge.side) - out * join.min(cloth.beyond.stub(tail.row, edge.side)),
                y,
            )
            .line_to(turn, y);
            path.curve_to((turn + out * far * 0.4, y), (turn + out * far * 0.75, y + lean * far * 0.15), tip);
            path
        };
        svg.element("path")
            .set("class", if tail.begins { "tail begins" } else { "tail ends" })
            .set("data-row", tail.row + 1)
            .set("stroke", strand.outline)
            .length("stroke-width", strand.squeezed + strand.line)
            .set("d", way(JOIN).data())
            .end();
        // Its end is round.
        svg.element("circle")
            .length("cx", paper.across(tip.0))
            .length("cy", paper.down(tip.1))
            .length("r", strand.squeezed / 2.0)
            .set("fill", strand.colour)
            .set("stroke", strand.outline)
            .length("stroke-width", strand.line)
            .end();
        strand::stroke(svg, &way(JOIN + PAST), strand, strand.squeezed - strand.line);
        strand::seam(svg, &way(JOIN + PAST), strand);
    }
}

fn loop_strand<'c>(cloth: &'c Cloth, one: &Loop) -> &'c Strand {
    &cloth.wefts[one.turn.weft.0]
}

/// The way of a loop's middle line.
struct Shape {
    lane: f64,
    from: f64,
    to: f64,
    /// Its corners: how far across, outward, and how far along, toward the later row.
    rx: f64,
    ry: f64,
}

impl Shape {
    fn bend_at(&self) -> f64 {
        self.lane - self.rx
    }

    /// Where it is at a height between its two rows.
    fn across_at(&self, y: f64) -> f64 {
        let near = (y - self.from).abs().min((self.to - y).abs());
        let ry = self.ry.abs();
        if near >= ry || ry <= 0.0 {
            return self.lane;
        }
        let down = (ry - near) / ry;
        self.lane - self.rx * (1.0 - (1.0 - down * down).max(0.0).sqrt())
    }
}
