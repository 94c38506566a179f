//! The edges: each turn as a loop round its edge end, carries beside it, crossings with the right yarn in
//! front, and the tails. Which turns lie beside which, and what is in front, the line drawing knows already.

use super::noise::{hash2, unsigned};
use super::scene::Scene;
use super::tile::Shown;
use super::tube::{Grain, Point, Tube, curve, part};
use crate::cloth::{Cloth, outward};
use crate::edge::lanes::{self, Edge, Loop, Tail};
use fellmark_core::cloth::Across;
use fellmark_core::habits::Habit;
use fellmark_core::side::{Pass, Side, Surface};
use fellmark_core::study::Study;
use fellmark_core::walk::TurnState;

/// From one lane to the next, in widths of the widest weft.
const LANE: f64 = 1.0;
/// How much farther out a turn bulges that nothing holds, in the same widths.
const BULGE: f64 = 0.9;
/// How high yarn lies where it comes over another at the edge, and how deep where another comes over it, in the same
/// widths: what lies above goes clear over what lies below.
const ABOVE: f32 = 0.95;
const BELOW: f32 = 0.2;
/// How wide yarn that has come over another at the edge is where it dives between rows, over its width, and within how many
/// widths it gets so.
const SLENDER: f32 = 0.3;
const DIVES: f32 = 1.4;
/// How far a tail hangs out at most, in mm.
const TAIL: f64 = 9.0;

/// The edges of a piece, laid out.
pub(super) struct Edging<'a> {
    study: &'a Study,
    drawn: Cloth<'a>,
    edges: Vec<Edge>,
    /// The width of the widest weft.
    widest: f64,
    tail: f64,
}

impl<'a> Edging<'a> {
    pub(super) fn new(study: &'a Study) -> Edging<'a> {
        let drawn = Cloth::new(study, Surface::Front, None);
        let edges = lanes::edges(&drawn);
        let used = study.piece.rows.iter().map(|row| study.cloth.weft(row.weft).side_by_side().mm());
        Edging {
            study,
            drawn,
            edges,
            widest: used.fold(0.0, f64::max),
            tail: TAIL.min(study.habits.length(Habit::Tail).mm()),
        }
    }

    pub(super) fn drawn(&self) -> &Cloth<'a> {
        &self.drawn
    }

    /// How far loops and tails reach beyond the first or the last end.
    pub(super) fn reach(&self, side: Side) -> f64 {
        let out = outward(side);
        let edge = match side {
            Side::Left => 0.0,
            Side::Right => self.drawn.end_at(self.study.piece.end_count().saturating_sub(1)),
        };
        let of = |e: &Edge| {
            let tails = if e.tails.is_empty() { 0.0 } else { self.tail };
            (self.past_all(e) - edge) * out + tails + self.widest
        };
        self.edges.iter().filter(|e| e.side == side).map(of).fold(self.widest, f64::max)
    }

    fn stub(&self, row: u32) -> f64 {
        let piece = &self.study.piece;
        let end = piece.ends.iter().map(|end| self.drawn.warps[end.yarn.0].free).fold(0.0, f64::max);
        let weft = self.study.cloth.thread(row).thick.mm();
        (end / 2.0 + weft * 0.4).min(self.drawn.spacing / 2.0)
    }

    /// Where a row comes out at a side: across, and how high.
    fn comes_out(&self, row: u32, side: Side) -> (f64, f64) {
        let lie = self.study.cloth.row(row);
        let end = lie.span().edge(side);
        let y = lie.at(Across::End(end)).map_or(0.0, |y| y.mm());
        (self.drawn.end_at(end) + outward(side) * self.stub(row), y)
    }

    /// Where the middle of a loop's yarn goes up the edge.
    fn lane(&self, edge: &Edge, one: &Loop) -> f64 {
        let bulge = if one.turn.is_open() { BULGE } else { 0.0 };
        let stub = self.stub(one.turn.since).max(self.stub(one.turn.row));
        let out = stub + self.widest * (0.42 + LANE * f64::from(one.lane) + bulge);
        self.drawn.end_at(edge.end) + outward(edge.side) * out
    }

