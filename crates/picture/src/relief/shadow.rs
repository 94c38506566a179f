//! What strands take from each other: a little of the sky where others stand beside them, the lamp where others
//! stand before it. Both are read off the heights around a pixel.

use super::light::LAMP;
use super::tile::Canvas;

/// How far and how much neighbours count.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shadow {
    /// The way to the neighbours that take sky.
    near: usize,
    /// The ways toward the lamp: to the left, up, and how much higher a strand must stand there.
    lamp: [(usize, usize, f32); 4],
    sky: f32,
    soft: f32,
    /// How deep the paper lies as far as shadows on it go: soft ones, as if the light were all round.
    paper: f32,
}

/// How much of the sky neighbours take at most, and of the lamp.
const SKY: f32 = 0.72;
const SUN: f32 = 0.78;
/// The lamp is large: it is seen past a strand that is lower than this many times its distance.
const RISE: f32 = 0.45;

impl Shadow {
    /// Shadows for strands that are about `unit` px thick.
    pub(super) fn new(unit: f32) -> Shadow {
        let near = (unit * 0.42).round().clamp(1.0, 4096.0);
        let flat = (LAMP[0] * LAMP[0] + LAMP[1] * LAMP[1]).sqrt();
        let lamp = [0.35, 0.8, 1.35, 2.0].map(|far: f32| {
            let far = (far * unit).clamp(1.0, 8192.0);
            let (x, y) = (-LAMP[0] / flat * far, LAMP[1] / flat * far);
            (x.round() as usize, y.round() as usize, far * RISE)
        });
        Shadow {
            near: near as usize,
            lamp,
            sky: 1.0 / (near * 1.15),
            soft: 1.0 / (unit * 1.1),
            paper: -unit * 1.05,
        }
    }

    /// How far to the right or below a pixel something may touch it, and how far to the left or above.
    pub(super) fn reach(&self) -> (usize, usize) {
        let far = self.lamp.iter().map(|&(x, y, _)| x.max(y)).fold(self.near, usize::max);
        (self.near + 2, far + 2)
    }

    /// The shares of sky and lamp that reach the pixels of a line from column `x` on.
    pub(super) fn line(&self, canvas: &Canvas, x: usize, y: usize, sky: &mut [f32], sun: &mut [f32]) {
        let (count, width) = (sky.len(), canvas.width);
        let part = |x: usize, y: usize| &canvas.z[y * width + x..][..count];
        let here = part(x, y);
        let n = self.near;
        let ids = &canvas.id[y * width + x..][..count];
        let (left, right, up, down) = (part(x - n, y), part(x + n, y), part(x, y + n), part(x, y - n));
        let [a, b, c, d] = self.lamp;
        let (at_a, at_b) = (part(x - a.0, y + a.1), part(x - b.0, y + b.1));
        let (at_c, at_d) = (part(x - c.0, y + c.1), part(x - d.0, y + d.1));
        let sun = &mut sun[..count];
        for k in 0..count {
            let z = if ids[k] == 0 { self.paper } else { here[k] };
            let taken = |other: f32| ((other - z) * self.sky).clamp(0.0, 1.0);
            let all = taken(left[k]) + taken(right[k]) + taken(up[k]) + taken(down[k]);
            sky[k] = 1.0 - SKY * 0.25 * all;
            let hidden = |other: f32| ((other - z) * self.soft).clamp(0.0, 1.0);
            let near = 0.42 * hidden(at_a[k] - a.2) + 0.34 * hidden(at_b[k] - b.2);
            let all = near + 0.27 * hidden(at_c[k] - c.2) + 0.18 * hidden(at_d[k] - d.2);
            sun[k] = 1.0 - SUN * all.min(1.0);
        }
    }
}
