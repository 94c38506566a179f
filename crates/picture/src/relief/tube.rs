//! Yarn that leaves the rows: turns, tails, loops of the warp. A tube follows a line of points through space.

use super::abreast::abreast;
use super::light::{Course, Spot};
use super::noise::{hash, unsigned};
use super::ramp::{least, most};
use super::scene::Scene;
use super::tile::{Canvas, Shown};
use std::ops::Range;

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
    pub(super) grain: Grain,
    pub(super) shown: Shown,
    /// Whether it goes on as something else before its first and after its last point; else it is round there.
    pub(super) joins: (bool, bool),
    /// From which of its points to which it is drawn.
    pub(super) part: (usize, usize),
    /// Whether it comes back behind itself, seen from the front.
    pub(super) folds: bool,
    /// What is drawn of it covers: left, low, right, high.
    pub(super) bounds: [f32; 4],
}

/// How a tube's grain goes on from that of the strands it joins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Grain {
    /// Where its twist is.
    pub(super) seed: f32,
    /// Px of its yarn before its first point.
    pub(super) along: f32,
    /// Px of yarn for a px of its way: below 0 where it is followed against the yarn's length.
    pub(super) pace: f32,
    /// The brightness of its colour at both ends.
    pub(super) vary: (f32, f32),
    /// The strand that it goes on as after its last point, if it does: where that one's twist is, and its length there. Their
    /// fibres pass into each other on the way.
    pub(super) into: Option<(f32, f32)>,
}

impl Grain {
    /// A grain of its own.
    pub(super) fn new(seed: u32) -> Grain {
        Grain { seed: unsigned(seed), along: 0.0, pace: 1.0, vary: (1.0, 1.0), into: None }
    }
}

/// How steeply its round end is seen to fall away at most.
const ROUNDS: f32 = 2.0;
/// How much of its dive is seen as light and shade: a turn is too short to be shaded in full.
const DIVE: f32 = 0.45;

/// Points that lie no farther from each other, in px, have no way between them.
const SHORTEST: f32 = 1e-3;

/// Of the pixels near a tube: the square of how far off each is in half widths, the stretch that it is nearest to, and where
/// along that: t at its left, -1 - t at its right.
struct Nearest {
    off: Vec<f32>,
    stretch: Vec<u32>,
    at: Vec<f32>,
}

impl Nearest {
    fn none(count: usize) -> Nearest {
        Nearest { off: vec![f32::INFINITY; count], stretch: vec![0; count], at: vec![0.0; count] }
    }
}

/// A stretch from point to point.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    from: Point,
    to: Point,
    way: (f32, f32),
    long: f32,
    /// How much it rises on its way beside that: what comes back behind itself is measured from side to side and up and down.
    climb: f32,
    /// How much yarn comes before it, and how much lies in it.
    before: f32,
    yarn: f32,
    /// From where to where it is looked at, over its length: beyond its ends as far as it bends there.
    within: (f32, f32),
    /// Its course at its first point, and how much it rises there; and at its end if it is the last.
    course: (f32, f32, f32),
    ends: (f32, f32, f32),
}

impl Stretch {
    /// Of the pixels of a line (the first one's number across, their middles' height over where it begins), takes those that
    /// it is nearest to. Each is measured from its own number, so that it is the same in whichever piece it lies.
    #[inline(always)]
    fn nearer(
        &self,
        (off, stretch, at): (&mut [f32], &mut [u32], &mut [f32]),
        number: u32,
        (first, py): (i32, f32),
        reach: f32,
    ) {
        let (a, way, long, climb) = (self.from, self.way, self.long, self.climb);
        let (from, to) = self.within;
        let (slope, along) = (self.to.half - a.half, 1.0 / long);
        let count = off.len();
        let (stretch, at) = (&mut stretch[..count], &mut at[..count]);
        for k in 0..count {
            let px = (first + k as i32) as f32 + 0.5 - a.x;
            let on = (px * way.0 + py * way.1) * along;
            let t = least(most(on, 0.0), 1.0);
            let (ox, oy) = (px - way.0 * long * t, py - (way.1 * long + climb) * t);
            let (square, half) = (ox * ox + oy * oy, a.half + slope * t);
            // Its distance in half widths, squared: the root is for what is drawn.
            let far = square / (half * half);
            let takes = (far < off[k]) & (square < reach * reach) & (on >= from) & (on <= to);
            let left_of = oy * way.0 - ox * way.1 >= 0.0;
            let place = if left_of { t } else { -1.0 - t };
            off[k] = if takes { far } else { off[k] };
            stretch[k] = if takes { number } else { stretch[k] };
            at[k] = if takes { place } else { at[k] };
        }
    }
}

