//! How much light a point of a strand sends to the eye: a soft lamp from the top left, the sky, twist and
//! fibres. Everything is per strand but a handful of numbers, so that a run of pixels goes through in one loop.

use super::abreast::{WIDE, block, blocks, blocks_of};
use super::columns::Part;
use super::look::Look;
use super::noise::{FIBRE_LONG, FIBRE_ROUND, FIBRES, LONG, SLOW};
use super::ramp::{self, low_bits, most};
use fellmark_core::math;
use std::f32::consts::TAU;

/// Toward the lamp: to the left, up, out of the cloth. Its length is 1.
pub(super) const LAMP: [f32; 3] = [-0.44, 0.56, 0.702];
/// Halfway between the lamp and the eye.
const HALF: [f32; 3] = [-0.2385, 0.3035, 0.9225];
/// What the lamp gives, and the sky.
const SUN: f32 = 0.77;
const SKY: f32 = 0.42;
/// How far the plies lean.
const LEAN: f32 = 0.55;
/// Entries of a twist's table.
const TURN: usize = 256;
/// From how many px a period of the twist shows, and shows in full.
const SHOWS: (f32, f32) = (2.2, 5.0);

/// A strand's skin: what its looks come to at one scale.
pub(super) struct Skin {
    /// The plies across one period: how much light they leave, and how they lean, from -1 to 1.
    twist: Vec<[f32; 2]>,
    /// Periods of the twist per px along, and per radian round.
    pub(super) along: f32,
    round: f32,
    /// How much the plies lean along the strand and across it.
    lean: (f32, f32),
    streak: f32,
    /// Entries of the fibres' table per px along and per radian round.
    fibre_along: f32,
    fibre_round: f32,
    pub(super) vary: f32,
    pub(super) slub: f32,
    /// Entries of the slow noise per px along.
    pub(super) slow: f32,
    wrap: f32,
    /// One over one more than that.
    wrapped: f32,
    gloss: f32,
}

/// How a strand runs: how much of the lamp comes along it, across it and from above.
#[derive(Debug, Clone, Copy)]
pub(super) struct Course {
    along: f32,
    across: f32,
    half_along: f32,
    half_across: f32,
}

impl Course {
    /// The course of rows, and of ends.
    pub(super) const ROW: Course = Course::of(1.0, 0.0);
    pub(super) const END: Course = Course::of(0.0, 1.0);

    /// The course of a strand in a direction (x to the right, y up).
    pub(super) const fn of(x: f32, y: f32) -> Course {
        Course {
            along: LAMP[0] * x + LAMP[1] * y,
            across: -LAMP[0] * y + LAMP[1] * x,
            half_along: HALF[0] * x + HALF[1] * y,
            half_across: -HALF[0] * y + HALF[1] * x,
        }
    }
}

/// Where on a strand, and what reaches it there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    /// Across, from -1 to 1, counted to the left of the strand's direction.
    pub(super) u: f32,
    /// Its thickness over its width there.
    pub(super) round: f32,
    /// How much it rises toward the eye along its way.
    pub(super) tilt: f32,
    /// Px along it.
    pub(super) along: f32,
    /// The brightness of its colour there.
    pub(super) vary: f32,
    /// How much of the sky and of the lamp reaches it.
    pub(super) sky: f32,
    pub(super) sun: f32,
}

/// What a spot's light hangs on before plies and fibres are looked up.
struct Early {
    twist: u32,
    fibre: u32,
    lit: f32,
    open: f32,
    half: f32,
}

/// What the pixels of a line are worked out on. Each step goes over all runs of a line before the next one does: what is
/// looked up one by one is not waited for, and what goes abreast does so in whole blocks.
#[derive(Default)]
pub(super) struct Bench {
    twist: Vec<u32>,
    fibre: Vec<u32>,
    lit: Vec<f32>,
    open: Vec<f32>,
    half: Vec<f32>,
    vary: Vec<f32>,
    /// Plies and fibres, looked up.
    plies: Vec<[f32; 2]>,
    streak: Vec<i8>,
}

