//! Hairs that stand out from soft yarn: thin curved lines over whatever lies behind.

use super::abreast::abreast;
use super::header::Header;
use super::look::Look;
use super::noise::{hash2, signed, unsigned};
use super::ramp::rounded;
use super::scene::Scene;
use super::shade::Inner;
use super::tile::{Canvas, Kind, Pen, Shown};
use super::tube::Tube;

/// How thick a hair is, in mm.
const THICK: f32 = 0.035;

/// How much a hair shows at least, if it can.
const ENOUGH: f32 = 0.25;

/// A drawing ground: the inner part of a canvas.
struct Ground<'a> {
    canvas: &'a Canvas,
    inner: Inner,
    out: &'a mut [u32],
    /// The picture's pixel at its lower left.
    left: i32,
    low: i32,
}

impl Ground<'_> {
    /// Whether something that reaches so far from a point may come in.
    #[inline]
    fn near(&self, (x, y): (f32, f32), reach: f32) -> bool {
        let near = |at: f32, from: i32, size: usize| {
            at + reach >= from as f32 && at - reach <= (from + size as i32) as f32
        };
        near(x, self.left, self.inner.width) && near(y, self.low, self.inner.height)
    }
}

/// How far a hair of a length reaches, in px: it is bent by no more than 0.7 of it, and at right angles.
fn reaches(long: f32) -> f32 {
    long * 1.25 + 2.0
}

/// Draws the hairs of a canvas's rows and ends, and of what goes on from them.
pub(super) fn draw(scene: &Scene<'_>, canvas: &Canvas, inner: Inner, out: &mut [u32]) {
    let (left, low) = (canvas.x0 + inner.x as i32, canvas.y0 + inner.y as i32);
    let mut ground = Ground { canvas, inner, out, left, low };
    abreast!({
        for pen in &canvas.pens {
            match pen.kind {
                Kind::Row { .. } => row(scene, pen, &mut ground),
                Kind::End { .. } => end(scene, pen, &mut ground),
                Kind::Lit => {}
            }
        }
        let below = if let Some(Header::Woven(rows)) = &scene.header { rows.tubes.as_slice() } else { &[] };
        for one in below.iter().chain(&scene.tubes) {
            tube(scene, one, &mut ground);
        }
    });
}

/// How far a hair may reach, in px; 0 where all are too fine to be seen.
pub(super) fn reach(scene: &Scene<'_>) -> f32 {
    let seen = |look: &&Look| look.hairs > 0.0 && shows(look, scene.view.scale as f32) > 0.0;
    let longest = scene.looks.iter().filter(seen).map(|look| look.hair).reduce(f32::max);
    longest.map_or(0.0, |long| reaches(long * scene.view.scale as f32))
}

/// How much a hair shows: what is much finer than a pixel is left to the streaks.
fn shows(look: &Look, scale: f32) -> f32 {
    look.hair_shows * ((THICK * scale).min(1.0) * 1.25 - 0.25)
}

/// Px between hairs, their length, and how much they show; `None` if they don't.
fn measures(scene: &Scene<'_>, pen: &Pen) -> Option<(f32, f32, f32)> {
    let look = scene.looks.get(pen.ramp)?;
    let scale = scene.view.scale as f32;
    let shows = shows(look, scale);
    // Where each shows little, fewer show more: the eye sees the same.
    let of = (ENOUGH / shows.max(1e-3)).floor().clamp(1.0, 3.0);
    (look.hairs > 0.0 && shows > 0.0).then(|| (scale / look.hairs * of, look.hair * scale, shows * of))
}

#[inline(always)]
fn row(scene: &Scene<'_>, pen: &Pen, ground: &mut Ground<'_>) {
    let Kind::Row { first, count, from, start } = pen.kind else { return };
    let Some((every, long, shows)) = measures(scene, pen) else { return };
    let part = ground.canvas.columns.part(from, count);
    let x0 = first as f32;
    let numbers = ((x0 - start) / every).floor() as i32..((x0 + count as f32 - start) / every).ceil() as i32;
    for number in numbers {
        let seed = hash2(pen.seed, number as u32);
        let at = (number as f32 + unsigned(seed)) * every + start;
        let Some(k) = usize::try_from(at.floor() as i32 - first).ok().filter(|&k| k < count) else {
            continue;
        };
        // Where the row lies behind the warp nobody sees it.
        if part.z[k] < 0.0 {
            continue;
        }
        let u = signed(hash2(seed, 1)) * 0.97;
        let half = 1.0 / if u >= 0.0 { part.up[k] } else { part.down[k] };
        let root = (at, part.y[k] + u * half);
        // Most hairs of a margin don't reach in.
        if !ground.near(root, reaches(long)) {
            continue;
        }
        let z = part.z[k] + part.thick[k] * (1.0 - u * u).sqrt();
        Hair::new(scene, pen, seed, root, z, (long, shows), (1.0, 0.0)).draw(ground);
    }
}

#[inline(always)]
fn end(scene: &Scene<'_>, pen: &Pen, ground: &mut Ground<'_>) {
    let Kind::End { from, round } = pen.kind else { return };
    let Some((every, long, shows)) = measures(scene, pen) else { return };
    let beyond = ground.canvas.beyond;
    let Shown::End(number) = pen.shown else { return };
    let limits = scene.way(number).limits();
    let (foot, lowest) = (scene.view.y(0.0), ground.canvas.y0 - beyond as i32);
    let low = lowest as f32;
    let all = ground.canvas.height + 2 * beyond;
    let lines = all as f32;
    let numbers = ((low - foot) / every).floor() as i32..((low + lines - foot) / every).ceil() as i32;
    for number in numbers {
        let seed = hash2(pen.seed, number as u32);
        let at = (number as f32 + unsigned(seed)) * every + foot;
        if at <= limits.0 || at >= limits.1 {
            continue;
        }
        let Some(k) = usize::try_from(at.floor() as i32 - lowest).ok().filter(|&k| k < all) else { continue };
        let u = signed(hash2(seed, 1)) * 0.97;
        let half = 1.0 / ground.canvas.rises.inv[from + k];
        let root = (ground.canvas.rises.x[from + k] - u * half, at);
        if !ground.near(root, reaches(long)) {
            continue;
        }
        let z = ground.canvas.rises.z[from + k] + half * round * (1.0 - u * u).sqrt();
        Hair::new(scene, pen, seed, root, z, (long, shows), (0.0, 1.0)).draw(ground);
    }
}

