//! The ways of turns: from the end of one row round the edge end into the next.

use super::edges::{Edging, deepen, lengths};
use super::scene::Scene;
use super::stubs::Pass;
use super::tube::{Point, curve};
use crate::cloth::outward;
use crate::edge::lanes::{Edge, Loop};
use fellmark_core::side;
use fellmark_core::walk::TurnState;

/// Within how many widths yarn that has passed other yarn is as wide as it lies free.
pub(super) const DIVES: f32 = 0.8;
/// How close the rows of a turn lie that comes back behind itself, over half of their width, and in how many steps it goes.
const CLOSE: f32 = 1.7;
const HAIRPIN: usize = 3;
/// Where its outline is looked at as it bends, over its half width from where that begins.
const ROUND: [f32; 8] = [0.0, 0.3, 0.55, 0.75, 0.88, 0.95, 0.985, 1.0];
/// How much of its depth yarn that has passed another still has where it comes back above it.
const BACK: f32 = 0.35;

/// Yarn that bends round the edge end and is not seen as it comes back: from where its row ends out to where it bends, and
/// round by a cap as far out, to a height and a depth. Seen from the front it grows narrow as it turns away; before that it
/// is as wide as it lies free.
pub(super) fn leg(from: Point, (lane, cap): (f32, f32), (y, z): (f32, f32), free: f32) -> Vec<Point> {
    let point = |k: usize| {
        let t = (k as f32 / HAIRPIN as f32).min(1.0);
        let round = ROUND[k.saturating_sub(HAIRPIN)];
        let x = from.x + (lane - from.x) * t + cap * round;
        let bends = ((x - from.x) / (lane + cap - from.x)).powi(2);
        let half = from.half + (free - from.half) * t;
        Point {
            x,
            y: from.y + (y - from.y) * bends,
            z: from.z + (z - from.z) * bends,
            half: half * (1.0 - round * round).max(0.0).sqrt().max(0.04),
        }
    };
    (0..HAIRPIN + ROUND.len()).map(point).collect()
}

