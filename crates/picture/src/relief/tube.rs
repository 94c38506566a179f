//! Yarn that leaves the rows: turns, tails, loops of the warp. A tube follows a line of points through space.

use super::light::{Course, Spot, fibres};
use super::noise::{hash, unsigned};
use super::scene::Scene;
use super::tile::{Canvas, Shown};

/// A point of a tube's middle line, in px.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Point {
    pub(super) x: f32,
    pub(super) y: f32,
    /// How far in front of the warp's middle.
    pub(super) z: f32,
    /// Half of its width.
    pub(super) half: f32,
}

/// A piece of yarn along a line.
#[derive(Debug, Clone)]
pub(super) struct Tube {
    pub(super) points: Vec<Point>,
    pub(super) yarn: usize,
    pub(super) seed: u32,
    /// Px of its yarn before its first point.
    pub(super) along: f32,
    pub(super) shown: Shown,
    /// What it covers: left, low, right, high.
    pub(super) bounds: [f32; 4],
}

impl Tube {
    pub(super) fn new(points: Vec<Point>, yarn: usize, seed: u32, shown: Shown) -> Tube {
        let mut bounds = [f32::INFINITY, f32::INFINITY, f32::NEG_INFINITY, f32::NEG_INFINITY];
        for p in &points {
            let r = p.half + 1.0;
            bounds[0] = bounds[0].min(p.x - r);
            bounds[1] = bounds[1].min(p.y - r);
            bounds[2] = bounds[2].max(p.x + r);
            bounds[3] = bounds[3].max(p.y + r);
        }
        Tube { points, yarn, seed, along: 0.0, shown, bounds }
    }

    /// Draws the part of it that lies on a canvas.
    pub(super) fn draw(&self, scene: &Scene<'_>, canvas: &mut Canvas) {
        if !canvas.touches(self.bounds) {
            return;
        }
        let skin = &scene.skins[self.yarn];
        let (twist, fibres) = (skin.twist(), fibres());
        let start = unsigned(self.seed);
        let pen = canvas.pen(self.shown, self.yarn);
        let mut along = self.along;
        let count = self.points.len();
        let direction = |a: Point, b: Point| {
            let (x, y) = (b.x - a.x, b.y - a.y);
            let long = (x * x + y * y).sqrt().max(1e-4);
            (x / long, y / long, long)
        };
        for k in 0..count.saturating_sub(1) {
            let (a, b) = (self.points[k], self.points[k + 1]);
            let (dx, dy, long) = direction(a, b);
            // The courses at both points, so that light runs smoothly round a bend.
            let at_a = if k > 0 { direction(self.points[k - 1], b) } else { (dx, dy, long) };
            let at_b = if k + 2 < count { direction(a, self.points[k + 2]) } else { (dx, dy, long) };
            let tilt = ((b.z - a.z) / long).clamp(-2.0, 2.0);
            let reach = a.half.max(b.half) + 1.0;
            let slub = 1.0 + skin.slub * 0.5 * skin.slow(along, start);
            canvas.each_in(
                [a.x.min(b.x) - reach, a.y.min(b.y) - reach, a.x.max(b.x) + reach, a.y.max(b.y) + reach],
                |canvas, x, y, at| {
                    let (px, py) = (x - a.x, y - a.y);
                    let t = ((px * dx + py * dy) / long).clamp(0.0, 1.0);
                    let (ox, oy) = (px - dx * long * t, py - dy * long * t);
                    let off = (ox * ox + oy * oy).sqrt();
                    let half = (a.half + (b.half - a.half) * t) * slub;
                    let cover = half - off + 0.5;
                    if cover <= 0.0 {
                        return;
                    }
                    let side = if oy * dx - ox * dy >= 0.0 { 1.0 } else { -1.0 };
                    let u = (off / half).min(0.999) * side;
                    let z = a.z + (b.z - a.z) * t + half * 0.9 * (1.0 - u * u).sqrt();
                    if !canvas.in_front(at, z) {
                        return;
                    }
                    let (cx, cy) = (at_a.0 + (at_b.0 - at_a.0) * t, at_a.1 + (at_b.1 - at_a.1) * t);
                    let far = along + long * t;
                    let spot = Spot {
                        u,
                        round: 0.9,
                        tilt,
                        along: far,
                        vary: 1.0 + skin.vary * skin.slow(far, start + 0.37),
                        sky: 1.0,
                        sun: 1.0,
                    };
                    let light = skin.light(Course::of(cx, cy), twist, fibres, start, spot);
                    canvas.put(at, z, pen, light, cover.min(1.0));
                },
            );
            along += long;
        }
    }
}

/// Points evenly along a cubic curve in the plane; depth and width go evenly from one end to the other.
pub(super) fn curve(points: &mut Vec<Point>, p: [(f32, f32); 4], from: Point, to: Point, steps: u32) {
    for k in 1..=steps {
        let t = k as f32 / steps as f32;
        let s = 1.0 - t;
        let w = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
        let sum = |part: fn(&(f32, f32)) -> f32| w.iter().zip(&p).map(|(w, p)| w * part(p)).sum::<f32>();
        points.push(Point {
            x: sum(|p| p.0),
            y: sum(|p| p.1),
            z: from.z + (to.z - from.z) * t,
            half: from.half + (to.half - from.half) * t,
        });
    }
}

/// A seed for a part of a strand.
pub(super) fn part(seed: u32, nth: u32) -> u32 {
    hash(seed.wrapping_add(nth.wrapping_mul(0x9e37_79b9)))
}
