//! How rows end at the edges, where their turns and tails go on; and where yarn passes other yarn there.

use super::edges::Edging;
use super::scene::Scene;
use super::tube::Point;
use crate::cloth::outward;
use crate::edge::lanes::{Crossing, Edge};
use fellmark_core::cloth::Across;
use fellmark_core::side::{self, Side};

/// How wide yarn is where it goes from one face of the edge end to the other past the yarn that it crosses, over its width
/// lying free.
const SLENDER: f32 = 0.66;
/// How much farther out its row ends, to have room for that.
const LONGER: f32 = 1.15;
/// How much of its way past that yarn it has made where its row ends.
const MADE: f32 = 0.35;
/// How close yarns lie to each other that cross at the edge, over their thicknesses.
const PRESSED: f32 = 0.85;

/// How a row's yarn ends at a side, where its turn or tail goes on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stub {
    /// How far beyond the middle of its edge end.
    pub(super) long: f32,
    /// How far in front of the warp's middle.
    pub(super) z: f32,
    /// Half of its width.
    pub(super) half: f32,
    /// How much higher it lies than on its edge end.
    pub(super) rise: f32,
    /// Whether it goes past other yarn there, to the other side of the cloth.
    pub(super) dives: bool,
}

impl Stub {
    /// The same where its yarn goes past another on its way to a depth on the other side.
    fn dive(self, z: f32) -> Stub {
        Stub { long: self.long * LONGER, half: self.half * SLENDER, z: z * MADE, dives: true, ..self }
    }
}

/// Where yarn passes another at the edge: whose height, how far outward from the row's end, how deep.
pub(super) struct Pass {
    pub(super) row: u32,
    pub(super) out: f32,
    pub(super) z: f32,
}

/// The same of all yarn at an edge: loop by loop, and of the tails.
pub(super) struct Passes {
    pub(super) loops: Vec<Vec<Pass>>,
    pub(super) tails: Vec<Pass>,
}