impl Edging<'_> {
    /// The way of a turn round the edge end whose rows lie so close that from the front one hides the other: out, and back
    /// behind that. `None`: its rows lie farther apart, or it passes other yarn.
    pub(super) fn hairpin(
        &self,
        scene: &Scene<'_>,
        edge: &Edge,
        one: &Loop,
        passes: &[Pass],
    ) -> Option<Vec<Point>> {
        let turn = one.turn;
        let (from, to) =
            (self.stub_end(scene, turn.since, edge.side), self.stub_end(scene, turn.row, edge.side));
        let free = scene.wefts[turn.weft.0].side * super::STUB_HALF;
        let behind = from.z * to.z < 0.0 && (to.y - from.y).abs() < CLOSE * free;
        if turn.state != TurnState::Caught
            || turn.led.is_some()
            || !passes.is_empty()
            || one.lane > 0
            || !behind
        {
            return None;
        }
        let (end, out) = (scene.row_x(turn.since, edge.end), outward(edge.side) as f32);
        let stubs = ((from.x - end) * out).max((to.x - end) * out);
        let room = scene.view.px(one.room.min(1e3));
        let lane = (scene.view.px(one.out) - free * 0.25).min(room - free).max(stubs + free * 0.1);
        // With little room it bends more sharply.
        let cap = free.min((room - lane).max(free * 0.2)) * out;
        let lane = end + out * lane;
        let (y, z) = ((from.y + to.y) / 2.0, (from.z + to.z) / 2.0);
        let back = leg(to, (lane, cap), (y, z), free).into_iter().rev().skip(1);
        Some(leg(from, (lane, cap), (y, z), free).into_iter().chain(back).collect())
    }

    /// The way of any other turn.
    pub(super) fn loop_way(&self, scene: &Scene<'_>, edge: &Edge, one: &Loop, passes: &[Pass]) -> Vec<Point> {
        let turn = one.turn;
        let (from, to) =
            (self.stub_end(scene, turn.since, edge.side), self.stub_end(scene, turn.row, edge.side));
        let end = scene.row_x(turn.since, edge.end);
        let out = outward(edge.side) as f32;
        let lane = end + out * scene.view.px(one.out);
        let weft = scene.wefts[turn.weft.0];
        let rise = to.y - from.y;
        let most = weft.side * if turn.is_open() { 1.5 } else { 1.0 };
        let ry = (rise.abs() / 2.0).min(most) * if rise < 0.0 { -1.0 } else { 1.0 };
        let bend = |base: f32| {
            let rx = ((lane - base) * out).max(0.0).min(most.max(weft.side * 0.8));
            // It goes straight on for a little before it bends.
            lane - rx * 0.96 * out
        };
        let plain = |x: f32, y: f32| Point { x, y, ..from };
        let (bend_a, bend_b) = (bend(from.x), bend(to.x));
        // Two corners, and on either side as many steps as a straight has at most.
        let mut points = Vec::with_capacity(47);
        points.push(from);
        let straight = |points: &mut Vec<Point>, from: f32, to: f32, y: f32| {
            let steps = ((to - from).abs() / weft.side.max(1.0)).ceil().clamp(1.0, 16.0) as u32;
            if (to - from).abs() > 1e-3 {
                points.extend((1..=steps).map(|k| plain(from + (to - from) * k as f32 / steps as f32, y)));
            }
        };
        straight(&mut points, from.x, bend_a, from.y);
        let k = 0.5523;
        let corner = |points: &mut Vec<Point>, a: (f32, f32), mid: (f32, f32), b: (f32, f32)| {
            let toward = |p: (f32, f32)| (p.0 + (mid.0 - p.0) * k, p.1 + (mid.1 - p.1) * k);
            curve(points, [a, toward(a), toward(b), b], from, from, 7);
        };
        corner(&mut points, (bend_a, from.y), (lane, from.y), (lane, from.y + ry));
        corner(&mut points, (lane, to.y - ry), (lane, to.y), (bend_b, to.y));
        straight(&mut points, bend_b, to.x, to.y);
        // How deep it lies on the way.
        let lengths = lengths(&points);
        let whole = lengths.last().copied().unwrap_or_default();
        let mut depths = vec![(0.0, from.z), (whole, to.z)];
        if turn.state != TurnState::Caught && passes.is_empty() {
            depths.push((whole / 2.0, (from.z + to.z) * 0.4));
        }
        // What is led lies clear of the ends and rows that it passes.
        let high = scene.rise(turn.weft.0, edge.end).0 + weft.side;
        let led = if self.study.piece.leads == side::Pass::Over { high } else { -high };
        let apart = weft.side * 0.5;
        let far = |point: Point| ((lane - point.x) * out - apart).max(0.0);
        for (row, at, far) in [(turn.since, 0.0, far(from)), (turn.row, whole, -far(to))] {
            if turn.led.is_some() && self.study.cloth.row(row).span().edge(edge.side) != edge.end {
                depths.extend([(at + far * 0.2, led), (at + far, led)]);
            }
        }
        for pass in passes {
            let at = if pass.row == turn.since {
                (pass.out - (from.x - end) * out).max(0.0)
            } else if pass.row == turn.row {
                whole - (pass.out - (to.x - end) * out).max(0.0)
            } else {
                // It goes up past a row that comes out there.
                let y = self.stub_end(scene, pass.row, edge.side).y;
                let nearest = points
                    .iter()
                    .zip(&lengths)
                    .min_by(|(a, _), (b, _)| (a.y - y).abs().total_cmp(&(b.y - y).abs()));
                nearest.map_or(whole / 2.0, |(_, &at)| at)
            };
            depths.push((at.clamp(whole * 0.02, whole * 0.98), pass.z));
        }
        // Where it comes back right above the turn that it has passed behind it still lies behind that, so that this is seen
        // round; what it has passed in front comes out in front of it there.
        if let Some(pass) = passes.iter().find(|pass| pass.row == turn.since && pass.z < 0.0 && to.z > 0.0) {
            let past = (pass.out - (to.x - end) * out).max(0.0);
            depths.push(((whole - past).clamp(whole * 0.6, whole * 0.98), pass.z * BACK));
        }
        deepen(&mut points, &lengths, depths);
        // It is as wide as it lies free, but for where it dives between others and where it has less room.
        let free = weft.side * super::STUB_HALF;
        let room = (scene.view.px(one.widest.min(self.drawn.broadest * 4.0)) / 2.0 * 0.96 / free).min(1.0);
        let soon = ((lane - from.x) * out).min((lane - to.x) * out).max(1.0);
        for (point, &at) in points.iter_mut().zip(&lengths) {
            let near = |end: f32, off: f32| {
                let t = (off / (weft.side * DIVES)).clamp(0.0, 1.0);
                end + (1.0 - end) * t * t * (3.0 - 2.0 * t)
            };
            let bent = (at.min(whole - at) / soon).min(1.0);
            let kept = 1.0 - (1.0 - room) * bent * (2.0 - bent);
            point.half = free * near(from.half / free, at) * near(to.half / free, whole - at);
            point.half = point.half.min(free * kept);
        }
        points
    }
}