/// The hairs of a turn, a tail or a loop of the warp.
#[inline(always)]
fn tube(scene: &Scene<'_>, tube: &Tube, ground: &mut Ground<'_>) {
    let seed = tube.grain.seed.to_bits();
    let pen = Pen { kind: Kind::Lit, shown: tube.shown, ramp: tube.yarn, seed };
    let Some((every, long, shows)) = measures(scene, &pen) else { return };
    let [left, low, right, high] = tube.bounds;
    let middle = ((left + right) / 2.0, (low + high) / 2.0);
    if !ground.near(middle, reaches(long) + (right - left).max(high - low) / 2.0) {
        return;
    }
    let mut before = 0.0;
    for (nth, pair) in tube.points.windows(2).enumerate() {
        let (a, b) = (pair[0], pair[1]);
        let (x, y) = (b.x - a.x, b.y - a.y);
        let way = (x * x + y * y).sqrt();
        if nth < tube.part.0 || nth >= tube.part.1 || way < 1e-3 {
            before += way;
            continue;
        }
        for number in (before / every) as u32..=((before + way) / every) as u32 {
            let seed = hash2(pen.seed, number);
            let t = ((number as f32 + unsigned(seed)) * every - before) / way;
            if !(0.0..1.0).contains(&t) {
                continue;
            }
            let u = signed(hash2(seed, 1)) * 0.97;
            let half = a.half + (b.half - a.half) * t;
            let root = (a.x + x * t - y / way * u * half, a.y + y * t + x / way * u * half);
            if ground.near(root, reaches(long)) {
                let z = a.z + (b.z - a.z) * t + half * super::STUB_ROUND * (1.0 - u * u).sqrt();
                Hair::new(scene, &pen, seed, root, z, (long, shows), (x / way, y / way)).draw(ground);
            }
        }
        before += way;
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
    #[inline(always)]
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

    #[inline(always)]
    fn draw(&self, ground: &mut Ground<'_>) {
        let long = (self.way.0 * self.way.0 + self.way.1 * self.way.1).sqrt();
        if !ground.near(self.root, reaches(long)) {
            return;
        }
        let steps = (long.ceil() as i32).clamp(2, 400);
        let mut from = 0;
        while from < steps {
            self.points(ground, from, 1.0 / steps as f32).draw(self.colour, (steps - from) as usize, ground);
            from += POINTS as i32;
        }
    }

    /// Points of it, from one of its steps on.
    #[inline(always)]
    fn points(&self, ground: &Ground<'_>, from: i32, step: f32) -> Points {
        let mut points = Points::default();
        let (root, way, bend) = (self.root, self.way, self.bend);
        for k in 0..POINTS {
            let t = (from + k as i32) as f32 * step;
            // Each point lies between two pixels, beside the way the hair goes. All numbers are the picture's: a piece's
            // own would be rounded its own way.
            let flat = (way.0 + 2.0 * bend.0 * t).abs() > (way.1 + 2.0 * bend.1 * t).abs();
            let x = root.0 - 0.5 + way.0 * t + bend.0 * t * t;
            let y = root.1 - 0.5 + way.1 * t + bend.1 * t * t;
            let column = rounded(x - if flat { 0.0 } else { 0.5 });
            let line = rounded(y - if flat { 0.5 } else { 0.0 });
            points.column[k] = column.wrapping_sub(ground.left).cast_unsigned();
            points.line[k] = line.wrapping_sub(ground.low).cast_unsigned();
            points.up[k] = u32::from(flat);
            points.share[k] = if flat { y - line as f32 } else { x - column as f32 };
            points.z[k] = self.z + self.lift * (t + 0.3);
            points.shows[k] = self.shows * (1.0 - t * t);
        }
        points
    }
}

/// How many points of a hair are worked out abreast.
const POINTS: usize = 8;

/// Points of a hair: a pixel of the ground, whether the other that gets a share of it lies above that one or to its right,
/// and that share. What lies to the left or below the ground has numbers beyond all of its.
#[derive(Default)]
struct Points {
    column: [u32; POINTS],
    line: [u32; POINTS],
    up: [u32; POINTS],
    share: [f32; POINTS],
    z: [f32; POINTS],
    shows: [f32; POINTS],
}

impl Points {
    #[inline(always)]
    fn draw(&self, colour: u32, count: usize, ground: &mut Ground<'_>) {
        let Ground { canvas, inner, out, .. } = ground;
        for k in 0..count.min(POINTS) {
            let share = self.share[k];
            for (nth, share) in [(0, 1.0 - share), (1, share)] {
                let x = self.column[k].wrapping_add(nth * (1 - self.up[k])) as usize;
                let y = self.line[k].wrapping_add(nth * self.up[k]) as usize;
                if x >= inner.width || y >= inner.height {
                    continue;
                }
                if self.z[k] >= canvas.z[(y + inner.y) * canvas.width + x + inner.x]
                    && let Some(pixel) = out.get_mut(y * inner.width + x)
                {
                    *pixel = veil(colour, *pixel, self.shows[k] * share);
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