    fn past_all(&self, edge: &Edge) -> f64 {
        let out = outward(edge.side);
        let lanes = edge.loops.iter().map(|one| self.lane(edge, one) * out);
        let tails = edge.tails.iter().map(|tail| self.comes_out(tail.row, edge.side).0 * out);
        let start = self.drawn.end_at(edge.end) * out;
        out * (lanes.chain(tails).fold(start, f64::max) + self.widest * 0.5)
    }

    /// Adds their yarn to a scene.
    pub(super) fn add(&self, scene: &mut Scene<'_>) {
        for edge in &self.edges {
            for (k, one) in edge.loops.iter().enumerate() {
                let crossed = edge.crossings.iter().filter(|c| c.outer == Some(k));
                let keys: Vec<(u32, usize, bool)> =
                    crossed.map(|c| (c.row, c.inner, c.outer_in_front)).collect();
                let way = self.loop_way(scene, edge, one, &keys);
                let joins = (one.turn.since, Some(one.turn.row));
                self.push(scene, way, edge.side, joins, Shown::Turn(one.turn.row));
            }
            for tail in &edge.tails {
                let crossed = edge.crossings.iter().filter(|c| c.outer.is_none() && c.row == tail.row);
                let keys: Vec<(u32, usize, bool)> =
                    crossed.map(|c| (c.row, c.inner, c.outer_in_front)).collect();
                let way = self.tail_way(scene, edge, tail, &keys);
                self.push(scene, way, edge.side, (tail.row, None), Shown::Tail(tail.row));
            }
        }
    }

    /// Adds the strands that go along a way, side by side; it goes on from one row and maybe into another.
    fn push(
        &self,
        scene: &mut Scene<'_>,
        way: Vec<Point>,
        side: Side,
        (row, into): (u32, Option<u32>),
        shown: Shown,
    ) {
        let weft = scene.wefts[self.study.piece.row(row).weft.0];
        let strands = weft.strands;
        for nth in 0..strands {
            let off = (nth as f32 + 0.5) / strands as f32 * 2.0 - 1.0;
            let mut line = beside(&way, off);
            line.iter_mut().for_each(|p| p.half /= strands as f32);
            let grain = self.grain(scene, &line, weft.yarn, side, (row, into), nth);
            let mut tube = Tube::new(line, weft.yarn, grain, shown);
            tube.joins = (true, into.is_some());
            scene.tubes.push(tube);
        }
    }

    /// A grain that goes on smoothly: the twist is a little tighter or looser, so that it comes out even.
    fn grain(
        &self,
        scene: &Scene<'_>,
        line: &[Point],
        yarn: usize,
        side: Side,
        (row, into): (u32, Option<u32>),
        nth: u32,
    ) -> Grain {
        let skin = &scene.skins[yarn];
        let at_end = |row: u32, x: f32| {
            let seed = unsigned(hash2(scene.row_seed(row), nth));
            let span = self.study.piece.crossings(row).span();
            let start = scene.end_x(span.edge(self.study.piece.row(row).from));
            let along = x - start;
            (seed, along, 1.0 + skin.vary * skin.slow(along, seed + 0.37))
        };
        let x = |point: Option<&Point>| point.map_or(0.0, |point| point.x);
        let (seed, along, vary) = at_end(row, x(line.first()));
        let out = outward(side) as f32;
        let mut grain = Grain { seed, along, pace: out, vary: (vary, vary), into: None };
        let whole = lengths(line).last().copied().unwrap_or_default();
        if let Some((other, end, vary)) = into.map(|row| at_end(row, x(line.last()))) {
            (grain.vary.1, grain.into) = (vary, Some((other, end)));
            // Followed against its length a twist is its own mirror image.
            let wanted = -(end * skin.along + other);
            let found = (along + out * whole) * skin.along + seed;
            let short = wanted - found - (wanted - found).round();
            if whole * skin.along > 0.7 {
                grain.pace += short / (whole * skin.along);
            }
        }
        grain
    }

