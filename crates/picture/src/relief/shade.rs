//! From the foremost strands to colours: runs of pixels of one strand are lit together.

use super::abreast::{WIDE, abreast, block};
use super::columns::each;
use super::light::{Bench, Course, Run, Shape, Spot};
use super::ramp::{self, mix};
use super::scene::Scene;
use super::shadow::Shadow;
use super::tile::{Canvas, Kind, Pen};
use std::ops::Range;

/// Lines of light and colour that are used again from tile to tile.
#[derive(Default)]
pub(super) struct Shades {
    sky: Vec<f32>,
    sun: Vec<f32>,
    bench: Bench,
    /// The steps of the ramps that a line's light comes to.
    steps: Vec<u32>,
    /// The runs of a line: which pen, from where to where.
    runs: Vec<(u32, u32, u32)>,
    /// Which pixels of a line lie beside another strand.
    pub(super) beside: Vec<u8>,
    /// What counts as the same height.
    pub(super) close: f32,
    /// Pixels that were lit by themselves, and their colours.
    more: Vec<(usize, u32)>,
    /// The canvas's colours, before edges are smooth.
    pub(super) colours: Vec<u32>,
}

/// The part of a canvas that becomes pixels, without what is there for its shadow alone.
#[derive(Debug, Clone, Copy)]
pub(super) struct Inner {
    pub(super) x: usize,
    pub(super) y: usize,
    pub(super) width: usize,
    pub(super) height: usize,
}

impl Shades {
    /// Lights a canvas, one pixel beyond its inner part too. Its places across the strands become how far within their
    /// edges they lie.
    pub(super) fn light(&mut self, scene: &Scene<'_>, canvas: &mut Canvas, shadow: &Shadow, inner: Inner) {
        let count = inner.width + 2;
        self.close = scene.unit * 0.35;
        self.colours.resize(canvas.width * canvas.height + WIDE, 0);
        for values in [&mut self.sky, &mut self.sun] {
            values.resize(count + WIDE, 1.0);
        }
        self.steps.resize(count + WIDE, 0);
        self.bench.room(count);
        abreast!(self.lines(scene, canvas, shadow, inner));
        self.part_covered(scene, canvas, shadow, inner);
    }

    #[inline(always)]
    fn lines(&mut self, scene: &Scene<'_>, canvas: &mut Canvas, shadow: &Shadow, inner: Inner) {
        let (from, count) = (inner.x - 1, inner.width + 2);
        for y in inner.y - 1..inner.y + inner.height + 1 {
            shadow.line(canvas, (from, y), count, &mut self.sky, &mut self.sun);
            self.line(scene, canvas, (from, y), count);
        }
    }

    /// The colours of so many pixels of a line, run by run of one strand.
    #[inline(always)]
    fn line(&mut self, scene: &Scene<'_>, canvas: &mut Canvas, (from, y): (usize, usize), count: usize) {
        let line = y * canvas.width + from;
        runs(&canvas.id[line..line + count], &mut self.runs);
        for k in 0..self.runs.len() {
            let (pen, from, to) = self.runs[k];
            let pen = canvas.pens[pen as usize];
            self.begin(scene, canvas, &pen, (line, y), from as usize..to as usize);
        }
        self.bench.look_up(&scene.plies, count);
        for k in 0..self.runs.len() {
            let (pen, from, to) = self.runs[k];
            let pen = &canvas.pens[pen as usize];
            self.finish(scene, canvas, pen, line, from as usize..to as usize);
        }
        coloured(&scene.colours, &self.steps, &mut self.colours[line..line + count]);
    }