impl Bench {
    /// Looks up the plies and fibres of so many pixels, among the plies of all yarns; in whole blocks.
    #[inline(always)]
    pub(super) fn look_up(&mut self, all_plies: &[[f32; 2]], count: usize) {
        let fibres = &**FIBRES;
        let places = blocks(&self.twist, count.div_ceil(WIDE)).iter().zip(self.fibre.as_chunks::<WIDE>().0);
        let found = blocks_of(&mut self.plies).zip(blocks_of(&mut self.streak));
        for ((plies, streak), (at, place)) in found.zip(places) {
            for k in 0..WIDE {
                plies[k] = all_plies.get(at[k] as usize).copied().unwrap_or_default();
                streak[k] = fibres[place[k] as usize & (FIBRE_LONG * FIBRE_ROUND - 1)];
            }
        }
    }

    /// Makes room for a line.
    pub(super) fn room(&mut self, count: usize) {
        let count = count + WIDE;
        let Bench { twist, fibre, lit, open, half, vary, plies, streak } = self;
        twist.resize(count, 0);
        fibre.resize(count, 0);
        for values in [lit, open, half, vary] {
            values.resize(count, 0.0);
        }
        plies.resize(count, [0.0; 2]);
        streak.resize(count, 0);
    }
}

/// A run of pixels of one strand: which of a line they are, and how it lies there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Run<'a> {
    pub(super) shape: Shape<'a>,
    /// The picture's number of the first of them (of all of them where they lie across an end), and where its length is 0.
    pub(super) first: i32,
    pub(super) start: f32,
    pub(super) from: usize,
    pub(super) count: usize,
}

/// One over how far a block of a row reaches up and down.
type Reach<'a> = (&'a [f32; WIDE], &'a [f32; WIDE]);

/// A run's course, and the brightness of its colour.
#[derive(Debug, Clone, Copy)]
pub(super) enum Shape<'a> {
    /// Along a row, whose columns go on beyond the run to a whole block.
    Row(Part<'a>),
    /// Across an end, half of whose width is this many px.
    End { round: f32, tilt: f32, half: f32, vary: f32 },
}

impl Skin {
    /// The skin of a strand that is `wide` px wide, at `scale` px per mm; a strand of its own period where
    /// `seed` says.
    pub(super) fn new(look: &Look, wide: f32, scale: f32) -> Skin {
        let wide = wide.max(1e-3);
        let lead = look.lead * wide;
        let plies = look.plies as f32;
        let along = plies / lead;
        // What the eye sees is the distance from groove to groove at right angles to them.
        let round = plies / TAU;
        let steep = round / (wide / 2.0);
        let period = 1.0 / (along * along + steep * steep).sqrt();
        let single = look.plies <= 1;
        let shows = ((period - SHOWS.0) / (SHOWS.1 - SHOWS.0)).clamp(0.0, 1.0);
        let groove = look.groove * shows * if single { 0.25 } else { 1.0 };
        let twist = (0..TURN).map(|k| ply(k as f32 / TURN as f32, groove)).collect();
        let gradient = [along * period, steep * period];
        // Finer than a pixel, fibres are no more than a hint.
        let seen = (wide / 22.0).clamp(0.3, 1.0);
        Skin {
            twist,
            along,
            round,
            lean: (groove * gradient[0] * LEAN, groove * gradient[1] * LEAN),
            streak: look.streak * seen / 127.0,
            // A texel along is a quarter of a mm at most, so that the streaks are long.
            fibre_along: (10.0 / scale).min(60.0 / wide),
            fibre_round: FIBRE_ROUND as f32 / TAU,
            vary: look.vary,
            slub: look.slub,
            slow: 5.0 / scale,
            wrap: look.wrap,
            wrapped: 1.0 / (1.0 + look.wrap),
            gloss: look.gloss,
        }
    }

