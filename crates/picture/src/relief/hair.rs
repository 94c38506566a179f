//! Hairs that stand out from soft yarn: thin curved lines over whatever lies behind.

use super::noise::{hash2, signed, unsigned};
use super::scene::Scene;
use super::shade::Inner;
use super::tile::{Canvas, Kind, Pen, Shown};

/// How thick a hair is, in mm.
const THICK: f32 = 0.035;

/// How many pixels beyond a piece hairs are still followed.
const CORNER: i32 = 4;

/// A drawing ground: the inner part of a canvas.
struct Ground<'a> {
    canvas: &'a Canvas,
    inner: Inner,
    out: &'a mut [u32],
}

/// Draws the hairs of a canvas's rows and ends.
pub(super) fn draw(scene: &Scene<'_>, canvas: &Canvas, inner: Inner, out: &mut [u32]) {
    let mut ground = Ground { canvas, inner, out };
    for pen in &canvas.pens {
        match pen.kind {
            Kind::Row { .. } => row(scene, pen, &mut ground),
            Kind::End { .. } => end(scene, pen, &mut ground),
            Kind::Lit => {}
        }
    }
}

/// How far a hair may reach, in px.
pub(super) fn reach(scene: &Scene<'_>) -> f32 {
    // It is bent by no more than 0.7 of its length, and at right angles.
    let longest =
        scene.looks.iter().filter(|look| look.hairs > 0.0).map(|look| look.hair).fold(0.0, f32::max);
    longest * 1.25 * scene.view.scale as f32 + 2.0
}

/// Px between hairs, their length, and how much they show; `None` if they don't.
fn measures(scene: &Scene<'_>, pen: &Pen) -> Option<(f32, f32, f32)> {
    let look = scene.looks.get(pen.ramp)?;
    let scale = scene.view.scale as f32;
    // What is much finer than a pixel is left to the streaks.
    let shows = look.hair_shows * ((THICK * scale).min(1.0) * 1.25 - 0.25);
    (look.hairs > 0.0 && shows > 0.0).then(|| (scale / look.hairs, look.hair * scale, shows))
}

fn row(scene: &Scene<'_>, pen: &Pen, ground: &mut Ground<'_>) {
    let Kind::Row { first, count, from, start } = pen.kind else { return };
    let Some((every, long, shows)) = measures(scene, pen) else { return };
    let part = ground.canvas.columns.part(from, count);
    let x0 = first as f32;
    let numbers = ((x0 - start) / every).floor() as i32..((x0 + count as f32 - start) / every).ceil() as i32;
    for number in numbers {
        let seed = hash2(pen.seed, number as u32);
        let at = (number as f32 + unsigned(seed)) * every + start;
        let Some(k) = ((at - x0).floor() >= 0.0).then_some((at - x0) as usize).filter(|&k| k < count) else {
            continue;
        };
        // Where the row lies behind the warp nobody sees it.
        if part.z[k] < 0.0 {
            continue;
        }
        let u = signed(hash2(seed, 1)) * 0.97;
        let half = 1.0 / if u >= 0.0 { part.up[k] } else { part.down[k] };
        let z = part.z[k] + part.thick[k] * (1.0 - u * u).sqrt();
        let hair = Hair::new(scene, pen, seed, (at, part.y[k] + u * half), z, (long, shows), (1.0, 0.0));
        hair.draw(ground);
    }
}

fn end(scene: &Scene<'_>, pen: &Pen, ground: &mut Ground<'_>) {
    let Kind::End { from, round } = pen.kind else { return };
    let Some((every, long, shows)) = measures(scene, pen) else { return };
    let beyond = ground.canvas.beyond;
    let Shown::End(number) = pen.shown else { return };
    let limits = scene.way(number).limits();
    let (foot, low) = (scene.view.y(0.0), ground.canvas.y0 as f32 - beyond as f32);
    let all = ground.canvas.height + 2 * beyond;
    let lines = all as f32;
    let numbers = ((low - foot) / every).floor() as i32..((low + lines - foot) / every).ceil() as i32;
    for number in numbers {
        let seed = hash2(pen.seed, number as u32);
        let at = (number as f32 + unsigned(seed)) * every + foot;
        let inside = at >= low && at < low + lines && at > limits.0 && at < limits.1;
        let Some(k) = inside.then_some((at - low) as usize).filter(|&k| k < all) else { continue };
        let u = signed(hash2(seed, 1)) * 0.97;
        let half = 1.0 / ground.canvas.rises.inv[from + k];
        let z = ground.canvas.rises.z[from + k] + half * round * (1.0 - u * u).sqrt();
        let hair = Hair::new(
            scene,
            pen,
            seed,
            (ground.canvas.rises.x[from + k] - u * half, at),
            z,
            (long, shows),
            (0.0, 1.0),
        );
        hair.draw(ground);
    }
}

