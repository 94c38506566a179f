//! Where the warp turns and is tied: round the wood of the bars from notch to notch, or, off the loom, the bends
//! of its loops; and the knots.

use super::edges::beside;
use super::noise::signed;
use super::open::{Step, Warp, steps};
use super::scene::Scene;
use super::tile::Shown;
use super::tube::{Grain, Point, Tube, curve, part};
use crate::cloth::Cloth;
use crate::frame::Frame;
use fellmark_core::warp::{Bar, Block};

/// Half of the way that a knot's yarn goes across, and half of its width there, in its thicknesses; and in how many steps.
const WRAP: f32 = 0.62;
const WOUND: f32 = 0.42;
const WRAPS: u32 = 8;

/// Adds what the warp does beyond the ends' straight ways.
pub(super) fn add(scene: &mut Scene<'_>, drawn: &Cloth<'_>, warp: &Warp) {
    let path = warp.winding.path;
    for block in &warp.winding.blocks {
        for step in steps(path, block) {
            match (&warp.frame, warp.loose) {
                (Some(frame), _) => on_wood(scene, drawn, frame, block, step),
                (None, Some(_)) => loose(scene, block, step),
                (None, None) => {}
            }
        }
    }
}

/// Of two yarns that alternate, the second goes round farther out.
fn outer(block: &Block) -> bool {
    block.every > 1 && block.first % 2 == 1
}

fn on_wood(scene: &mut Scene<'_>, drawn: &Cloth<'_>, frame: &Frame, block: &Block, step: Step) {
    let notch = |end: u32| {
        let known = drawn.study.piece.ends.get(end as usize)?;
        Some((end, frame.in_notch(drawn, end, known.notch)))
    };
    let (a, b, bar) = match step {
        Step::Tied(end, bar) | Step::Over(end, bar) => (notch(end), None, bar),
        Step::Hop(a, b, bar) => (notch(a), notch(b), bar),
    };
    let far = bar == Bar::Far;
    let Some(at) = a else { return };
    match (step, b) {
        (Step::Hop(..), Some(to)) => hop(scene, frame, at, to, far, if outer(block) { 1.6 } else { 0.5 }),
        (Step::Over(..), _) => over_bar(scene, frame, at, far),
        _ => {
            let way = leg(scene, frame, at, far);
            push(scene, way, at.0, (true, false));
            let y = frame.turn(far);
            knot(scene, at.0, (scene.view.x(at.1), scene.view.y(y)), far, false);
        }
    }
}

/// Off the loom: the bend of a loop, or a knot.
fn loose(scene: &mut Scene<'_>, block: &Block, step: Step) {
    match step {
        Step::Tied(end, bar) => knot(scene, end, scene.way(end).tip(bar), bar == Bar::Far, true),
        Step::Over(..) => {}
        Step::Hop(a, b, bar) => {
            let ((xa, ya), (xb, yb)) = (scene.way(a).tip(bar), scene.way(b).tip(bar));
            let out = if bar == Bar::Far { 1.0 } else { -1.0 };
            let half = scene.end(a).side / 2.0;
            let bend = (xb - xa).abs() * 0.66 * out;
            // Of two yarns that alternate, one lies on the other.
            let z = if outer(block) { scene.unit * 0.7 } else { 0.0 };
            let from = Point { x: xa, y: ya, z: 0.0, half };
            let top = Point { x: (xa + xb) / 2.0, y: (ya + yb) / 2.0 + bend * 0.75, z, half };
            let to = Point { x: xb, y: yb, z: 0.0, half: scene.end(b).side / 2.0 };
            // It begins a little before its legs end: it leans where those are cut level.
            let before = |p: Point| Point { y: p.y - out * 1.5, ..p };
            let mut way = vec![before(from), from];
            let k = 0.5523;
            let corner = |way: &mut Vec<Point>, p: Point, mid: (f32, f32), q: Point| {
                let toward = |p: Point| (p.x + (mid.0 - p.x) * k, p.y + (mid.1 - p.y) * k);
                curve(way, [(p.x, p.y), toward(p), toward(q), (q.x, q.y)], p, q, 6);
            };
            corner(&mut way, from, (from.x, top.y), top);
            corner(&mut way, top, (to.x, top.y), to);
            way.push(before(to));
            push(scene, way, a, (true, true));
        }
    }
}

/// A point of an end's yarn in px.
fn point(scene: &Scene<'_>, end: u32, x: f64, y: f64, z: f32) -> Point {
    Point { x: scene.view.x(x), y: scene.view.y(y), z, half: scene.end(end).side / 2.0 }
}

/// From the clear height to the ground of the notch.
fn leg(scene: &Scene<'_>, frame: &Frame, (end, notch): (u32, f64), far: bool) -> Vec<Point> {
    let out = if far { 1.0 } else { -1.0 };
    let turn = frame.turn(far);
    let tip = scene.way(end).tip(if far { Bar::Far } else { Bar::Near });
    vec![
        Point { x: tip.0, y: tip.1, z: 0.0, half: scene.end(end).side / 2.0 },
        point(scene, end, notch, turn - out * 0.4, 0.0),
        point(scene, end, notch, turn, -scene.unit * 0.1),
    ]
}