    /// The depth and the half width with which a row's stub ends.
    fn stub_end(&self, scene: &Scene<'_>, row: u32, side: Side) -> Point {
        let (_, y) = self.comes_out(row, side);
        let weft = self.study.piece.row(row).weft.0;
        let crossings = self.study.piece.crossings(row);
        let end = crossings.span().edge(side);
        // To the pixel where the row itself ends, so that nothing is seen between them.
        let x = scene.end_x(end) + outward(side) as f32 * scene.stub(weft);
        let rise = scene.rise(weft, end).0 * super::STUB_DEPTH;
        let over = crossings.pass(end) == Some(Pass::Over);
        Point {
            x,
            y: scene.view.y(y),
            z: if over { rise } else { -rise },
            half: scene.wefts[weft].side * super::STUB_HALF,
        }
    }

    /// Where a turn's way begins, and whether it dives there: at the row's stub; where it has come over another weft before
    /// it goes under the edge end, at that end, so that it has room to dive.
    fn begins(&self, scene: &Scene<'_>, row: u32, edge: &Edge, keys: &[(u32, usize, bool)]) -> (Point, bool) {
        let stub = self.stub_end(scene, row, edge.side);
        let over = keys.iter().find(|&&(at, _, front)| at == row && front);
        let Some(inner) = over.and_then(|&(_, inner, _)| edge.loops.get(inner)).filter(|_| stub.z < 0.0)
        else {
            return (stub, false);
        };
        // Between the rows whose turn it has come over.
        let middle = |row| self.comes_out(row, edge.side).1;
        let y = (middle(inner.turn.since) + middle(inner.turn.row)) / 2.0;
        let end = self.study.cloth.row(row).span().edge(edge.side);
        (Point { x: scene.end_x(end), y: scene.view.y(y), z: stub.z / super::STUB_DEPTH, ..stub }, true)
    }

    fn loop_way(
        &self,
        scene: &Scene<'_>,
        edge: &Edge,
        one: &Loop,
        keys: &[(u32, usize, bool)],
    ) -> Vec<Point> {
        let turn = one.turn;
        let (from, dives_from) = self.begins(scene, turn.since, edge, keys);
        let (to, dives_to) = self.begins(scene, turn.row, edge, keys);
        let lane = scene.view.x(self.lane(edge, one));
        let out = outward(edge.side) as f32;
        let weft = scene.wefts[turn.weft.0];
        let rise = to.y - from.y;
        let most = weft.side * if turn.is_open() { 1.5 } else { 1.0 };
        let ry = (rise.abs() / 2.0).min(most) * if rise < 0.0 { -1.0 } else { 1.0 };
        let mut points = vec![from];
        let bend = |base: f32| {
            let rx = ((lane - base) * out).max(weft.side * 0.2).min(most.max(weft.side * 0.8));
            lane - rx * out
        };
        let plain = |x: f32, y: f32| Point { x, y, ..from };
        let (bend_a, bend_b) = (bend(from.x), bend(to.x));
        if (bend_a - from.x) * out > 0.5 {
            points.push(plain(bend_a, from.y));
        }
        let k = 0.5523;
        let corner = |points: &mut Vec<Point>, a: (f32, f32), mid: (f32, f32), b: (f32, f32)| {
            let toward = |p: (f32, f32)| (p.0 + (mid.0 - p.0) * k, p.1 + (mid.1 - p.1) * k);
            curve(points, [a, toward(a), toward(b), b], from, from, 5);
        };
        corner(&mut points, (bend_a, from.y), (lane, from.y), (lane, from.y + ry));
        corner(&mut points, (lane, to.y - ry), (lane, to.y), (bend_b, to.y));
        points.push(Point { half: to.half, ..plain(to.x, to.y) });
        // How deep it lies on the way.
        let lengths = lengths(&points);
        let whole = lengths.last().copied().unwrap_or_default();
        let mut depths = vec![(0.0, from.z), (whole, to.z)];
        if turn.state != TurnState::Caught {
            depths.push((whole / 2.0, (from.z + to.z) * 0.4));
        }
        for &(row, inner, front) in keys {
            let across = scene.view.x(self.lane(edge, &edge.loops[inner]));
            let past = ((across - if row == turn.since { from.x } else { to.x }) * out).max(0.0);
            let at = if row == turn.since { past } else { whole - past };
            let (above, below) = (scene.widest * ABOVE, scene.widest * BELOW);
            depths.push((at.clamp(whole * 0.02, whole * 0.98), if front { above } else { -below }));
        }
        deepen(&mut points, &lengths, depths);
        // Where it dives between other rows they press on it.
        let slender = |dives: bool, off: f32| {
            let free = (off / (weft.side * DIVES)).clamp(0.0, 1.0);
            if dives { SLENDER + (1.0 - SLENDER) * free * (2.0 - free) } else { 1.0 }
        };
        for (point, &at) in points.iter_mut().zip(&lengths) {
            let even = from.half + (to.half - from.half) * at / whole.max(1e-3);
            point.half = even * slender(dives_from, at) * slender(dives_to, whole - at);
        }
        points
    }