    /// The light that a spot sends to the eye; 1 shows its own colour.
    #[inline(always)]
    pub(super) fn light(&self, course: Course, seed: f32, at: Spot) -> f32 {
        self.streaked(course, seed, at, self.streak(seed, at.along, at.u))
    }

    /// The same with a streak of fibres from elsewhere.
    #[inline(always)]
    pub(super) fn streaked(&self, course: Course, seed: f32, at: Spot, streak: f32) -> f32 {
        let early = self.early(course, seed, at);
        let [shade, lean] = self.twist()[early.twist as usize & (TURN - 1)];
        self.late(course, &early, (shade, lean, streak), (at.vary, at.sky, at.sun))
    }

    /// The streak of fibres at a place along a strand and across it.
    #[inline(always)]
    pub(super) fn streak(&self, seed: f32, along: f32, u: f32) -> f32 {
        let angle = angle(u);
        let phase = self.phase(seed, along, angle);
        f32::from(FIBRES[self.fibre(seed, along, angle, phase) as usize & (FIBRE_LONG * FIBRE_ROUND - 1)])
    }

    /// How many periods of the twist lie before a place.
    #[inline(always)]
    fn phase(&self, seed: f32, along: f32, angle: f32) -> f32 {
        along * self.along + angle * self.round + seed
    }

    /// Where the fibres' table tells of a place.
    #[inline(always)]
    fn fibre(&self, seed: f32, along: f32, angle: f32, phase: f32) -> u32 {
        let along = low_bits(along * self.fibre_along + seed * 97.0) as u32;
        let round = low_bits(angle * self.fibre_round + phase * 3.0) as u32;
        (along & (FIBRE_LONG as u32 - 1)) | ((round & (FIBRE_ROUND as u32 - 1)) * FIBRE_LONG as u32)
    }

    /// What a spot's light hangs on, up to what is looked up.
    #[inline(always)]
    fn early(&self, course: Course, seed: f32, at: Spot) -> Early {
        let square = at.u * at.u;
        let depth = most(1.0 - square, 0.0).sqrt();
        // Its normal: along, across, out.
        let (n_along, n_across) = (-at.tilt * depth, at.u * at.round);
        let long = 1.0 / (n_along * n_along + n_across * n_across + depth * depth + 1e-6).sqrt();
        let angle = angle(at.u);
        let phase = self.phase(seed, at.along, angle);
        let lamp = (course.along * n_along + course.across * n_across + LAMP[2] * depth) * long;
        Early {
            twist: low_bits(phase * TURN as f32) as u32 & (TURN as u32 - 1),
            fibre: self.fibre(seed, at.along, angle, phase),
            lit: (lamp + self.wrap) * self.wrapped,
            open: 0.5 + 0.5 * depth * long,
            half: (course.half_along * n_along + course.half_across * n_across + HALF[2] * depth) * long,
        }
    }

    /// The light, once plies and fibres are known.
    #[inline(always)]
    fn late(
        &self,
        course: Course,
        early: &Early,
        (shade, lean, streak): (f32, f32, f32),
        (vary, sky, sun): (f32, f32, f32),
    ) -> f32 {
        let bump = lean * (self.lean.0 * course.along + self.lean.1 * course.across);
        let base = SUN * sun * most(most(early.lit, 0.0) + bump, 0.0) + SKY * sky * early.open;
        let half = most(early.half + bump * 0.25, 0.0);
        let (h2, h4) = (half * half, half * half * half * half);
        let shine = h4 * h4 * h4 * h2 * self.gloss;
        // What shines is the fibres too.
        let fibre = 1.0 + streak * self.streak;
        (base * vary + shine * sun * 0.9 * fibre) * fibre * shade
    }

