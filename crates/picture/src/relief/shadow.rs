//! What strands take from each other: a little of the sky where others stand beside them, the lamp where others
//! stand before it. Both are read off the heights around a pixel.

use super::abreast::{WIDE, blocks};
use super::columns::each;
use super::light::LAMP;
use super::ramp::{least, most};
use super::tile::Canvas;

/// How far and how much neighbours count.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shadow {
    /// The way to the neighbours that take sky.
    near: usize,
    /// The ways toward the lamp: to the left, up, and how much higher a strand must stand there.
    lamp: [(usize, usize, f32); 4],
    sky: f32,
    soft: f32,
    /// How deep the paper lies as far as shadows on it go: soft ones, as if the light were all round.
    paper: f32,
    /// On the paper, which is bare and even, a shadow's steps would be seen: there it is looked at in finer ones. The same,
    /// and how much each takes.
    on_paper: Vec<(usize, usize, f32, f32)>,
}

/// The heights of a line, block by block.
type Heights<'a> = &'a [[f32; WIDE]];

/// How much of the lamp each of its ways takes.
const SHARES: [f32; 4] = [0.42, 0.34, 0.27, 0.18];
/// How far they go, in thicknesses.
const WAYS: [f32; 4] = [0.35, 0.75, 1.2, 1.7];
/// The most px from one step to the next on the paper.
const STEP: f32 = 3.0;

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
        let way = |far: f32| {
            let far = (far * unit).clamp(1.0, 8192.0);
            let (x, y) = (-LAMP[0] / flat * far, LAMP[1] / flat * far);
            (x.round() as usize, y.round() as usize, far * RISE)
        };
        // As many steps within each way's part as it has px.
        let parts = WAYS.iter().zip([0.0].iter().chain(&WAYS)).zip(SHARES);
        let on_paper = parts.flat_map(|((&to, &from), share)| {
            let count = ((to - from) * unit / STEP).ceil().clamp(1.0, 64.0);
            (1..=count as u32).map(move |k| {
                let (x, y, rise) = way(from + (to - from) * k as f32 / count);
                (x, y, rise, share / count)
            })
        });
        let on_paper = on_paper.collect();
        let lamp = WAYS.map(way);
        Shadow {
            near: near as usize,
            lamp,
            sky: 1.0 / (near * 1.15),
            soft: 1.0 / (unit * 1.1),
            paper: -unit * 1.05,
            on_paper,
        }
    }

    /// How far to the right or below a pixel something may touch it, and how far to the left or above.
    pub(super) fn reach(&self) -> (usize, usize) {
        let far = self.lamp.iter().map(|&(x, y, _)| x.max(y)).fold(self.near, usize::max);
        (self.near + 2, far + 2)
    }

    /// The shares of sky and lamp that reach `count` pixels of a line from column `x` on. They are worked out in whole
    /// blocks; beyond the last pixel they mean nothing.
    #[inline(always)]
    pub(super) fn line(
        &self,
        canvas: &Canvas,
        (x, y): (usize, usize),
        count: usize,
        sky: &mut [f32],
        sun: &mut [f32],
    ) {
        let (all, width) = (count.div_ceil(WIDE), canvas.width);
        let part = |x: usize, y: usize| blocks(&canvas.z[y * width + x..], all);
        let here = part(x, y);
        let n = self.near;
        let ids = &canvas.id[y * width + x..];
        let (left, right, up, down) = (part(x - n, y), part(x + n, y), part(x, y + n), part(x, y - n));
        let [a, b, c, d] = self.lamp;
        let pair = |at: (usize, usize, f32)| (part(x - at.0, y + at.1), part(x - at.0 + 1, y + at.1));
        let (at_a, at_b, at_c, at_d) = (pair(a), pair(b), pair(c), pair(d));
        let (near, lamp) = ([left, right, up, down], [at_a, at_b, at_c, at_d]);
        let lights = (&mut sky.as_chunks_mut().0[..all], &mut sun.as_chunks_mut().0[..all]);
        self.of_line(lights.0, lights.1, (here, blocks(ids, all)), near, lamp);
        if self.on_paper.len() > SHARES.len() {
            let mut at = 0;
            for run in ids[..count].chunk_by(|a, b| (*a == 0) == (*b == 0)) {
                let part = at..at + run.len();
                if run[0] == 0 {
                    self.of_paper(canvas, (x + at, y), &mut sky[part.clone()], &mut sun[part]);
                }
                at += run.len();
            }
        }
    }

    /// How much of the sky and of the lamp reaches a run of paper.
    #[inline(always)]
    fn of_paper(&self, canvas: &Canvas, (x, y): (usize, usize), sky: &mut [f32], sun: &mut [f32]) {
        let count = sun.len();
        let sky = &mut sky[..count];
        let width = canvas.width;
        let here = &canvas.z[y * width + x..][..count];
        let steps = (self.near / STEP as usize).max(1);
        sky.fill(0.0);
        for step in 1..=steps {
            let n = self.near * step / steps;
            for from in [y * width + x - n, y * width + x + n, (y + n) * width + x, (y - n) * width + x] {
                let others = &canvas.z[from..][..count];
                for k in 0..count {
                    sky[k] += least(most((others[k] - here[k]) * self.sky, 0.0), 1.0);
                }
            }
        }
        let share = SKY * 0.25 / steps as f32;
        sky.iter_mut().for_each(|sky| *sky = 1.0 - share * *sky);
        sun.fill(0.0);
        for &(left, up, rise, share) in &self.on_paper {
            let from = (y + up) * canvas.width + x - left;
            let others = &canvas.z[from..][..count];
            for k in 0..count {
                sun[k] += share * least(most((others[k] - rise - self.paper) * self.soft, 0.0), 1.0);
            }
        }
        for sun in sun {
            *sun = 1.0 - SUN * least(*sun, 1.0);
        }
    }

    /// Block by block, each worked out in full before it is put down: nothing is carried through memory from tap to tap.
    #[inline(always)]
    fn of_line(
        &self,
        sky: &mut [[f32; WIDE]],
        sun: &mut [[f32; WIDE]],
        (here, ids): (&[[f32; WIDE]], &[[u32; WIDE]]),
        near: [Heights<'_>; 4],
        lamp: [(Heights<'_>, Heights<'_>); 4],
    ) {
        let count = sky.len();
        let (sun, here, ids) = (&mut sun[..count], &here[..count], &ids[..count]);
        for at in 0..count {
            let z = here[at];
            let mut hidden = [0.0; WIDE];
            for part in near {
                let other = part[at];
                for k in 0..WIDE {
                    hidden[k] += least(most((other[k] - z[k]) * self.sky, 0.0), 1.0);
                }
            }
            let ids = ids[at];
            let deep: [f32; WIDE] = each(|k| if ids[k] == 0 { self.paper } else { z[k] });
            let mut dark = [0.0; WIDE];
            for (((a, b), share), &(_, _, rise)) in lamp.into_iter().zip(SHARES).zip(&self.lamp) {
                let (a, b) = (a[at], b[at]);
                for k in 0..WIDE {
                    // Of two pixels side by side: a strand that is a hair wider casts a shadow that is a hair wider.
                    let other = 0.5 * (a[k] + b[k]) - rise;
                    dark[k] += share * least(most((other - deep[k]) * self.soft, 0.0), 1.0);
                }
            }
            sky[at] = each(|k| 1.0 - SKY * 0.25 * hidden[k]);
            sun[at] = each(|k| 1.0 - SUN * least(dark[k], 1.0));
        }
    }
}
