//! From the foremost strands to colours: runs of pixels of one strand are lit together.

use super::abreast::abreast;
use super::light::{Bench, Course, PACE, Run, Shape, Spot, Vary};
use super::ramp::mix;
use super::scene::Scene;
use super::shadow::Shadow;
use super::tile::{Canvas, Kind, Pen};

/// Lines of light and colour that are used again from tile to tile.
#[derive(Default)]
pub(super) struct Shades {
    sky: Vec<f32>,
    sun: Vec<f32>,
    light: Vec<f32>,
    /// Which pixels of a line lie beside another strand.
    pub(super) beside: Vec<u8>,
    bench: Bench,
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
        self.colours.resize(canvas.width * canvas.height, 0);
        for values in [&mut self.sky, &mut self.sun, &mut self.light] {
            values.resize(count + PACE, 1.0);
        }
        abreast!(self.lines(scene, canvas, shadow, inner));
        self.part_covered(scene, canvas, shadow, inner);
    }

    #[inline(always)]
    fn lines(&mut self, scene: &Scene<'_>, canvas: &mut Canvas, shadow: &Shadow, inner: Inner) {
        let (from, count) = (inner.x - 1, inner.width + 2);
        for y in inner.y - 1..inner.y + inner.height + 1 {
            shadow.line(canvas, from, y, &mut self.sky[..count], &mut self.sun[..count]);
            let line = y * canvas.width + from;
            let mut x = 0;
            while let Some(&id) = canvas.id[line..line + count].get(x) {
                let alike = canvas.id[line + x..line + count].iter().position(|&other| other != id);
                let to = alike.map_or(count, |run| x + run);
                let pen = canvas.pens[id as usize];
                self.run(scene, canvas, &pen, y, from, x..to);
                let ramp = &scene.ramps[pen.ramp];
                let colours = &mut self.colours[line + x..line + to];
                for (colour, &light) in colours.iter_mut().zip(&self.light[x..to]) {
                    *colour = ramp.at(light);
                }
                x = to;
            }
        }
    }

    /// The light of a run of one strand, from column `from` of the canvas on.
    #[inline(always)]
    fn run(
        &mut self,
        scene: &Scene<'_>,
        canvas: &mut Canvas,
        pen: &Pen,
        y: usize,
        from: usize,
        run: std::ops::Range<usize>,
    ) {
        let at = y * canvas.width + from + run.start;
        let count = run.len();
        let paced = count.next_multiple_of(PACE);
        let (us, light) = (&mut canvas.u[at..at + paced], &mut self.light[run.start..run.start + paced]);
        let (sky, sun) = (&self.sky[run.start..][..paced], &self.sun[run.start..][..paced]);
        let bench = &mut self.bench;
        let seed = super::noise::unsigned(pen.seed);
        match pen.kind {
            Kind::Lit => {
                for k in 0..paced {
                    light[k] = us[k] * (0.42 * sky[k] + 0.58 * sun[k]);
                }
            }
            Kind::Row { first: begins, from: begin, start, .. } => {
                let first = canvas.x0 + (from + run.start) as i32;
                let part = canvas.columns.part(begin + (first - begins) as usize, paced);
                let run = Run {
                    shape: Shape::Row { up: part.up, down: part.down, thick: part.thick, tilt: part.tilt },
                    vary: Vary::Each(part.vary),
                    along: first as f32 + 0.5 - start,
                    sky,
                    sun,
                };
                scene.skins[pen.ramp].run(Course::of(1.0, 0.0), seed, (&run, count), bench, (us, light));
            }
            Kind::End { from: begin, round, .. } => {
                let rises = &canvas.rises;
                let line = begin + canvas.beyond + y;
                let (tilt, vary, half) = (rises.tilt[line], rises.vary[line], 1.0 / rises.inv[line]);
                let along = (canvas.y0 + y as i32) as f32 + 0.5 - scene.view.y(0.0);
                let shape = Shape::End { round, tilt, half };
                let run = Run { shape, vary: Vary::All(vary), along, sky, sun };
                scene.skins[pen.ramp].run(Course::of(0.0, 1.0), seed, (&run, count), bench, (us, light));
            }
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
        shadow.line(canvas, x, y, &mut self.sky[..1], &mut self.sun[..1]);
        let pen = canvas.pens[canvas.id[at] as usize];
        self.run(scene, canvas, &pen, y, x, 0..1);
        let colour = scene.ramps[pen.ramp].at(self.light[0]);
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
                skin.light(Course::of(1.0, 0.0), seed, spot)
            }
            Kind::End { .. } => {
                spot.along = (canvas.y0 + y as i32) as f32 + 0.5 - scene.view.y(0.0);
                let skin = &scene.skins[pen.ramp];
                skin.light(Course::of(0.0, 1.0), seed, spot)
            }
        }
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
