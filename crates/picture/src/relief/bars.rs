//! The warp on the bars: from the clear height into the notches, round the wood to the next notch, and the knots.

use super::edges::beside;
use super::scene::Scene;
use super::tile::Shown;
use super::tube::{Grain, Point, Tube, curve, part};
use crate::cloth::Cloth;
use crate::frame::Frame;
use fellmark_core::plan::WarpPath;
use fellmark_core::warp::{Bar, Block, Winding};

/// A piece's frame and how its warp is wound.
pub(super) struct OnLoom {
    pub(super) frame: Frame,
    pub(super) winding: Winding,
}

/// Adds the warp's ways over the bars.
pub(super) fn add(scene: &mut Scene<'_>, drawn: &Cloth<'_>, on: &OnLoom) {
    for block in &on.winding.blocks {
        add_block(scene, drawn, on, block);
    }
}

fn add_block(scene: &mut Scene<'_>, drawn: &Cloth<'_>, on: &OnLoom, block: &Block) {
    let frame = &on.frame;
    let piece = &scene.study.piece;
    // Of two yarns that alternate, the second goes round farther out.
    let sink = if block.every > 1 && block.first % 2 == 1 { 1.6 } else { 0.5 };
    let ends: Vec<(u32, f64)> = block
        .ends()
        .filter_map(|end| Some((end, frame.in_notch(drawn, end, piece.ends.get(end as usize)?.notch))))
        .collect();
    let mut far = block.begins == Bar::Far;
    for (k, &(end, notch)) in ends.iter().enumerate() {
        let before = k.checked_sub(1).and_then(|k| ends.get(k));
        let next = ends.get(k + 1);
        match on.winding.path {
            WarpPath::Zigzag => {
                if before.is_none() {
                    tied(scene, drawn, frame, (end, notch), far);
                }
                far = !far;
                match next {
                    Some(&next) => hop(scene, drawn, frame, (end, notch), next, far, sink),
                    None => tied(scene, drawn, frame, (end, notch), far),
                }
            }
            WarpPath::Round => {
                for far in [false, true] {
                    over_bar(scene, drawn, frame, (end, notch), far);
                }
                if before.is_none() {
                    knot(scene, drawn, frame, (end, notch), false);
                }
                if next.is_none() {
                    knot(scene, drawn, frame, (end, notch), block.finishes == Bar::Far);
                }
            }
        }
    }
}

/// A point of an end's yarn in px.
fn point(scene: &Scene<'_>, end: u32, x: f64, y: f64, z: f32) -> Point {
    Point { x: scene.view.x(x), y: scene.view.y(y), z, half: scene.end(end).side / 2.0 }
}

/// From the clear height to the ground of the notch.
fn leg(
    scene: &Scene<'_>,
    drawn: &Cloth<'_>,
    frame: &Frame,
    (end, notch): (u32, f64),
    far: bool,
) -> Vec<Point> {
    let out = if far { 1.0 } else { -1.0 };
    let (inner, turn) = (frame.inner(far), frame.turn(far));
    vec![
        point(scene, end, drawn.end_at(end), inner, 0.0),
        point(scene, end, notch, turn - out * 0.4, 0.0),
        point(scene, end, notch, turn, -scene.unit * 0.1),
    ]
}

fn hop(
    scene: &mut Scene<'_>,
    drawn: &Cloth<'_>,
    frame: &Frame,
    from: (u32, f64),
    to: (u32, f64),
    far: bool,
    sink: f64,
) {
    let out = if far { 1.0 } else { -1.0 };
    let (turn, low) = (frame.turn(far), frame.turn(far) + out * sink);
    let mut way = leg(scene, drawn, frame, from, far);
    let (a, b) = (scene.view.x(from.1), scene.view.x(to.1));
    let (y, deep) = (scene.view.y(turn), scene.view.y(low));
    let round = ((b - a) / 2.0).clamp(-scene.view.px(1.4), scene.view.px(1.4));
    let at = way.last().copied().unwrap_or_default();
    curve(&mut way, [(a, y), (a, (y + deep) / 2.0), (a + round * 0.4, deep), (a + round, deep)], at, at, 7);
    way.push(Point { x: b - round, y: deep, ..at });
    curve(&mut way, [(b - round, deep), (b - round * 0.4, deep), (b, (y + deep) / 2.0), (b, y)], at, at, 7);
    let mut back = leg(scene, drawn, frame, to, far);
    back.pop();
    back.reverse();
    way.extend(back);
    push(scene, way, from.0);
}

fn tied(scene: &mut Scene<'_>, drawn: &Cloth<'_>, frame: &Frame, at: (u32, f64), far: bool) {
    let way = leg(scene, drawn, frame, at, far);
    push(scene, way, at.0);
    knot(scene, drawn, frame, at, far);
}

fn over_bar(scene: &mut Scene<'_>, drawn: &Cloth<'_>, frame: &Frame, at: (u32, f64), far: bool) {
    let mut way = leg(scene, drawn, frame, at, far);
    let edge = frame.outer(far);
    way.push(point(scene, at.0, at.1, edge, 0.0));
    let out = if far { 1.0 } else { -1.0 };
    way.push(point(scene, at.0, at.1, edge + out * 0.5, scene.paper));
    push(scene, way, at.0);
}

/// A knot: a short wrap across, and two ends that stand out.
fn knot(scene: &mut Scene<'_>, _drawn: &Cloth<'_>, frame: &Frame, (end, notch): (u32, f64), far: bool) {
    let out = if far { 1.0 } else { -1.0 };
    let warp = scene.end(end);
    let size = (f64::from(warp.free) / scene.view.scale).clamp(0.4, 2.5);
    let (half, y) = (warp.free / 2.0, frame.turn(far) + out * size * 0.3);
    let at = |dx: f64, dy: f64, z: f32| Point {
        x: scene.view.x(notch + dx),
        y: scene.view.y(y + out * dy),
        z: half * z,
        half,
    };
    let mut ways = Vec::new();
    for lean in [-1.0, 1.0] {
        let (from, to) = (at(0.0, 0.0, 0.2), at(lean * size * 1.3, 4.0_f64.max(size * 2.6), -0.3));
        let mut way = vec![from];
        let mid = |dx: f64, dy: f64| {
            let p = at(dx, dy, 0.0);
            (p.x, p.y)
        };
        let path = [
            (from.x, from.y),
            mid(lean * size * 0.2, size * 0.9),
            mid(lean * size, size * 1.2),
            (to.x, to.y),
        ];
        curve(&mut way, path, from, to, 10);
        ways.push(way);
    }
    ways.push(vec![
        at(-size * 0.55, -0.12 * size, 0.9),
        at(0.0, 0.0, 1.2),
        at(size * 0.55, 0.12 * size, 0.9),
    ]);
    for way in ways {
        let tube = Tube::new(way, warp.yarn, Grain::new(part(scene.end_seed(end), 5)), Shown::End(end));
        scene.tubes.push(tube);
    }
}

/// Adds the strands that go along a way, side by side.
fn push(scene: &mut Scene<'_>, way: Vec<Point>, end: u32) {
    let warp = scene.end(end);
    for nth in 0..warp.strands {
        let off = (nth as f32 + 0.5) / warp.strands as f32 * 2.0 - 1.0;
        let mut line = beside(&way, off);
        line.iter_mut().for_each(|p| p.half /= warp.strands as f32);
        let tube = Tube::new(line, warp.yarn, Grain::new(part(scene.end_seed(end), nth)), Shown::End(end));
        scene.tubes.push(tube);
    }
}