    /// Begins to light a run; its yarn's plies are at a place among those of all. Its places across it become how far within
    /// its edge they lie in px, below 0 to the right of its direction.
    /// It goes on beyond the run to a whole block, where all but these come to mean nothing until the next run is begun.
    #[inline(always)]
    pub(super) fn begin(
        &self,
        (course, seed): (Course, f32),
        run: &Run<'_>,
        yarn: usize,
        bench: &mut Bench,
        us: &mut [f32],
    ) {
        let (from, count) = (run.from, run.count);
        let all = from..from + count.next_multiple_of(WIDE);
        let Bench { twist, fibre, lit, open, half, vary, .. } = bench;
        let own = (yarn * TURN) as u32;
        let blocks = us.as_chunks_mut::<WIDE>().0.iter_mut();
        let places = blocks_of(&mut twist[all.clone()]).zip(blocks_of(&mut fibre[all.clone()]));
        let lights = blocks_of(&mut lit[all.clone()]).zip(blocks_of(&mut open[all.clone()]));
        let rest = blocks_of(&mut half[all.clone()]).zip(blocks_of(&mut vary[all]));
        for (nth, (((u, (twist, fibre)), (lit, open)), (half, vary))) in
            blocks.zip(places).zip(lights).zip(rest).enumerate()
        {
            let at = nth * WIDE;
            let within = count - at;
            match run.shape {
                Shape::Row(row) => {
                    // Each by itself: what a closure does might not go abreast.
                    let reach = (block(row.up, at), block(row.down, at));
                    let lies = (reach, block(row.thick, at), block(row.tilt, at));
                    *vary = *block(row.vary, at);
                    let place = (seed, (run.first + at as i32, run.start), own);
                    self.begin_row(course, place, lies, within, u, twist, fibre, lit, open, half);
                }
                Shape::End { round, tilt, half: wide, vary: one } => {
                    *vary = [one; WIDE];
                    let lies = (round, tilt, wide);
                    let place = (seed, run.first as f32 + 0.5 - run.start, own);
                    self.begin_end(course, place, lies, within, u, twist, fibre, lit, open, half);
                }
            }
        }
    }