    fn tail_way(
        &self,
        scene: &Scene<'_>,
        edge: &Edge,
        tail: &Tail,
        keys: &[(u32, usize, bool)],
    ) -> Vec<Point> {
        let from = self.stub_end(scene, tail.row, edge.side);
        let out = outward(edge.side) as f32;
        let past = scene.view.x(self.past_all(edge));
        let long = scene.view.px(self.tail);
        let lean = if tail.begins { -1.0 } else { 1.0 };
        // Each hangs a little differently.
        let sway = super::noise::signed(part(scene.row_seed(tail.row), 3)) * 0.16;
        let mut points = vec![from];
        let steps = ((past - from.x) * out / scene.widest).ceil().clamp(1.0, 12.0) as u32;
        for k in 1..=steps {
            points.push(Point { x: from.x + (past - from.x) * k as f32 / steps as f32, ..from });
        }
        let way = [
            (past, from.y),
            (past + out * long * 0.45, from.y),
            (past + out * long * (0.62 + sway), from.y + lean * long * 0.18),
            (past + out * long * (0.80 + sway), from.y + lean * long * (0.62 - sway)),
        ];
        let last = Point { half: from.half * 0.85, ..from };
        curve(&mut points, way, from, last, 12);
        let lengths = lengths(&points);
        let whole = lengths.last().copied().unwrap_or_default();
        let ground = scene.ground + from.half;
        let mut depths = vec![(0.0, from.z), (whole * 0.75, ground), (whole, ground)];
        for &(_, inner, front) in keys {
            let across = scene.view.x(self.lane(edge, &edge.loops[inner]));
            let at = ((across - from.x) * out).max(0.0);
            let (above, below) = (scene.widest * ABOVE, scene.widest * BELOW);
            depths.push((at.clamp(whole * 0.02, whole * 0.7), if front { above } else { -below }));
        }
        deepen(&mut points, &lengths, depths);
        points
    }
}

/// The lengths of a line up to each of its points.
pub(super) fn lengths(points: &[Point]) -> Vec<f32> {
    let mut all = vec![0.0];
    let mut whole = 0.0;
    for pair in points.windows(2) {
        let (x, y) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
        whole += (x * x + y * y).sqrt();
        all.push(whole);
    }
    all
}

/// Gives points their depths, smoothly from one given depth to the next.
fn deepen(points: &mut [Point], lengths: &[f32], mut depths: Vec<(f32, f32)>) {
    depths.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (point, &at) in points.iter_mut().zip(lengths) {
        let next = depths.partition_point(|&(known, _)| known < at).clamp(1, depths.len() - 1);
        let ((a, from), (b, to)) = (depths[next - 1], depths[next]);
        let t = ((at - a) / (b - a).max(1e-3)).clamp(0.0, 1.0);
        point.z = from + (to - from) * t * t * (3.0 - 2.0 * t);
    }
}

/// The line beside another, as far to its left as `off` times its half width.
pub(super) fn beside(points: &[Point], off: f32) -> Vec<Point> {
    if off.abs() < 1e-6 || points.len() < 2 {
        return points.to_vec();
    }
    let last = points.len() - 1;
    let shifted = (0..=last).map(|k| {
        let (a, b, p) = (points[k.saturating_sub(1)], points[(k + 1).min(last)], points[k]);
        let (x, y) = (b.x - a.x, b.y - a.y);
        let long = (x * x + y * y).sqrt().max(1e-4);
        Point { x: p.x - y / long * off * p.half, y: p.y + x / long * off * p.half, ..p }
    });
    shifted.collect()
}