    /// Begins to light a run; the line begins at a pixel of the canvas.
    #[inline(always)]
    fn begin(
        &mut self,
        scene: &Scene<'_>,
        canvas: &mut Canvas,
        pen: &Pen,
        (line, y): (usize, usize),
        run: Range<usize>,
    ) {
        let Some(skin) = scene.skins.get(pen.ramp) else { return };
        let (from, count) = (run.start, run.len());
        let all = count.next_multiple_of(WIDE);
        let us = &mut canvas.u[line + from..line + from + all];
        let seed = super::noise::unsigned(pen.seed);
        match pen.kind {
            Kind::Lit => {}
            Kind::Row { first: begins, from: begin, start, .. } => {
                let first = canvas.x0 + (line - y * canvas.width + from) as i32;
                let shape = Shape::Row(canvas.columns.part(begin + (first - begins) as usize, all));
                let run = Run { shape, first, start, from, count };
                skin.begin((Course::ROW, seed), &run, pen.ramp, &mut self.bench, us);
            }
            Kind::End { from: begin, round, .. } => {
                let rises = &canvas.rises;
                let at = begin + canvas.beyond + y;
                let (tilt, vary, half) = (rises.tilt[at], rises.vary[at], 1.0 / rises.inv[at]);
                let (first, start) = (canvas.y0 + y as i32, scene.view.y(0.0));
                let run = Run { shape: Shape::End { round, tilt, half, vary }, first, start, from, count };
                skin.begin((Course::END, seed), &run, pen.ramp, &mut self.bench, us);
            }
        }
    }

    /// The steps of a run that was begun.
    #[inline(always)]
    fn finish(&mut self, scene: &Scene<'_>, canvas: &Canvas, pen: &Pen, line: usize, run: Range<usize>) {
        let lights = (self.sky.as_slice(), self.sun.as_slice());
        let (at, steps) = ((run.start, run.len()), (pen.ramp, self.steps.as_mut_slice()));
        match (pen.kind, scene.skins.get(pen.ramp)) {
            (Kind::Row { .. }, Some(skin)) => skin.finish(Course::ROW, at, &self.bench, lights, steps),
            (Kind::End { .. }, Some(skin)) => skin.finish(Course::END, at, &self.bench, lights, steps),
            // Its light is known but for what others take from it.
            _ => known(&canvas.u[line..], at, lights, steps),
        }
    }

    /// Mixes pixels that a tube or the wood covers only in part with what lies beneath.
    fn part_covered(&mut self, scene: &Scene<'_>, canvas: &mut Canvas, shadow: &Shadow, inner: Inner) {
        let wide = canvas.width;
        let lit = |at: usize| {
            let (x, y) = (at % wide, at / wide);
            x + 1 >= inner.x && x <= inner.x + inner.width && y + 1 >= inner.y && y <= inner.y + inner.height
        };
        self.more.clear();
        for k in 0..canvas.beneath.len() {
            let beneath = canvas.beneath[k];
            let cover = canvas.cover(beneath.at);
            if !lit(beneath.at) || canvas.id[beneath.at] != beneath.top || cover >= 1.0 {
                continue;
            }
            // What lies beneath looks as it does beside, where it is seen there.
            let beside = [beneath.at + 1, beneath.at - 1, beneath.at + wide, beneath.at - wide];
            let seen = beside.into_iter().find(|&at| canvas.id[at] == beneath.pen && canvas.cover(at) >= 1.0);
            let under = match seen {
                Some(at) if lit(at) => self.colours[at],
                Some(at) => self.one_more(scene, canvas, shadow, at),
                None => {
                    let (x, y) = (beneath.at % wide, beneath.at / wide);
                    let light = self.beneath(scene, canvas, beneath.pen, beneath.u, x, y);
                    scene.ramps[canvas.pens[beneath.pen as usize].ramp].at(light)
                }
            };
            self.colours[beneath.at] = mix(self.colours[beneath.at], under, cover);
        }
    }

    /// The colour of a pixel that was not lit with the others: what is seen beside must not hang on where a piece ends.
    fn one_more(&mut self, scene: &Scene<'_>, canvas: &mut Canvas, shadow: &Shadow, at: usize) -> u32 {
        if let Some(&(_, colour)) = self.more.iter().find(|known| known.0 == at) {
            return colour;
        }
        let (x, y) = (at % canvas.width, at / canvas.width);
        shadow.line(canvas, (x, y), 1, &mut self.sky, &mut self.sun);
        let pen = canvas.pens[canvas.id[at] as usize];
        self.begin(scene, canvas, &pen, (at, y), 0..1);
        self.bench.look_up(&scene.plies, 1);
        self.finish(scene, canvas, &pen, at, 0..1);
        let colour = scene.ramps[pen.ramp].step(self.steps[0] as usize);
        self.more.push((at, colour));
        colour
    }