impl Edging<'_> {
    /// Half of the thickness toward the eye that a row's yarn has where it has come out of the cloth.
    fn thick(scene: &Scene<'_>, weft: usize) -> f32 {
        let weft = &scene.wefts[weft];
        weft.side * super::STUB_HALF * super::STUB_ROUND / weft.strands as f32
    }

    /// How deep two yarns lie where they cross at the edge, the outer and the inner: they touch in the middle.
    fn depths(&self, scene: &Scene<'_>, edge: &Edge, crossing: &Crossing) -> (f32, f32) {
        let inner = edge.loops[crossing.inner].turn.weft.0;
        let front = if crossing.outer_in_front { PRESSED } else { -PRESSED };
        (front * Self::thick(scene, self.weft(crossing.row)), -front * Self::thick(scene, inner))
    }

    /// Where loops and tails pass other yarn at their edge.
    pub(super) fn passes(&self, scene: &Scene<'_>, edge: &Edge) -> Passes {
        let loops = edge.loops.iter().map(|_| Vec::new()).collect();
        let mut all = Passes { loops, tails: Vec::new() };
        for crossing in &edge.crossings {
            let (outer, inner) = self.depths(scene, edge, crossing);
            let (row, out) = (crossing.row, scene.view.px(edge.loops[crossing.inner].out));
            all.loops[crossing.inner].push(Pass { row, out, z: inner });
            let outers = match crossing.outer {
                Some(outer) => &mut all.loops[outer],
                None => &mut all.tails,
            };
            outers.push(Pass { row, out, z: outer });
        }
        all
    }

    /// How each row ends at its left and at its right. What passes other yarn on the other side than its row passes the edge
    /// end has made a part of that way where the row ends.
    pub(super) fn stubs(&self, scene: &Scene<'_>) -> Vec<[Stub; 2]> {
        let plain = |row: u32, side: Side| {
            let weft = self.weft(row);
            let end = self.study.piece.crossings(row).span().edge(side);
            let free = scene.wefts[weft].side * super::STUB_HALF;
            let long = scene.view.px(self.drawn.beyond.stub(row, side));
            let sinks = (long / (free * 2.0)).min(1.0) * (1.0 - super::STUB_DEPTH);
            let rise = scene.rise(weft, end).0 * (1.0 - sinks);
            let z = if self.is_over(row, side) { rise } else { -rise };
            Stub { long, z, half: free, rise: 0.0, dives: false }
        };
        let rows = 0..self.study.piece.row_count();
        let mut all: Vec<[Stub; 2]> =
            rows.map(|row| [Side::Left, Side::Right].map(|s| plain(row, s))).collect();
        for edge in &self.edges {
            self.cross(scene, edge, &mut all);
        }
        all
    }

    /// Whether a row passes over its edge end.
    fn is_over(&self, row: u32, side: Side) -> bool {
        let crossings = self.study.piece.crossings(row);
        crossings.pass(crossings.span().edge(side)) == Some(side::Pass::Over)
    }

    /// The ends of rows that pass other yarn at an edge: each passes first what lies next to it.
    fn cross(&self, scene: &Scene<'_>, edge: &Edge, all: &mut [[Stub; 2]]) {
        let mut crossings: Vec<&Crossing> = edge.crossings.iter().collect();
        let out = |crossing: &Crossing| edge.loops[crossing.inner].out;
        crossings.sort_by(|a, b| a.row.cmp(&b.row).then(out(a).total_cmp(&out(b))));
        // The first and the last row that crosses a loop lie next to its two rows.
        let mut ends: Vec<Option<(u32, u32)>> = vec![None; edge.loops.len()];
        for crossing in &crossings {
            let known = ends[crossing.inner].get_or_insert((crossing.row, crossing.row));
            *known = (known.0.min(crossing.row), known.1.max(crossing.row));
        }
        let mut before = None;
        for crossing in crossings {
            let turn = edge.loops[crossing.inner].turn;
            let (first, last) = ends[crossing.inner].unwrap_or((crossing.row, crossing.row));
            let nearest = before.replace(crossing.row) != Some(crossing.row);
            let outer = nearest.then_some(crossing.row);
            let legs = [
                (first == crossing.row).then_some((turn.since, -1.0)),
                (last == crossing.row).then_some((turn.row, 1.0)),
            ];
            self.part(scene, edge, crossing, (outer, legs), all);
        }
    }

    /// Parts the ends of two legs and of the row that passes between them: what lies in front of the edge end stays where it is
    /// packed, what lies behind it has the room.
    fn part(
        &self,
        scene: &Scene<'_>,
        edge: &Edge,
        crossing: &Crossing,
        (between, legs): (Option<u32>, [Option<(u32, f32)>; 2]),
        all: &mut [[Stub; 2]],
    ) {
        let turn = edge.loops[crossing.inner].turn;
        let side = usize::from(edge.side == Side::Right);
        let (outer, inner) = self.depths(scene, edge, crossing);
        let y = |row: u32| scene.view.y(self.out_height(row, edge.side));
        let here = |row: u32| self.study.piece.crossings(row).span().edge(edge.side) == edge.end;
        let dives = |all: &[[Stub; 2]], row: u32, z: f32| {
            let stub = all[row as usize][side];
            here(row) && !stub.dives && stub.z * z < 0.0
        };
        // As far as two lie apart that pass each other.
        let half = |row: u32| scene.wefts[self.weft(row)].side * super::STUB_HALF * SLENDER;
        let apart = half(crossing.row) + half(turn.since);
        let at = y(crossing.row);
        let (low, high) = (y(turn.since) + apart, y(turn.row) - apart);
        let behind = !self.is_over(crossing.row, edge.side);
        let to = if low < high { at.clamp(low, high) } else { (low + high) / 2.0 };
        if let Some(row) = between.filter(|&row| dives(all, row, outer)) {
            let stub = &mut all[row as usize][side];
            *stub = stub.dive(outer);
            if behind {
                stub.rise = to - at;
            }
        }
        let returns = crossing.outer.map(|outer| edge.loops[outer].turn);
        let returns = returns.filter(|turn| turn.since == crossing.row);
        if let Some(turn) = returns.filter(|turn| here(turn.row) && y(turn.row) - at < apart * 1.5) {
            // It has little room above the turn that it has passed.
            let stub = &mut all[turn.row as usize][side];
            stub.half = stub.half.min(half(turn.row));
        }
        for (row, way) in legs.into_iter().flatten() {
            if dives(all, row, inner) {
                let stub = &mut all[row as usize][side];
                *stub = stub.dive(inner);
                let from = if behind { to } else { at };
                // Not as far as where the other comes back.
                let wanted = match returns.filter(|_| way > 0.0 && !behind) {
                    Some(turn) => (from + apart).min((from + y(turn.row)) / 2.0),
                    None => from + way * apart,
                };
                let short = (wanted - y(row)) * way;
                stub.rise = way * if behind { short.clamp(0.0, apart * 0.3) } else { short.max(-apart) };
            }
        }
    }

    /// The height of a row at its edge end.
    fn out_height(&self, row: u32, side: Side) -> f64 {
        let lie = self.study.cloth.row(row);
        lie.at(Across::End(lie.span().edge(side))).map_or(0.0, |y| y.mm())
    }

    /// Where a row's stub ends: to the pixel, so that nothing is seen between it and what goes on.
    pub(super) fn stub_end(&self, scene: &Scene<'_>, row: u32, side: Side) -> Point {
        let end = self.study.cloth.row(row).span().edge(side);
        let stub = scene.stub(row, side);
        let x = scene.row_x(row, end) + outward(side) as f32 * stub.long;
        let y = scene.view.y(self.out_height(row, side)) + stub.rise;
        Point { x, y, z: stub.z, half: stub.half }
    }
}