/// A hair: where it grows, which way, how far it bends.
struct Hair {
    root: (f32, f32),
    way: (f32, f32),
    bend: (f32, f32),
    z: f32,
    lift: f32,
    shows: f32,
    colour: u32,
}

impl Hair {
    fn new(
        scene: &Scene<'_>,
        pen: &Pen,
        seed: u32,
        root: (f32, f32),
        z: f32,
        (long, shows): (f32, f32),
        along: (f32, f32),
    ) -> Hair {
        let draw = |nth: u32| hash2(seed, nth);
        let long = long * (0.35 + 0.65 * unsigned(draw(2)));
        // Mostly along the yarn, leaving it at a slant.
        let slant = signed(draw(3)) * 1.1;
        let forth = if draw(4) & 1 == 0 { 1.0 } else { -1.0 };
        let (across_x, across_y) = (-along.1, along.0);
        let way = (along.0 * forth + across_x * slant, along.1 * forth + across_y * slant);
        let size = (way.0 * way.0 + way.1 * way.1).sqrt().max(1e-3);
        let way = (way.0 / size * long, way.1 / size * long);
        let look = &scene.looks[pen.ramp];
        let curl = signed(draw(5)) * (1.0 - look.hair_stiff) * 0.7;
        let light = 0.85 + 0.3 * unsigned(draw(6));
        Hair {
            root,
            way,
            bend: (-way.1 * curl, way.0 * curl),
            z,
            lift: scene.unit * 0.35,
            shows: shows * (0.5 + 0.5 * unsigned(draw(7))),
            colour: scene.ramps[pen.ramp].at(light),
        }
    }

    fn draw(&self, ground: &mut Ground<'_>) {
        let (canvas, inner) = (ground.canvas, ground.inner);
        let long = (self.way.0 * self.way.0 + self.way.1 * self.way.1).sqrt();
        let left = (canvas.x0 + inner.x as i32 - CORNER) as f32;
        let low = (canvas.y0 + inner.y as i32 - CORNER) as f32;
        // Most hairs of a margin don't reach in.
        let reach = long * 1.25 + 2.0;
        let beyond = |at: f32, from: f32, size: usize| {
            at + reach < from + CORNER as f32 || at - reach > from + (size as i32 + CORNER) as f32
        };
        if beyond(self.root.0, left, inner.width) || beyond(self.root.1, low, inner.height) {
            return;
        }
        let steps = (long.ceil() as i32).clamp(2, 400);
        for step in 0..steps {
            let t = step as f32 / steps as f32;
            let x = self.root.0 + self.way.0 * t + self.bend.0 * t * t;
            let y = self.root.1 + self.way.1 * t + self.bend.1 * t * t;
            let z = self.z + self.lift * t;
            let shows = self.shows * (1.0 - t * t);
            // Each point lies between two pixels, beside the way the hair goes.
            let (dx, dy) = (self.way.0 + 2.0 * self.bend.0 * t, self.way.1 + 2.0 * self.bend.1 * t);
            // Counted from a little beyond the piece's corner, so that all numbers cut off downward.
            let (fx, fy) = (x - 0.5 - left, y - 0.5 - low);
            if fx < 0.0 || fy < 0.0 {
                continue;
            }
            let pair = if dx.abs() > dy.abs() {
                let (column, line) = ((fx + 0.5) as i32, fy as i32);
                let share = fy - line as f32;
                [(column, line, 1.0 - share), (column, line + 1, share)]
            } else {
                let (column, line) = (fx as i32, (fy + 0.5) as i32);
                let share = fx - column as f32;
                [(column, line, 1.0 - share), (column + 1, line, share)]
            };
            for (column, line, share) in pair {
                let (px, py) = (column - CORNER, line - CORNER);
                if px < 0 || py < 0 || px as usize >= inner.width || py as usize >= inner.height {
                    continue;
                }
                let (px, py) = (px as usize, py as usize);
                let behind = canvas.z[(py + inner.y) * canvas.width + px + inner.x];
                if z + self.lift * 0.3 >= behind
                    && let Some(pixel) = ground.out.get_mut(py * inner.width + px)
                {
                    *pixel = veil(self.colour, *pixel, shows * share);
                }
            }
        }
    }
}

/// A colour over another, by their bytes: fine enough for a veil as thin as a hair, and quick.
fn veil(over: u32, under: u32, share: f32) -> u32 {
    let share = (share * 256.0) as u32;
    let rest = 256 - share.min(256);
    let part = |mask: u32, down: u32| {
        let (a, b) = ((over >> down) & mask, (under >> down) & mask);
        (((a * share + b * rest + 0x0080_0080) >> 8) & mask) << down
    };
    part(0x00ff_00ff, 0) | part(0x0000_00ff, 8)
}
