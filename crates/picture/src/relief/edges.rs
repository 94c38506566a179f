//! The edges: each turn as a loop round its edge end, carries beside it, crossings with the right yarn in
//! front, and the tails. Which turns lie beside which, and what is in front, the line drawing knows already.

use super::noise::{hash2, unsigned};
use super::scene::Scene;
use super::tile::Shown;
use super::tube::{Grain, Point, Tube};
use crate::cloth::{Cloth, outward};
use crate::edge::lanes::{self, Edge};
use fellmark_core::cloth::size::State;
use fellmark_core::habits::Habit;
use fellmark_core::side::{Side, Surface};
use fellmark_core::study::Study;

/// How far a tail hangs out at most, in mm.
const TAIL: f64 = 9.0;

/// The edges of a piece, laid out.
pub(super) struct Edging<'a> {
    pub(super) study: &'a Study,
    pub(super) drawn: Cloth<'a>,
    pub(super) edges: Vec<Edge>,
    /// How far a tail hangs out, in mm; `None`: tails are darned in.
    pub(super) tail: Option<f64>,
}

impl<'a> Edging<'a> {
    /// The edges of a piece in its state: when it is finished its tails are darned in.
    pub(super) fn new(study: &'a Study, state: State) -> Edging<'a> {
        let drawn = Cloth::new(study, Surface::Front, None);
        let edges = lanes::edges(&drawn);
        let hangs = TAIL.min(study.habits.length(Habit::Tail).mm());
        Edging { study, drawn, edges, tail: (state != State::Finished).then_some(hangs) }
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
        let widest = self.drawn.broadest;
        let of = |e: &Edge| {
            let tails = if e.tails.is_empty() { 0.0 } else { self.tail.unwrap_or_default() };
            (self.drawn.end_at(e.end) - edge) * out + e.past + tails + widest
        };
        self.edges.iter().filter(|e| e.side == side).map(of).fold(widest, f64::max)
    }

    /// Adds their yarn to a scene, and how its rows end. Where a tail is darned in it is seen going round the edge end.
    pub(super) fn add(&self, scene: &mut Scene<'_>) {
        scene.stubs = self.stubs(scene);
        for edge in &self.edges {
            let passes = self.passes(scene, edge);
            for (one, passes) in edge.loops.iter().zip(&passes.loops) {
                let hairpin = self.hairpin(scene, edge, one, passes);
                let folds = hairpin.is_some();
                let way = hairpin.unwrap_or_else(|| self.loop_way(scene, edge, one, passes));
                let joins = (one.turn.since, Some(one.turn.row));
                self.push(scene, way, edge.side, joins, (Shown::Turn(one.turn.row), folds));
            }
            for tail in &edge.tails {
                let passes = passes.tails.iter().filter(|pass| pass.row == tail.row);
                let way = match self.tail {
                    Some(long) => self.tail_way(scene, edge, tail, scene.view.px(long), passes),
                    None => self.darned_way(scene, edge, tail),
                };
                self.push(scene, way, edge.side, (tail.row, None), (Shown::Tail(tail.row), false));
            }
        }
    }

    pub(super) fn weft(&self, row: u32) -> usize {
        self.study.piece.row(row).weft.0
    }

    /// Adds the strands that go along a way, side by side; it goes on from one row and maybe into another. Then it is drawn
    /// leg by leg, for one may come to lie over the other; it may fold so that it comes back behind itself.
    fn push(
        &self,
        scene: &mut Scene<'_>,
        way: Vec<Point>,
        side: Side,
        (row, into): (u32, Option<u32>),
        (shown, folds): (Shown, bool),
    ) {
        let weft = scene.wefts[self.weft(row)];
        let strands = weft.strands;
        let farthest = (0..way.len())
            .max_by(|&a, &b| (way[a].x * outward(side) as f32).total_cmp(&(way[b].x * outward(side) as f32)));
        for nth in 0..strands {
            let off = (nth as f32 + 0.5) / strands as f32 * 2.0 - 1.0;
            let mut line = beside(&way, off);
            line.iter_mut().for_each(|p| p.half /= strands as f32);
            let grain = self.grain(scene, &line, weft.yarn, side, (row, into), nth);
            let tube = Tube::new(line, weft.yarn, grain, shown).joined((true, into.is_some()));
            let tube = if folds { tube.folded() } else { tube };
            match into.and(farthest) {
                Some(at) => scene.tubes.extend(tube.parted(at)),
                None => scene.tubes.push(tube),
            }
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
            let start = scene.row_x(row, span.edge(self.study.piece.row(row).from));
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
}

/// The lengths of a line up to each of its points.
pub(super) fn lengths(points: &[Point]) -> Vec<f32> {
    let mut all = Vec::with_capacity(points.len());
    all.push(0.0);
    let mut whole = 0.0;
    for pair in points.windows(2) {
        let (x, y) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
        whole += (x * x + y * y).sqrt();
        all.push(whole);
    }
    all
}

/// Gives points their depths, smoothly from one given depth to the next.
pub(super) fn deepen(points: &mut [Point], lengths: &[f32], mut depths: Vec<(f32, f32)>) {
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
