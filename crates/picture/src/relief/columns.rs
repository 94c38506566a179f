//! Strands, pixel by pixel along them: a row's middle, width and height in every pixel column, an end's in every
//! pixel line. From place to place they run smoothly and never swing past either (Fritsch and Carlson's condition
//! for a monotone cubic, met by harmonic means of the slopes).

use super::lay::{Node, RowShape};
use super::light::Skin;

/// Rows in the columns of a canvas, one after the other.
#[derive(Debug, Default)]
pub(super) struct Columns {
    /// The middle's height in the picture.
    y: Vec<f32>,
    /// One over how far it reaches up and down.
    up: Vec<f32>,
    down: Vec<f32>,
    /// Its middle's height toward the eye, and half of its thickness.
    z: Vec<f32>,
    thick: Vec<f32>,
    /// How much it rises toward the eye, to the right.
    tilt: Vec<f32>,
    /// The brightness of its colour.
    vary: Vec<f32>,
}

/// One row's columns.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part<'a> {
    pub(super) y: &'a [f32],
    pub(super) up: &'a [f32],
    pub(super) down: &'a [f32],
    pub(super) z: &'a [f32],
    pub(super) thick: &'a [f32],
    pub(super) tilt: &'a [f32],
    pub(super) vary: &'a [f32],
}

/// A cubic from one place to the next.
#[derive(Debug, Clone, Copy)]
struct Cubic([f32; 4]);

impl Cubic {
    /// From `a` to `b` with these slopes, over a way of length 1.
    fn new(a: f32, b: f32, slope_a: f32, slope_b: f32) -> Cubic {
        let rise = b - a;
        Cubic([a, slope_a, 3.0 * rise - 2.0 * slope_a - slope_b, slope_a + slope_b - 2.0 * rise])
    }

    #[inline(always)]
    fn at(self, t: f32) -> f32 {
        let [a, b, c, d] = self.0;
        a + t * (b + t * (c + t * d))
    }

    #[inline(always)]
    fn slope(self, t: f32) -> f32 {
        let [_, b, c, d] = self.0;
        b + t * (2.0 * c + t * 3.0 * d)
    }
}

/// The slope at a place between two stretches: none at a turn, else their harmonic mean.
fn slope(before: f32, after: f32) -> f32 {
    if before * after <= 0.0 { 0.0 } else { 2.0 * before * after / (before + after) }
}

impl Columns {
    pub(super) fn clear(&mut self) {
        for values in self.all() {
            values.clear();
        }
    }

    fn all(&mut self) -> [&mut Vec<f32>; 7] {
        [
            &mut self.y,
            &mut self.up,
            &mut self.down,
            &mut self.z,
            &mut self.thick,
            &mut self.tilt,
            &mut self.vary,
        ]
    }

    /// The columns of a row.
    pub(super) fn part(&self, from: usize, count: usize) -> Part<'_> {
        let to = from + count;
        Part {
            y: &self.y[from..to],
            up: &self.up[from..to],
            down: &self.down[from..to],
            z: &self.z[from..to],
            thick: &self.thick[from..to],
            tilt: &self.tilt[from..to],
            vary: &self.vary[from..to],
        }
    }

    /// One over how far a row reaches up, or down, in a column.
    #[inline]
    pub(super) fn reach(&self, column: usize, up: bool) -> Option<f32> {
        if up { &self.up } else { &self.down }.get(column).copied()
    }

    /// Adds the columns of a row between two of the picture's columns; `step` is from place to place. Returns
    /// where they begin here, and the range of the picture's columns. `seed` is where in the noise it begins.
    pub(super) fn add(
        &mut self,
        shape: &RowShape,
        nodes: &[Node],
        skin: &Skin,
        step: f32,
        window: (i32, i32),
        seed: f32,
    ) -> Option<(usize, std::ops::Range<i32>)> {
        let count = nodes.len();
        let place = |k: usize| match k {
            0 => shape.first - shape.stub,
            k if k + 1 == count => shape.first + step * (count - 3) as f32 + shape.stub,
            k => shape.first + step * (k - 1) as f32,
        };
        if count < 3 {
            return None;
        }
        // The pixels whose middle lies on it.
        let pixel = |x: f32| (x - 0.5).ceil() as i32;
        let (left, right) = (pixel(place(0)).max(window.0), pixel(place(count - 1)).min(window.1));
        if left >= right {
            return None;
        }
        let begin = self.y.len();
        let guess = ((left as f32 - shape.first) / step).floor() as i32;
        let mut k = guess.clamp(0, count as i32 - 2) as usize;
        while k > 0 && pixel(place(k)) > left {
            k -= 1;
        }
        let mut x = left;
        while x < right && k + 1 < count {
            let (a, b) = (place(k), place(k + 1));
            let to = pixel(b).min(right);
            if to > x {
                self.stretch(nodes, k, (a, b), &place, x..to);
                x = to;
            }
            k += 1;
        }
        let ends = (place(0) - shape.start, place(count - 1) - shape.start);
        self.unevenness(begin, left as f32 + 0.5 - shape.start, ends, 2.0 / step, skin, seed);
        Some((begin, left..x))
    }

    /// One stretch from place to place.
    fn stretch(
        &mut self,
        nodes: &[Node],
        k: usize,
        (a, b): (f32, f32),
        place: &impl Fn(usize) -> f32,
        pixels: std::ops::Range<i32>,
    ) {
        let long = (b - a).max(1e-3);
        let (before, after) = (k.checked_sub(1), (k + 2 < nodes.len()).then_some(k + 2));
        let widths = (
            before.map_or(long, |at| (a - place(at)).max(1e-3)),
            after.map_or(long, |at| (place(at) - b).max(1e-3)),
        );
        let cubic = |of: fn(&Node) -> f32| {
            let (from, to) = (of(&nodes[k]), of(&nodes[k + 1]));
            let here = (to - from) / long;
            // A stub ends level, where a turn goes on.
            let left = before.map_or(0.0, |at| (from - of(&nodes[at])) / widths.0);
            let right = after.map_or(0.0, |at| (of(&nodes[at]) - to) / widths.1);
            Cubic::new(from, to, slope(left, here) * long, slope(here, right) * long)
        };
        let (y, up, down) = (cubic(|n| n.y), cubic(|n| n.up), cubic(|n| n.down));
        let (z, thick) = (cubic(|n| n.z), cubic(|n| n.thick));
        let (begin, short) = (pixels.start as f32 + 0.5 - a, 1.0 / long);
        let count = pixels.len();
        // Measure by measure, so that it goes four abreast.
        fill(&mut self.y, count, begin, short, |t| y.at(t));
        fill(&mut self.up, count, begin, short, |t| up.at(t));
        fill(&mut self.down, count, begin, short, |t| down.at(t));
        fill(&mut self.z, count, begin, short, |t| z.at(t));
        fill(&mut self.thick, count, begin, short, |t| thick.at(t));
        fill(&mut self.tilt, count, begin, short, |t| z.slope(t) * short);
    }

    /// Lets colour and width vary along the row, and turns widths into what is multiplied with.
    /// At its ends, where a turn goes on, it is as wide as it is meant to be.
    fn unevenness(
        &mut self,
        begin: usize,
        from: f32,
        (first, last): (f32, f32),
        fade: f32,
        skin: &Skin,
        seed: f32,
    ) {
        for (k, (up, down)) in self.up[begin..].iter_mut().zip(&mut self.down[begin..]).enumerate() {
            let along = from + k as f32;
            self.vary.push(1.0 + skin.vary * skin.slow(along, seed + 0.37));
            let slub = skin.slub * ((along - first).min(last - along) * fade).clamp(0.0, 1.0);
            let fine = 0.55 * skin.slow(along * 2.7, seed + 0.71);
            let wide = 1.0 + slub * (0.7 * skin.slow(along, seed) + fine);
            let other = 1.0 + slub * (0.7 * skin.slow(along, seed + 0.11) - fine);
            *up = 1.0 / (*up * wide);
            *down = 1.0 / (*down * other);
        }
    }
}