fn hop(scene: &mut Scene<'_>, frame: &Frame, from: (u32, f64), to: (u32, f64), far: bool, sink: f64) {
    let out = if far { 1.0 } else { -1.0 };
    let (turn, low) = (frame.turn(far), frame.turn(far) + out * sink);
    let mut way = leg(scene, frame, from, far);
    let (a, b) = (scene.view.x(from.1), scene.view.x(to.1));
    let (y, deep) = (scene.view.y(turn), scene.view.y(low));
    let round = ((b - a) / 2.0).clamp(-scene.view.px(1.4), scene.view.px(1.4));
    let at = way.last().copied().unwrap_or_default();
    curve(&mut way, [(a, y), (a, (y + deep) / 2.0), (a + round * 0.4, deep), (a + round, deep)], at, at, 7);
    way.push(Point { x: b - round, y: deep, ..at });
    curve(&mut way, [(b - round, deep), (b - round * 0.4, deep), (b, (y + deep) / 2.0), (b, y)], at, at, 7);
    let mut back = leg(scene, frame, to, far);
    back.pop();
    back.reverse();
    way.extend(back);
    push(scene, way, from.0, (true, true));
}

fn over_bar(scene: &mut Scene<'_>, frame: &Frame, at: (u32, f64), far: bool) {
    let mut way = leg(scene, frame, at, far);
    let edge = frame.outer(far);
    way.push(point(scene, at.0, at.1, edge, 0.0));
    let out = if far { 1.0 } else { -1.0 };
    way.push(point(scene, at.0, at.1, edge + out * 0.5, scene.paper));
    push(scene, way, at.0, (true, false));
}

/// A knot where an end's yarn is tied: it is wound round itself twice, at a slant, and its end stands out. Knots that have no
/// room side by side lie one farther out than the next, where there is no bar.
fn knot(scene: &mut Scene<'_>, end: u32, (x, y): (f32, f32), far: bool, crowds: bool) {
    let out = if far { 1.0 } else { -1.0 };
    let warp = scene.end(end);
    let thick = warp.free.clamp(scene.view.px(0.3), scene.view.px(4.0));
    let half = thick / 2.0;
    let pitch = scene.step() * 2.0;
    let wide = 2.0 * (WRAP + WOUND) * thick;
    let inner = crowds && wide > pitch && end % 2 == 1;
    // Beside it stands an end, or another knot.
    let room = if crowds && wide > pitch { pitch - half } else { pitch * 0.49 };
    let reach = (room / thick - WOUND).clamp(0.15, WRAP) * thick;
    let seed = part(scene.end_seed(end), 5);
    let at = |dx: f32, dy: f32, z: f32| Point { x: x + dx, y: y + out * dy, z, half };
    let from = if inner { -thick * 1.9 } else { 0.0 };
    // Its end, each a little aside from the next and over it or under it.
    let sway = signed(seed) * (0.22 * pitch).min((pitch - thick).max(0.0) * 0.4);
    let long = (thick * 2.4).clamp(scene.view.px(2.5), scene.view.px(5.0));
    let lies = half * if end % 2 == 1 { 0.5 } else { -0.1 };
    let begins = at(0.0, 0.0, 0.0);
    let mut tail = vec![begins];
    let path =
        [(x, y), (x, y + out * long * 0.5), (x + sway, y + out * long * 0.7), (x + sway, y + out * long)];
    curve(&mut tail, path, begins, at(0.0, 0.0, lies), 8);
    let mut ways = vec![tail];
    for wound in [0.25, 0.95] {
        let wrap = (0..=WRAPS).map(|k| {
            let t = k as f32 / WRAPS as f32 * 2.0 - 1.0;
            let z = half * (0.2 + 1.3 * (1.0 - t * t).max(0.0).sqrt()) + lies;
            Point { half: thick * WOUND, ..at(t * reach, from + (wound - 0.22 * t * out) * thick, z) }
        });
        ways.push(wrap.collect());
    }
    for way in ways {
        scene.tubes.push(Tube::new(way, warp.yarn, Grain::new(seed), Shown::End(end)));
    }
}

/// Adds the strands that go along a way, side by side.
fn push(scene: &mut Scene<'_>, way: Vec<Point>, end: u32, joins: (bool, bool)) {
    let warp = scene.end(end);
    for nth in 0..warp.strands {
        let off = (nth as f32 + 0.5) / warp.strands as f32 * 2.0 - 1.0;
        let mut line = beside(&way, off);
        line.iter_mut().for_each(|p| p.half /= warp.strands as f32);
        let grain = Grain::new(part(scene.end_seed(end), nth));
        scene.tubes.push(Tube::new(line, warp.yarn, grain, Shown::End(end)).joined(joins));
    }
}
