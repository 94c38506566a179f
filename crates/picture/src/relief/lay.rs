//! The strands of a band of the picture in px: where each row's middle lies at every place across, how wide
//! and thick it is there, and which side of the warp it is on.

use super::scene::Scene;
use super::stubs::Stub;
use fellmark_core::cloth::Across;
use fellmark_core::side::Side;

/// A row at a place across, in px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    /// Its middle's height.
    pub(super) y: f32,
    /// How far it reaches up and down from there.
    pub(super) up: f32,
    pub(super) down: f32,
    /// How far its middle lies in front of the warp's.
    pub(super) z: f32,
    /// Half of its thickness toward the eye.
    pub(super) thick: f32,
}

/// A row, from its stub at the left to that at the right.
#[derive(Debug, Clone)]
pub(super) struct RowShape {
    pub(super) row: u32,
    pub(super) weft: usize,
    /// Its places, the two stubs included.
    pub(super) nodes: std::ops::Range<usize>,
    /// The px of its first end.
    pub(super) first: f32,
    /// From place to place.
    pub(super) step: f32,
    /// How it ends at the left and at the right.
    pub(super) stubs: [Stub; 2],
    /// Where its yarn comes in: where its length is 0.
    pub(super) start: f32,
    pub(super) seed: u32,
}

/// Rows of a band.
#[derive(Debug, Default)]
pub(super) struct Laid {
    pub(super) rows: Vec<RowShape>,
    pub(super) nodes: Vec<Node>,
}

/// How deep a row lies on its edge end that goes past other yarn right beside it, over its depth on others.
const BEGINS: f32 = 0.62;

const LAYERS: usize = 3;
const NONE: u32 = u32::MAX;

/// Lays the rows that reach into a band of px. What a row's neighbours leave it is the same for every band,
/// since all that may touch it are looked at too.
pub(super) fn lay(scene: &Scene<'_>, low: f32, high: f32) -> Laid {
    let near = scene.widest;
    let mut laid = Laid::default();
    let mut latest = vec![[NONE; LAYERS]; 2 * scene.cloth().end_count() as usize];
    for (row, &(from, to)) in (0_u32..).zip(&scene.bounds) {
        if to + near >= low && from - near <= high {
            add(scene, &mut laid, &mut latest, row);
        }
    }
    for shape in &laid.rows {
        finish(scene, &mut laid.nodes[shape.nodes.clone()], shape);
    }
    laid.rows.retain(|shape| {
        let (from, to) = scene.bounds[shape.row as usize];
        to >= low && from <= high
    });
    laid
}

/// Lays one row, and parts it from those below it in the same layer.
fn add(scene: &Scene<'_>, laid: &mut Laid, latest: &mut [[u32; LAYERS]], row: u32) {
    let (piece, lie) = (&scene.study.piece, scene.cloth().row(row));
    let (this, crossings, span) = (piece.row(row), piece.crossings(row), lie.span());
    let weft = &scene.wefts[this.weft.0];
    let first = Across::End(span.first()).number() as usize;
    let begin = laid.nodes.len();
    laid.nodes.push(Node { y: 0.0, up: 0.0, down: 0.0, z: 0.0, thick: 0.0 });
    // Whether it lies over an end, and how far it rises there.
    let lies = |end: u32| (crossings.over(end) == Some(true), scene.rise(this.weft.0, end).0);
    let mut here = lies(span.first());
    for (place, &height) in (first..).zip(lie.heights()) {
        let (layer, half, z) = match Across::of(place as u32) {
            Across::End(_) => {
                let (over, rise) = here;
                if over { (0, weft.spread / 2.0, rise) } else { (2, weft.spread / 2.0, -rise) }
            }
            Across::Gap(left) => {
                let ((over, a), (next_over, b)) = (here, lies(left + 1));
                here = (next_over, b);
                match (over, next_over) {
                    (true, true) => (0, weft.side / 2.0, (a + b) / 2.0),
                    (false, false) => (2, weft.side / 2.0, -(a + b) / 2.0),
                    (true, false) => (1, weft.side * 0.46, (a - b) / 2.0),
                    (false, true) => (1, weft.side * 0.46, (b - a) / 2.0),
                }
            }
        };
        let mut node = Node { y: scene.view.y(f64::from(height)), up: half, down: half, z, thick: half };
        let below = std::mem::replace(&mut latest[place][layer], laid.nodes.len() as u32);
        if let Some(below) = laid.nodes.get_mut(below as usize) {
            let room = (node.y - below.y).max(0.0);
            let all = below.thick + half;
            if room < all {
                below.up = below.up.min(room * below.thick / all);
                node.down = node.down.min(room * half / all);
            }
        }
        laid.nodes.push(node);
    }
    laid.nodes.push(Node { y: 0.0, up: 0.0, down: 0.0, z: 0.0, thick: 0.0 });
    let edge = |end: u32| scene.row_x(row, end);
    let start = match this.from {
        Side::Left => edge(span.first()),
        Side::Right => edge(span.last()),
    };
    laid.rows.push(RowShape {
        row,
        weft: this.weft.0,
        nodes: begin..laid.nodes.len(),
        first: edge(span.first()),
        step: scene.step() * scene.wider(row),
        stubs: scene.stubs[row as usize],
        start,
        seed: scene.row_seed(row),
    });
}

/// Works out thicknesses, once the room is known, and the stubs.
fn finish(scene: &Scene<'_>, nodes: &mut [Node], shape: &RowShape) {
    let weft = &scene.wefts[shape.weft];
    let strands = weft.strands as f32;
    let least = weft.side * 0.12;
    let count = nodes.len();
    if count < 3 {
        return;
    }
    for (k, node) in nodes[1..count - 1].iter_mut().enumerate() {
        node.up = node.up.max(least);
        node.down = node.down.max(least);
        // What it loses in width it gains in thickness, within what the warp leaves.
        let half = (node.up + node.down) / 2.0 / strands;
        let area = weft.free * weft.free / 4.0;
        let flat = if k.is_multiple_of(2) { weft.thick } else { weft.free };
        node.thick = (area / half).clamp(flat * 0.42, weft.free * 0.6);
    }
    for (at, from, stub) in [(0, 1, shape.stubs[0]), (count - 1, count - 2, shape.stubs[1])] {
        let Stub { half, z, rise, dives, .. } = stub;
        if dives {
            // It begins to before it has left the cloth.
            nodes[from].z *= BEGINS;
        }
        nodes[at] = Node {
            y: nodes[from].y + rise,
            up: half,
            down: half,
            z,
            thick: half / strands * super::STUB_ROUND,
        };
    }
}