/// Adds a measure in so many columns, from its place within a stretch of length 1.
#[inline(always)]
fn fill(values: &mut Vec<f32>, count: usize, begin: f32, short: f32, at: impl Fn(f32) -> f32) {
    let from = values.len();
    values.resize(from + count, 0.0);
    for (k, value) in values[from..].iter_mut().enumerate() {
        *value = at((begin + k as i32 as f32) * short);
    }
}

/// Ends in the lines of a canvas, one after the other.
#[derive(Debug, Default)]
pub(super) struct Rises {
    /// The middle's px across.
    pub(super) x: Vec<f32>,
    /// The middle's height toward the eye.
    pub(super) z: Vec<f32>,
    /// One over half of the width.
    pub(super) inv: Vec<f32>,
    /// How much it rises toward the eye, upward.
    pub(super) tilt: Vec<f32>,
    /// The brightness of its colour.
    pub(super) vary: Vec<f32>,
}

impl Rises {
    pub(super) fn clear(&mut self) {
        for values in [&mut self.x, &mut self.z, &mut self.inv, &mut self.tilt, &mut self.vary] {
            values.clear();
        }
    }

    /// Adds an end over the lines from `low` on; `bends` are the heights where rows cross it and how far it
    /// yields there, `across` gives its px at a height, and `reach` how far along it that is felt; `foot` is where its length is 0.
    pub(super) fn add(
        &mut self,
        (low, lines): (i32, usize),
        across: impl Fn(f32) -> f32,
        half: f32,
        skin: &Skin,
        (seed, foot): (f32, f32),
        (bends, reach): (&[(f32, f32)], f32),
    ) -> usize {
        let begin = self.z.len();
        if bends.is_empty() {
            self.z.resize(begin + lines, 0.0);
        } else {
            let mut weight = vec![0.12_f32; lines];
            let mut sum = vec![0.0_f32; lines];
            for &(y, z) in bends {
                let line =
                    |y: f32| ((y - 0.5).ceil() as i32).saturating_sub(low).clamp(0, lines as i32) as usize;
                for k in line(y - reach)..line(y + reach) {
                    let off = ((low + k as i32) as f32 + 0.5 - y) / reach;
                    let near = 1.0 - off * off;
                    weight[k] += near * near;
                    sum[k] += near * near * z;
                }
            }
            self.z.extend(sum.iter().zip(&weight).map(|(sum, weight)| sum / weight));
        }
        for k in 0..lines {
            let y = (low + k as i32) as f32 + 0.5;
            let along = y - foot;
            self.x.push(across(y));
            self.vary.push(1.0 + skin.vary * skin.slow(along, seed + 0.37));
            self.inv.push(1.0 / (half * (1.0 + skin.slub * 0.5 * skin.slow(along, seed))));
            let (a, b) = (begin + k.saturating_sub(1), begin + (k + 1).min(lines - 1));
            self.tilt.push((self.z[b] - self.z[a]) / (b - a).max(1) as f32);
        }
        begin
    }
}
