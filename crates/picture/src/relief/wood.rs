//! The frame in wood: bars with their notches, two posts; where on it a px lies, and how it is lit.

use super::light::LAMP;
use super::noise::{FIBRE_LONG, FIBRE_ROUND, FIBRES, LONG, SLOW};
use super::ramp::low_bits;
use super::scene::Scene;
use super::tile::{Canvas, Shown};
use super::view::View;
use crate::frame::Frame;

/// A frame, in px.
pub(super) struct Wood {
    /// Left, low, right, high.
    outer: [f32; 4],
    inner: [f32; 4],
    /// The first notch's middle, from one to the next, and how many.
    notches: (f32, f32, f32),
    /// Half of a notch's width.
    half: f32,
    /// The grounds of the notches.
    grounds: [f32; 2],
    /// How round corners are, and edges toward the eye.
    round: f32,
    bevel: f32,
    /// Px per mm.
    scale: f32,
}

impl Wood {
    pub(super) fn new(frame: &Frame, view: &View) -> Wood {
        let (left, right) = frame.across();
        let (low, high) = frame.down();
        let inner = frame.opening();
        let (first, pitch, count, width) = frame.notches();
        Wood {
            outer: [view.x(left), view.y(low), view.x(right), view.y(high)],
            inner: [view.x(inner.0), view.y(frame.inner(false)), view.x(inner.1), view.y(frame.inner(true))],
            notches: (
                view.x(first),
                view.px(pitch).max(1e-3),
                f32::from(u16::try_from(count).unwrap_or(u16::MAX)),
            ),
            half: view.px(width / 2.0),
            grounds: [view.y(frame.turn(false)), view.y(frame.turn(true))],
            round: view.px(2.0),
            bevel: view.px(0.9).max(0.6),
            scale: view.scale as f32,
        }
    }

    /// Whether any of it lies on a canvas.
    pub(super) fn touches(&self, canvas: &Canvas) -> bool {
        canvas.touches(self.outer)
    }

    /// All that makes it what it is.
    pub(super) fn measures(&self) -> Vec<f32> {
        let Wood { outer, inner, notches, half, grounds, round, bevel, scale } = *self;
        let mut all = [outer, inner].concat();
        all.extend([notches.0, notches.1, notches.2, half, grounds[0], grounds[1], round, bevel, scale]);
        all
    }

    /// How far within the wood a point lies; below 0 outside.
    fn depth(&self, x: f32, y: f32) -> f32 {
        let outer = -boxed(self.outer, self.round, x, y);
        let inner = boxed(self.inner, self.round * 0.4, x, y);
        outer.min(inner).min(self.notch(x, y))
    }

    /// How far from the nearest notch.
    fn notch(&self, x: f32, y: f32) -> f32 {
        let (first, pitch, count) = self.notches;
        let nearest = ((x - first) / pitch).round().clamp(0.0, (count - 1.0).max(0.0));
        let off = (x - first - nearest * pitch).abs();
        let [near, far] = self.grounds;
        // Outward from the ground, which is round.
        let out = if y > (near + far) / 2.0 { y - far } else { near - y };
        let below = self.half - out;
        if below > 0.0 { (off * off + below * below).sqrt() - self.half } else { off - self.half }
    }

    /// Draws what of it lies on a canvas.
    pub(super) fn draw(&self, scene: &Scene<'_>, canvas: &mut Canvas) {
        if !self.touches(canvas) {
            return;
        }
        let top = -scene.unit * 0.5;
        let pen = canvas.pen(Shown::Frame, scene.wood_ramp());
        let clear = self.bevel * 1.5;
        let [l, b, r, t] = self.inner;
        // Most of the frame's rectangle is the opening.
        let open = [l + clear, b + clear, r - clear, t - clear];
        canvas.each_round(self.outer, open, |canvas, x, y, at| {
            let depth = self.depth(x, y);
            if depth <= -0.5 {
                return;
            }
            let edge = (1.0 - depth / self.bevel).clamp(0.0, 1.0);
            let mut light = 0.93;
            if edge > 0.0 {
                // It leans outward at its edges.
                let step = 0.7;
                let lean_x = self.depth(x - step, y) - self.depth(x + step, y);
                let lean_y = self.depth(x, y - step) - self.depth(x, y + step);
                light += edge * (lean_x * LAMP[0] + lean_y * LAMP[1]) * 0.34 - edge * edge * 0.06;
            }
            light *= 1.0 + self.grain(x, y);
            let z = top - edge * edge * self.bevel * 0.6;
            canvas.put(at, z, pen, light, (depth + 0.5).min(1.0));
        });
    }

    /// The grain of the wood: along the bars and along the posts.
    fn grain(&self, x: f32, y: f32) -> f32 {
        let [l, _, r, _] = self.inner;
        let post = x < l || x > r;
        let (along, across) = if post { (y, x) } else { (x, y) };
        let (along, across) = (along / self.scale, across / self.scale);
        let sway = SLOW[low_bits(along * 1.3 + 700.0) & (LONG - 1)];
        let ring = SLOW[low_bits((across + sway * 0.9) * 38.0 + 300.0) & (LONG - 1)];
        let line = low_bits((across + sway * 0.3) * 12.0) & (FIBRE_ROUND - 1);
        let fine = f32::from(
            FIBRES[(low_bits(along * 4.0) & (FIBRE_LONG - 1)) | line << FIBRE_LONG.trailing_zeros()],
        ) / 127.0;
        ring * 0.05 + fine * 0.035
    }
}

/// How far outside a box with round corners a point lies; below 0 inside.
fn boxed([left, low, right, high]: [f32; 4], round: f32, x: f32, y: f32) -> f32 {
    let dx = (left - x).max(x - right) + round;
    let dy = (low - y).max(y - high) + round;
    let (ox, oy) = (dx.max(0.0), dy.max(0.0));
    (ox * ox + oy * oy).sqrt() + dx.max(dy).min(0.0) - round
}