impl Tube {
    pub(super) fn new(points: Vec<Point>, yarn: usize, grain: Grain, shown: Shown) -> Tube {
        let part = (0, points.len().saturating_sub(1));
        let bounds = covered(&points);
        Tube { points, yarn, grain, shown, joins: (false, false), part, folds: false, bounds }
    }

    /// A tube that goes on as something else where it begins, where it ends.
    pub(super) fn joined(self, joins: (bool, bool)) -> Tube {
        Tube { joins, ..self }
    }

    /// One that comes back behind itself.
    pub(super) fn folded(self) -> Tube {
        Tube { folds: true, ..self }
    }

    /// The same yarn, drawn up to one of its points and from there on: where one leg of it comes to lie over the other, the
    /// one in front is seen whole.
    pub(super) fn parted(self, at: usize) -> [Tube; 2] {
        let drawn = |part: (usize, usize)| {
            let bounds = covered(self.points.get(part.0..=part.1).unwrap_or_default());
            Tube { part, bounds, ..self.clone() }
        };
        [drawn((self.part.0, at)), drawn((at, self.part.1))]
    }

    /// Its length up to its last point.
    fn long(&self) -> f32 {
        super::edges::lengths(&self.points).last().copied().unwrap_or_default()
    }

    /// Which of its stretches are drawn.
    fn drawn(&self) -> std::ops::Range<usize> {
        let known = |to: usize| {
            let pairs = self.points.windows(2).take(to);
            pairs.filter(|pair| self.is_stretch(pair[0], pair[1])).count()
        };
        known(self.part.0)..known(self.part.1)
    }

    /// Whether the way from one point to the next is long enough to have a direction.
    fn is_stretch(&self, a: Point, b: Point) -> bool {
        (if self.folds { (b.x - a.x).abs() } else { far(a, b) }) > SHORTEST
    }

