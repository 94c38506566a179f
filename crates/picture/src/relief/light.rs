//! How much light a point of a strand sends to the eye: a soft lamp from the top left, the sky, twist and
//! fibres. Everything is per strand but a handful of numbers, so that a run of pixels goes through in one loop.

use super::columns::TOGETHER;
use super::look::Look;
use super::noise::{FIBRE_LONG, FIBRE_ROUND, FIBRES, LONG, SLOW};
use super::ramp::{low_bits, most};
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
    /// The course of a strand in a direction (x to the right, y up).
    pub(super) fn of(x: f32, y: f32) -> Course {
        let along = |v: [f32; 3]| v[0] * x + v[1] * y;
        let across = |v: [f32; 3]| -v[0] * y + v[1] * x;
        Course {
            along: along(LAMP),
            across: across(LAMP),
            half_along: along(HALF),
            half_across: across(HALF),
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

/// Pixels that are lit together.
const ABREAST: usize = 64;
/// Runs are lit in so many pixels at a time: short as they are in a small picture, a rest lit one by one would take longer
/// than all before it. As many as columns are worked out together: so far beyond a row they may be read.
pub(super) const PACE: usize = TOGETHER;

/// The same for pixels side by side.
struct EarlyRun {
    twist: [u32; ABREAST],
    fibre: [u32; ABREAST],
    lit: [f32; ABREAST],
    open: [f32; ABREAST],
    half: [f32; ABREAST],
    /// How far within the strand's edge it lies.
    inside: [f32; ABREAST],
}

impl Default for EarlyRun {
    fn default() -> EarlyRun {
        let (whole, none) = ([0; ABREAST], [0.0; ABREAST]);
        EarlyRun { twist: whole, fibre: whole, lit: none, open: none, half: none, inside: none }
    }
}

impl EarlyRun {
    #[inline(always)]
    fn set(&mut self, k: usize, one: Early) {
        self.twist[k] = one.twist;
        self.fibre[k] = one.fibre;
        self.lit[k] = one.lit;
        self.open[k] = one.open;
        self.half[k] = one.half;
    }
}

/// Plies and fibres, looked up.
struct Found {
    shade: [f32; ABREAST],
    lean: [f32; ABREAST],
    streak: [f32; ABREAST],
}

impl Default for Found {
    fn default() -> Found {
        let none = [0.0; ABREAST];
        Found { shade: none, lean: none, streak: none }
    }
}

/// What runs are worked out on, used again from run to run.
#[derive(Default)]
pub(super) struct Bench {
    early: EarlyRun,
    found: Found,
}

/// A run of pixels of one strand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Run<'a> {
    pub(super) shape: Shape<'a>,
    pub(super) vary: Vary<'a>,
    /// Px of yarn before the first of them.
    pub(super) along: f32,
    pub(super) sky: &'a [f32],
    pub(super) sun: &'a [f32],
}

/// A run's course.
#[derive(Debug, Clone, Copy)]
pub(super) enum Shape<'a> {
    /// Along a row.
    Row { up: &'a [f32], down: &'a [f32], thick: &'a [f32], tilt: &'a [f32] },
    /// Across an end, half of whose width is this many px.
    End { round: f32, tilt: f32, half: f32 },
}

/// The brightness of a run's colour.
#[derive(Debug, Clone, Copy)]
pub(super) enum Vary<'a> {
    /// Pixel by pixel.
    Each(&'a [f32]),
    /// One for all.
    All(f32),
}