    /// The light of a single pixel of a strand that another hides in part: in the shade beside it.
    fn beneath(&self, scene: &Scene<'_>, canvas: &Canvas, pen: u32, u: f32, x: usize, y: usize) -> f32 {
        let pen = &canvas.pens[pen as usize];
        let seed = super::noise::unsigned(pen.seed);
        let mut spot = Spot { u, round: 1.0, tilt: 0.0, along: 0.0, vary: 1.0, sky: 0.7, sun: 0.7 };
        match pen.kind {
            Kind::Lit => u * 0.75,
            Kind::Row { start, .. } => {
                spot.along = (canvas.x0 + x as i32) as f32 + 0.5 - start;
                let skin = &scene.skins[pen.ramp];
                skin.light(Course::ROW, seed, spot)
            }
            Kind::End { .. } => {
                spot.along = (canvas.y0 + y as i32) as f32 + 0.5 - scene.view.y(0.0);
                let skin = &scene.skins[pen.ramp];
                skin.light(Course::END, seed, spot)
            }
        }
    }
}

/// Pixels that are looked at together.
const EIGHT: usize = 8;

/// Finds the runs of a line of pens.
#[inline(always)]
fn runs(line: &[u32], runs: &mut Vec<(u32, u32, u32)>) {
    runs.clear();
    let (Some(&first), Some(rest)) = (line.first(), line.get(1..)) else { return };
    let (mut pen, mut from) = (first, 0);
    // Where one ends eight pixels at a time.
    for (nth, (here, next)) in line.chunks(EIGHT).zip(rest.chunks(EIGHT)).enumerate() {
        let mut ends = [0; EIGHT];
        for (end, (a, b)) in ends.iter_mut().zip(here.iter().zip(next)) {
            *end = u8::from(a != b);
        }
        let mut ends = u64::from_le_bytes(ends);
        while ends != 0 {
            let to = (nth * EIGHT) as u32 + ends.trailing_zeros() / 8 + 1;
            ends &= ends - 1;
            runs.push((pen, from, to));
            (pen, from) = (line[to as usize], to);
        }
    }
    runs.push((pen, from, line.len() as u32));
}

/// The colours of steps among those of all ramps.
#[inline(always)]
fn coloured(all: &[u32], steps: &[u32], colours: &mut [u32]) {
    for (colours, steps) in colours.chunks_mut(WIDE).zip(steps.as_chunks::<WIDE>().0) {
        let found: [u32; WIDE] = each(|k| all.get(steps[k] as usize).copied().unwrap_or_default());
        colours.copy_from_slice(&found[..colours.len()]);
    }
}

/// The steps of light that is known.
#[inline(always)]
fn known(
    us: &[f32],
    (from, count): (usize, usize),
    (sky, sun): (&[f32], &[f32]),
    (ramp, steps): (usize, &mut [u32]),
) {
    let own = (ramp * ramp::STEPS) as u32;
    for at in (from..from + count).step_by(WIDE) {
        let (us, sky, sun) = (block(us, at), block(sky, at), block(sun, at));
        let mut found = [0; WIDE];
        for k in 0..WIDE {
            found[k] = ramp::step(us[k] * (0.42 * sky[k] + 0.58 * sun[k])) + own;
        }
        steps[at..at + WIDE].copy_from_slice(&found);
    }
}

/// Averages squares of `fine` pixels in linear light.
pub(super) fn coarsen(fine: usize, pixels: &[u32], width: usize, out: &mut [u32]) {
    use super::ramp::{LINEAR, encode, pack, unpack};
    let linear = &*LINEAR;
    let share = 1.0 / (fine * fine) as f32;
    let wide = width / fine;
    for (line, out) in out.chunks_mut(wide).enumerate() {
        for (x, out) in out.iter_mut().enumerate() {
            let mut sum = [0.0_f32; 3];
            for y in 0..fine {
                let from = (line * fine + y) * width + x * fine;
                for &pixel in &pixels[from..from + fine] {
                    for (sum, byte) in sum.iter_mut().zip(unpack(pixel)) {
                        *sum += linear[usize::from(byte)];
                    }
                }
            }
            *out = pack(sum.map(|part| encode(part * share)));
        }
    }
}
