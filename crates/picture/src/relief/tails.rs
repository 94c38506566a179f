//! The ways of tails, where yarn begins and ends.

use super::edges::{Edging, deepen, lengths};
use super::scene::Scene;
use super::stubs::Pass;
use super::tube::{Point, curve, part};
use super::turns::{DIVES, leg};
use crate::cloth::outward;
use crate::edge::lanes::{Edge, Tail};
use fellmark_core::side;

/// How far beyond its row a tail bends that is darned in, over half of its width.
const BENDS: f32 = 0.1;

impl Edging<'_> {
    /// A tail: out past all lanes, then hanging down where yarn begins and standing up where it ends.
    pub(super) fn tail_way<'p>(
        &self,
        scene: &Scene<'_>,
        edge: &Edge,
        tail: &Tail,
        long: f32,
        passes: impl Iterator<Item = &'p Pass>,
    ) -> Vec<Point> {
        let from = self.stub_end(scene, tail.row, edge.side);
        let out = outward(edge.side) as f32;
        let end = scene.row_x(tail.row, edge.end);
        if self.drawn.beyond.is_slit(tail.row, edge.side) {
            return self.tail_in_slit(scene, tail, long, (from, out));
        }
        let past = end + out * scene.view.px(edge.past);
        let lean = if tail.begins { -1.0 } else { 1.0 };
        // Each hangs a little differently.
        let sway = super::noise::signed(part(scene.row_seed(tail.row), 3)) * 0.16;
        let free = scene.wefts[self.weft(tail.row)].side * super::STUB_HALF;
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
        curve(&mut points, way, from, from, 12);
        let lengths = lengths(&points);
        let whole = lengths.last().copied().unwrap_or_default();
        let ground = scene.ground + from.half;
        let mut depths = vec![(0.0, from.z), (whole * 0.75, ground), (whole, ground)];
        for pass in passes {
            let at = (pass.out - (from.x - end) * out).max(0.0);
            depths.push((at.clamp(whole * 0.02, whole * 0.7), pass.z));
        }
        deepen(&mut points, &lengths, depths);
        for (point, &at) in points.iter_mut().zip(&lengths) {
            let t = (at / (free * 2.0 * DIVES)).clamp(0.0, 1.0);
            let slender = from.half / free;
            let thinner = 1.0 - 0.15 * at / whole.max(1e-3);
            point.half = free * thinner * (slender + (1.0 - slender) * t * t * (3.0 - 2.0 * t));
        }
        points
    }

    /// A tail that comes out of a slit: it goes to the back of the cloth and hangs there.
    fn tail_in_slit(
        &self,
        scene: &Scene<'_>,
        tail: &Tail,
        long: f32,
        (from, out): (Point, f32),
    ) -> Vec<Point> {
        let weft = self.weft(tail.row);
        let free = scene.wefts[weft].side * super::STUB_HALF;
        let lean = if tail.begins { -1.0 } else { 1.0 };
        let rise = scene.rise(weft, 0).0;
        let sway = super::noise::signed(part(scene.row_seed(tail.row), 3)) * 0.16;
        // Behind all rows of the cloth, or before them where that is looked at from its back.
        let behind = if self.study.piece.leads == side::Pass::Over { -1.0 } else { 1.0 };
        let deep = behind * (rise + free * 2.2);
        let mut points = vec![from];
        let way = [
            (from.x, from.y),
            (from.x + out * free * 0.9, from.y),
            (from.x + out * free * 0.9, from.y + lean * free * 1.2),
            (from.x - out * long * (0.2 + sway), from.y + lean * long * 0.8),
        ];
        curve(&mut points, way, from, Point { half: free * 0.9, ..from }, 14);
        let lengths = lengths(&points);
        let whole = lengths.last().copied().unwrap_or_default();
        let turned = (free * 2.5).min(whole * 0.7);
        deepen(&mut points, &lengths, vec![(0.0, from.z), (turned, deep), (whole, deep)]);
        points
    }

    /// A tail that is darned in: it goes round the edge end and back behind its own row.
    pub(super) fn darned_way(&self, scene: &Scene<'_>, edge: &Edge, tail: &Tail) -> Vec<Point> {
        let from = self.stub_end(scene, tail.row, edge.side);
        let free = scene.wefts[self.weft(tail.row)].side * super::STUB_HALF;
        let out = outward(edge.side) as f32;
        let room = scene.view.px(self.drawn.beyond.room(tail.row, edge.side).min(1e3));
        let end = scene.row_x(tail.row, edge.end);
        let lane = from.x + out * free * BENDS;
        let cap = free.min(room - (lane - end) * out).max(free * 0.2);
        leg(from, (lane, out * cap), (from.y, 0.0), free)
    }
}