    #[inline(always)]
    #[expect(
        clippy::too_many_arguments,
        reason = "each block by itself, so that none is taken to overlap another"
    )]
    fn begin_row(
        &self,
        course: Course,
        (seed, (first, start), own): (f32, (i32, f32), u32),
        ((up, down), thick, tilt): (Reach<'_>, &[f32; WIDE], &[f32; WIDE]),
        within: usize,
        us: &mut [f32; WIDE],
        twist: &mut [u32; WIDE],
        fibre: &mut [u32; WIDE],
        lit: &mut [f32; WIDE],
        open: &mut [f32; WIDE],
        half: &mut [f32; WIDE],
    ) {
        // Each px is measured from its own number, so that it is the same in whichever piece its run begins.
        let start = start - 0.5;
        for k in 0..WIDE {
            let u = us[k];
            // One over how far it reaches on this side.
            let inv = up[k] + (down[k] - up[k]) * f32::from_bits((u.to_bits() >> 31) * 0x3f80_0000);
            let (round, along) = (thick[k] * inv, (first + k as i32) as f32 - start);
            let spot = Spot { u, round, tilt: tilt[k], along, vary: 1.0, sky: 1.0, sun: 1.0 };
            let early = self.early(course, seed, spot);
            (twist[k], fibre[k]) = (early.twist + own, early.fibre);
            (lit[k], open[k], half[k]) = (early.lit, early.open, early.half);
            let inside = ((1.0 - u.abs()) / inv).copysign(u);
            us[k] = if (k as u32) < within as u32 { inside } else { u };
        }
    }

    #[inline(always)]
    #[expect(
        clippy::too_many_arguments,
        reason = "each block by itself, so that none is taken to overlap another"
    )]
    fn begin_end(
        &self,
        course: Course,
        (seed, along, own): (f32, f32, u32),
        (round, tilt, wide): (f32, f32, f32),
        within: usize,
        us: &mut [f32; WIDE],
        twist: &mut [u32; WIDE],
        fibre: &mut [u32; WIDE],
        lit: &mut [f32; WIDE],
        open: &mut [f32; WIDE],
        half: &mut [f32; WIDE],
    ) {
        for k in 0..WIDE {
            let u = us[k];
            let spot = Spot { u, round, tilt, along, vary: 1.0, sky: 1.0, sun: 1.0 };
            let early = self.early(course, seed, spot);
            (twist[k], fibre[k]) = (early.twist + own, early.fibre);
            (lit[k], open[k], half[k]) = (early.lit, early.open, early.half);
            let inside = ((1.0 - u.abs()) * wide).copysign(u);
            us[k] = if (k as u32) < within as u32 { inside } else { u };
        }
    }

    /// The light of a run whose plies and fibres are known, as steps of its ramp among all; in whole blocks.
    #[inline(always)]
    pub(super) fn finish(
        &self,
        course: Course,
        (from, count): (usize, usize),
        bench: &Bench,
        (sky, sun): (&[f32], &[f32]),
        (ramp, steps): (usize, &mut [u32]),
    ) {
        let own = (ramp * ramp::STEPS) as u32;
        for at in (from..from + count).step_by(WIDE) {
            let (lit, open, half) = (block(&bench.lit, at), block(&bench.open, at), block(&bench.half, at));
            let (plies, streak) = (block(&bench.plies, at), block(&bench.streak, at));
            let (vary, sky, sun) = (block(&bench.vary, at), block(sky, at), block(sun, at));
            let mut found = [0; WIDE];
            for k in 0..WIDE {
                let one = Early { twist: 0, fibre: 0, lit: lit[k], open: open[k], half: half[k] };
                let ([shade, lean], streak) = (plies[k], f32::from(streak[k]));
                let light = self.late(course, &one, (shade, lean, streak), (1.0, sky[k], sun[k])) * vary[k];
                found[k] = ramp::step(light) + own;
            }
            steps[at..at + WIDE].copy_from_slice(&found);
        }
    }

    /// The table of its twist.
    #[inline]
    pub(super) fn twist(&self) -> &[[f32; 2]; TURN] {
        const EVEN: [[f32; 2]; TURN] = [[1.0, 0.0]; TURN];
        self.twist.as_slice().try_into().unwrap_or(&EVEN)
    }

    /// The slow noise at a length from where the strand begins, whichever way it runs.
    #[inline(always)]
    pub(super) fn slow(&self, along: f32, seed: f32) -> f32 {
        self.slow_in(&SLOW, along, seed)
    }

    /// The same where the noise is at hand, for many.
    #[inline(always)]
    pub(super) fn slow_in(&self, slow: &[f32; LONG], along: f32, seed: f32) -> f32 {
        slow[low_bits(along.abs() * self.slow + seed * 4096.0) & (LONG - 1)]
    }
}

/// How far round a strand a place across it lies, in radians: its arc sine, nearly.
#[inline(always)]
fn angle(u: f32) -> f32 {
    let square = u * u;
    u * (1.0 + square * (0.12 + 0.45 * square * square))
}

/// A ply at a place of its period: how much light it leaves, and how it leans.
fn ply(at: f32, groove: f32) -> [f32; 2] {
    let across = (at - 0.5) * 2.0;
    let depth = (1.0 - across * across).max(0.0).sqrt();
    // A groove is dark to its bottom but narrow.
    let dark = 1.0 - groove * 0.62 * (1.0 - depth) * (1.0 - depth);
    let lean = math::sin(f64::from(across) * std::f64::consts::FRAC_PI_2) as f32;
    // Mean light stays that of a smooth strand.
    [dark * (1.0 + groove * 0.045), lean * depth.sqrt()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lamp_and_its_half_way_are_of_length_1() {
        for v in [LAMP, HALF] {
            let long = v.iter().map(|x| x * x).sum::<f32>().sqrt();
            assert!((long - 1.0).abs() < 2e-3, "{long}");
        }
        let half: Vec<f32> = [LAMP[0], LAMP[1], LAMP[2] + 1.0].map(|x| x / 1.845).to_vec();
        assert!(half.iter().zip(HALF).all(|(a, b)| (a - b).abs() < 2e-3), "{half:?}");
    }
}