impl<'a> Run<'a> {
    /// A part of it.
    #[inline(always)]
    fn part(&self, from: usize, count: usize) -> Run<'a> {
        let to = from + count;
        let (shape, along) = match self.shape {
            Shape::Row { up, down, thick, tilt } => {
                let shape = Shape::Row {
                    up: &up[from..to],
                    down: &down[from..to],
                    thick: &thick[from..to],
                    tilt: &tilt[from..to],
                };
                (shape, self.along + from as f32)
            }
            end @ Shape::End { .. } => (end, self.along),
        };
        let vary = match self.vary {
            Vary::Each(vary) => Vary::Each(&vary[from..to]),
            all @ Vary::All(_) => all,
        };
        Run { shape, vary, along, sky: &self.sky[from..to], sun: &self.sun[from..to] }
    }
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
        base * shade * vary * (1.0 + streak * self.streak) + shine * sun * shade * 0.9
    }

    /// The light of a run of `count` pixels, a few at a time: what is worked out goes abreast, what is looked up one by one.
    /// Their places across it become how far within its edge they lie in px, below 0 to the right of its direction.
    /// All that is given goes on beyond the run to a whole [`PACE`]; beyond it the light comes to mean nothing.
    #[inline(always)]
    pub(super) fn run(
        &self,
        course: Course,
        seed: f32,
        (run, count): (&Run<'_>, usize),
        bench: &mut Bench,
        (across, light): (&mut [f32], &mut [f32]),
    ) {
        let twist = self.twist();
        let fibres = &**FIBRES;
        let Bench { early, found } = bench;
        let mut from = 0;
        for (light, across) in light.chunks_mut(ABREAST).zip(across.chunks_mut(ABREAST)) {
            let part = run.part(from, light.len());
            self.early_run(course, seed, &part, early, across);
            let all = light.len().min(count - from);
            across[..all].copy_from_slice(&early.inside[..all]);
            for k in 0..all {
                let [shade, lean] = twist[early.twist[k] as usize & (TURN - 1)];
                found.shade[k] = shade;
                found.lean[k] = lean;
                found.streak[k] = f32::from(fibres[early.fibre[k] as usize & (FIBRE_LONG * FIBRE_ROUND - 1)]);
            }
            self.late_run(course, early, found, &part, light);
            from += light.len();
        }
    }

    #[inline(always)]
    fn early_run(&self, course: Course, seed: f32, run: &Run<'_>, early: &mut EarlyRun, us: &[f32]) {
        let count = paced(us.len());
        let us = &us[..count];
        match run.shape {
            Shape::Row { up, down, thick, tilt } => {
                let (ups, downs) = (&up[..count], &down[..count]);
                let (thicks, tilts) = (&thick[..count], &tilt[..count]);
                for k in 0..count {
                    let u = us[k];
                    // One over how far it reaches on this side.
                    let inv =
                        ups[k] + (downs[k] - ups[k]) * f32::from_bits((u.to_bits() >> 31) * 0x3f80_0000);
                    let round = thicks[k] * inv;
                    let along = run.along + k as i32 as f32;
                    let spot = Spot { u, round, tilt: tilts[k], along, vary: 1.0, sky: 1.0, sun: 1.0 };
                    early.set(k, self.early(course, seed, spot));
                    early.inside[k] = ((1.0 - u.abs()) / inv).copysign(u);
                }
            }
            Shape::End { round, tilt, half } => {
                for (k, &u) in us.iter().enumerate() {
                    let spot = Spot { u, round, tilt, along: run.along, vary: 1.0, sky: 1.0, sun: 1.0 };
                    early.set(k, self.early(course, seed, spot));
                    early.inside[k] = ((1.0 - u.abs()) * half).copysign(u);
                }
            }
        }
    }

    #[inline(always)]
    fn late_run(&self, course: Course, early: &EarlyRun, found: &Found, run: &Run<'_>, light: &mut [f32]) {
        let count = paced(light.len());
        let (sky, sun, light) = (&run.sky[..count], &run.sun[..count], &mut light[..count]);
        for k in 0..count {
            let one =
                Early { twist: 0, fibre: 0, lit: early.lit[k], open: early.open[k], half: early.half[k] };
            let found = (found.shade[k], found.lean[k], found.streak[k]);
            light[k] = self.late(course, &one, found, (1.0, sky[k], sun[k]));
        }
        match run.vary {
            Vary::Each(vary) => {
                let vary = &vary[..count];
                for k in 0..count {
                    light[k] *= vary[k];
                }
            }
            Vary::All(vary) => light.iter_mut().for_each(|light| *light *= vary),
        }
    }

    /// The table of its twist.
    #[inline]
    fn twist(&self) -> &[[f32; 2]; TURN] {
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

/// So many pixels in whole paces, no more than are lit together: said so that the compiler sees that no rest remains.
#[inline(always)]
fn paced(count: usize) -> usize {
    (count / PACE).min(ABREAST / PACE) * PACE
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