    fn stretches(&self) -> Vec<Stretch> {
        let mut before = 0.0;
        let pairs = self.points.windows(2).filter_map(|pair| {
            let (x, y) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
            let yarn = far(pair[0], pair[1]);
            let (y, climb) = if self.folds { (0.0, y) } else { (y, 0.0) };
            let long = (x * x + y * y).sqrt();
            let way = (x / long, y / long);
            // What is seen is how its back rises.
            let back = |point: Point| point.z + point.half * super::STUB_ROUND;
            let course = (way.0, way.1, ((back(pair[1]) - back(pair[0])) / long).clamp(-2.0, 2.0));
            let within = (f32::NEG_INFINITY, f32::INFINITY);
            let stretch = Stretch {
                from: pair[0],
                to: pair[1],
                way,
                long,
                climb,
                before,
                yarn,
                within,
                course,
                ends: course,
            };
            before += yarn;
            self.is_stretch(pair[0], pair[1]).then_some(stretch)
        });
        let mut all: Vec<Stretch> = pairs.collect();
        for k in 1..all.len() {
            let (a, b) = (all[k - 1], all[k]);
            let (sine, along) =
                (a.way.0 * b.way.1 - a.way.1 * b.way.0, a.way.0 * b.way.0 + a.way.1 * b.way.1);
            if along > 0.0 {
                let beyond = if self.folds { 0.0 } else { a.to.half * 1.15 * sine.abs() };
                all[k - 1].within.1 = 1.0 + beyond / a.long;
                all[k].within.0 = -beyond / b.long;
            }
        }
        // Where it goes on as something else it has no round end.
        if let Some(first) = all.first_mut().filter(|_| self.joins.0) {
            first.within.0 = 0.0;
        }
        if let Some(last) = all.last_mut().filter(|_| self.joins.1) {
            last.within.1 = 1.0;
        }
        // At a point the course is the mean of what comes and what goes; where a row goes on, it is level.
        let own: Vec<(f32, f32, f32)> = all.iter().map(|s| s.course).collect();
        for (k, pair) in own.windows(2).enumerate() {
            let (a, b) = (pair[0], pair[1]);
            all[k + 1].course = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0, (a.2 + b.2) / 2.0);
        }
        if let Some(first) = all.first_mut().filter(|_| self.joins.0) {
            first.course.2 = 0.0;
        }
        if let Some(last) = all.last_mut().filter(|_| self.joins.1) {
            last.ends.2 = 0.0;
        }
        all
    }

    /// Draws what of it lies on a canvas. Every pixel belongs to the stretch that is nearest.
    pub(super) fn draw(&self, scene: &Scene<'_>, canvas: &mut Canvas) {
        if !canvas.touches(self.bounds) {
            return;
        }
        let (stretches, drawn, whole) = (self.stretches(), self.drawn(), self.long().max(SHORTEST));
        let [left, right, low, high] = canvas.within(self.bounds);
        let wide = right - left;
        let mut nearest = Nearest::none(wide * (high - low));
        abreast!(self.find_nearest(
            &stretches,
            drawn.clone(),
            canvas,
            [left, right, low, high],
            &mut nearest
        ));
        let pen = canvas.pen(self.shown, self.yarn);
        let Nearest { off, stretch, at } = nearest;
        for (nth, ((&off, &k), &t)) in off.iter().zip(&stretch).zip(&at).enumerate() {
            if let (true, Some(s)) = (off.is_finite(), stretches.get(k as usize)) {
                let (u, t) = if t >= 0.0 { (off.sqrt(), t) } else { (-off.sqrt(), -1.0 - t) };
                let at = (low + nth / wide) * canvas.width + left + nth % wide;
                if self.is_of_other_leg(canvas, at, &stretches, &drawn, (k as usize, t)) {
                    continue;
                }
                self.pixel(scene, canvas, pen, at, (u, t), s, (&stretches, whole), k as usize);
            }
        }
    }

    #[inline(always)]
    fn find_nearest(
        &self,
        stretches: &[Stretch],
        drawn: Range<usize>,
        canvas: &Canvas,
        [left, right, low, high]: [usize; 4],
        nearest: &mut Nearest,
    ) {
        for (k, s) in drawn.clone().zip(&stretches[drawn]) {
            let (a, b) = (s.from, s.to);
            let reach = a.half.max(b.half) * 1.15 + 1.0;
            let bounds = canvas.within([
                a.x.min(b.x) - reach,
                a.y.min(b.y) - reach,
                a.x.max(b.x) + reach,
                a.y.max(b.y) + reach,
            ]);
            let columns = bounds[0].max(left)..bounds[1].min(right);
            if columns.is_empty() {
                continue;
            }
            let first = canvas.x0 + columns.start as i32;
            for line in bounds[2].max(low)..bounds[3].min(high) {
                let py = (canvas.y0 + line as i32) as f32 + 0.5 - a.y;
                let begin = (line - low) * (right - left) + columns.start - left;
                let part = begin..begin + columns.len();
                let (off, stretch, at) = (
                    &mut nearest.off[part.clone()],
                    &mut nearest.stretch[part.clone()],
                    &mut nearest.at[part],
                );
                s.nearer((off, stretch, at), k as u32, (first, py), reach);
            }
        }
    }

    /// Whether a pixel beside the point where its legs part, nearer to none of their stretches' lengths, is the other leg's.
    fn is_of_other_leg(
        &self,
        canvas: &Canvas,
        at: usize,
        stretches: &[Stretch],
        drawn: &Range<usize>,
        (k, t): (usize, f32),
    ) -> bool {
        let (a, b, ends) = match t {
            1.0 if k + 1 == drawn.end => (k, k + 1, true),
            0.0 if k == drawn.start => (k.wrapping_sub(1), k, false),
            _ => return false,
        };
        let (Some(a), Some(b)) = (stretches.get(a), stretches.get(b)) else { return false };
        if self.folds {
            return false;
        }
        let x = (canvas.x0 + (at % canvas.width) as i32) as f32 + 0.5 - b.from.x;
        let y = (canvas.y0 + (at / canvas.width) as i32) as f32 + 0.5 - b.from.y;
        let past = x * (a.way.0 + b.way.0) + y * (a.way.1 + b.way.1) > 0.0;
        past == ends
    }

    /// How far a pixel lies beyond the last point (or, below 0, before the first) where it is round there.
    fn beyond(&self, canvas: &Canvas, at: usize, (s, t): (&Stretch, f32), first: bool, last: bool) -> f32 {
        let from = match t {
            0.0 if first && !self.joins.0 => s.from,
            1.0 if last && !self.joins.1 => s.to,
            _ => return 0.0,
        };
        let x = (canvas.x0 + (at % canvas.width) as i32) as f32 + 0.5 - from.x;
        let y = (canvas.y0 + (at / canvas.width) as i32) as f32 + 0.5 - from.y;
        x * s.way.0 + y * s.way.1
    }

    /// Px of yarn at a length of the way.
    fn along(&self, way: f32) -> f32 {
        self.grain.along + way * self.grain.pace
    }

    #[expect(clippy::too_many_arguments, reason = "one pixel's place in full")]
    fn pixel(
        &self,
        scene: &Scene<'_>,
        canvas: &mut Canvas,
        pen: u32,
        at: usize,
        (u, t): (f32, f32),
        s: &Stretch,
        (stretches, whole): (&[Stretch], f32),
        k: usize,
    ) {
        let skin = &scene.skins[self.yarn];
        let beyond = self.beyond(canvas, at, (s, t), k == 0, k + 1 == stretches.len());
        let way = s.before + s.yarn * t;
        let along = self.along(way + beyond);
        let even = s.from.half + (s.to.half - s.from.half) * t;
        // Where it goes on as a row both are as thick as they are meant to be.
        let fades = |on: bool, off: f32| if on { (off / (3.0 * even)).min(1.0) } else { 1.0 };
        let fade = fades(self.joins.0, way) * fades(self.joins.1, whole - way);
        let slub = 1.0 + skin.slub * 0.6 * skin.slow(along, self.grain.seed) * fade;
        let (half, u) = (even * slub, u / slub);
        let cover = half * (1.0 - u.abs()) + 0.5;
        if cover <= 0.0 {
            return;
        }
        let u = u.clamp(-0.999, 0.999);
        let z = s.from.z + (s.to.z - s.from.z) * t + half * super::STUB_ROUND * (1.0 - u * u).sqrt();
        let front = canvas.in_front(at, z);
        if !front && !canvas.is_part(at) {
            return;
        }
        // Where it is round at its end it falls away along its way too, and less across.
        let ahead = (beyond / half).clamp(-0.999, 0.999);
        let depth = (1.0 - u * u).sqrt();
        let (u, falls) = if ahead == 0.0 {
            (u, 0.0)
        } else {
            (
                (u * u - ahead * ahead).max(0.0).sqrt().copysign(u),
                (ahead / depth.max(0.3)).clamp(-ROUNDS, ROUNDS),
            )
        };
        // The course changes smoothly from point to point.
        let (a, b) = (s.course, stretches.get(k + 1).map_or(s.ends, |next| next.course));
        let mix = |a: f32, b: f32| a + (b - a) * t;
        let sign = self.grain.pace.signum();
        let spot = Spot {
            u: u * sign,
            round: super::STUB_ROUND,
            tilt: (mix(a.2, b.2) * DIVE - falls) * sign,
            along,
            vary: self.grain.vary.0 + (self.grain.vary.1 - self.grain.vary.0) * (way / whole),
            sky: 1.0,
            sun: 1.0,
        };
        let course = Course::of(mix(a.0, b.0) * sign, mix(a.1, b.1) * sign);
        let mut streak = skin.streak(self.grain.seed, spot.along, spot.u);
        if let Some((seed, along)) = self.grain.into {
            // From its other end it is followed against its length.
            let other = skin.streak(seed, along + (whole - way) * sign, -spot.u);
            let share = way / whole;
            streak += (other - streak) * share * share * (3.0 - 2.0 * share);
        }
        let light = skin.streaked(course, self.grain.seed, spot, streak);
        if front {
            canvas.put(at, z, pen, light, cover.min(1.0));
        } else {
            canvas.put_behind(at, z, pen, light);
        }
    }
}

/// How far one point lies from another in the picture.
fn far(a: Point, b: Point) -> f32 {
    let (x, y) = (b.x - a.x, b.y - a.y);
    (x * x + y * y).sqrt()
}

/// What yarn along points covers: left, low, right, high.
fn covered(points: &[Point]) -> [f32; 4] {
    let mut bounds = [f32::INFINITY, f32::INFINITY, f32::NEG_INFINITY, f32::NEG_INFINITY];
    for p in points {
        let r = p.half * 1.2 + 1.0;
        bounds[0] = bounds[0].min(p.x - r);
        bounds[1] = bounds[1].min(p.y - r);
        bounds[2] = bounds[2].max(p.x + r);
        bounds[3] = bounds[3].max(p.y + r);
    }
    bounds
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
