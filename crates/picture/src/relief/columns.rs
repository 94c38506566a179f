//! Strands, pixel by pixel along them: a row's middle, width and height in every pixel column, an end's in every
//! pixel line. From place to place they run smoothly and never swing past either (Fritsch and Carlson's condition
//! for a monotone cubic, met by harmonic means of the slopes).

use super::abreast::{WIDE, abreast};
use super::lay::{Node, RowShape};
use super::light::Skin;
use super::noise::SLOW;
use super::ramp::{least, most};

/// Columns that are worked out together: stretches are rounded up to as many.
pub(super) const TOGETHER: usize = 8;
/// Columns that are entered together.
pub(super) const BLOCK: usize = 64;

/// Rows in the columns of a canvas, one after the other.
#[derive(Debug, Default)]
pub(super) struct Columns {
    /// How many are known; the measures have room for more.
    count: usize,
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

/// What a place has a number of each for: the middle's height, how far up and down, toward the eye, how thick.
const MEASURES: usize = 5;
type Measures = [f32; 8];

fn measures(node: &Node) -> Measures {
    [node.y, node.up, node.down, node.z, node.thick, 0.0, 0.0, 0.0]
}

/// Measure by measure.
#[inline(always)]
pub(super) fn each<T: Copy + Default, const N: usize>(of: impl Fn(usize) -> T) -> [T; N] {
    let mut all = [T::default(); N];
    for (k, one) in all.iter_mut().enumerate() {
        *one = of(k);
    }
    all
}

/// The slopes at a place between two stretches: none at a turn, else their harmonic mean.
#[inline(always)]
fn slopes(before: &Measures, after: &Measures) -> Measures {
    each(|k| {
        let (a, b) = (before[k], after[k]);
        let turns = a * b <= 0.0;
        let all = if turns { 1.0 } else { a + b };
        if turns { 0.0 } else { 2.0 * a * b / all }
    })
}

/// A stretch from one place to the next: a cubic for every measure, by the px from where it begins.
struct Stretch {
    begins: f32,
    short: f32,
    by_power: [Measures; 4],
}

impl Stretch {
    /// From `a` to `b` with these slopes, over so many px.
    #[inline(always)]
    fn new(
        begins: f32,
        long: f32,
        (a, b): (&Measures, &Measures),
        slopes: (&Measures, &Measures),
    ) -> Stretch {
        let rise: Measures = each(|k| b[k] - a[k]);
        let (from, to): (Measures, Measures) = (each(|k| slopes.0[k] * long), each(|k| slopes.1[k] * long));
        let second = each(|k| 3.0 * rise[k] - 2.0 * from[k] - to[k]);
        let third = each(|k| from[k] + to[k] - 2.0 * rise[k]);
        Stretch { begins, short: 1.0 / long, by_power: [*a, from, second, third] }
    }

    /// Fills columns from a picture's column on: for each measure a slice, then that for the tilt.
    #[inline(always)]
    fn fill(&self, column: i32, all: [&mut [f32]; MEASURES + 1]) {
        // Each column is measured from its own number, so that it is the same in whichever piece it lies.
        let begins = self.begins - 0.5;
        let [y, up, down, z, thick, tilt] = all;
        for chunk in 0..tilt.len() / TOGETHER {
            let at: [f32; TOGETHER] =
                each(|k| ((column + (chunk * TOGETHER + k) as i32) as f32 - begins) * self.short);
            put(y, chunk, self.cubic(0, &at));
            put(up, chunk, self.cubic(1, &at));
            put(down, chunk, self.cubic(2, &at));
            put(z, chunk, self.cubic(Z, &at));
            put(thick, chunk, self.cubic(4, &at));
            let (b, c, d) = (self.by_power[1][Z], self.by_power[2][Z], self.by_power[3][Z]);
            put(tilt, chunk, each(|k| (b + at[k] * (2.0 * c + at[k] * 3.0 * d)) * self.short));
        }
    }

    /// A measure at places of the stretch.
    #[inline(always)]
    fn cubic(&self, measure: usize, at: &[f32; TOGETHER]) -> [f32; TOGETHER] {
        let power = |nth: usize| self.by_power[nth][measure];
        let (a, b, c, d) = (power(0), power(1), power(2), power(3));
        each(|k| a + at[k] * (b + at[k] * (c + at[k] * d)))
    }
}

#[inline(always)]
fn put(values: &mut [f32], chunk: usize, some: [f32; TOGETHER]) {
    values[chunk * TOGETHER..][..TOGETHER].copy_from_slice(&some);
}

/// Which measure the height toward the eye is.
const Z: usize = 3;

impl Columns {
    pub(super) fn clear(&mut self) {
        self.count = 0;
    }

    /// Makes room for more columns, and for what is worked out together with the last of them.
    fn room(&mut self, count: usize) {
        let wanted = self.count + count + WIDE;
        if self.y.len() < wanted {
            let Columns { count: _, y, up, down, z, thick, tilt, vary } = self;
            for values in [y, up, down, z, thick, tilt, vary] {
                values.resize(wanted * 2, 0.0);
            }
        }
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
            0 => shape.first - shape.stubs[0].long,
            k if k + 1 == count => shape.first + step * (count - 3) as f32 + shape.stubs[1].long,
            k => shape.first + step * (k - 1) as f32,
        };
        if count < 3 {
            return None;
        }
        let (left, right) = (pixel(place(0)).max(window.0), pixel(place(count - 1)).min(window.1));
        if left >= right {
            return None;
        }
        let begin = self.count;
        let all = (right - left) as usize;
        self.room(all);
        self.count += all;
        let ends = (place(0) - shape.start, place(count - 1) - shape.start);
        let noise = Noise { skin, seed, fade: 2.0 / step, ends, column: left, start: shape.start - 0.5 };
        abreast!({
            self.stretches(begin, nodes, &place, (shape.first, step), left..right);
            self.unevenness(begin..begin + all, &noise);
        });
        Some((begin, left..right))
    }

    /// Works out all stretches between two of the picture's columns.
    #[inline(always)]
    fn stretches(
        &mut self,
        begin: usize,
        nodes: &[Node],
        place: &impl Fn(usize) -> f32,
        (first, step): (f32, f32),
        pixels: std::ops::Range<i32>,
    ) {
        let guess = ((pixels.start as f32 - first) / step).floor() as i32;
        let mut k = guess.clamp(0, nodes.len() as i32 - 2) as usize;
        while k > 0 && pixel(place(k)) > pixels.start {
            k -= 1;
        }
        let rises = |k: usize| -> Measures {
            // A stub ends level, where a turn goes on.
            let (Some(a), Some(b)) = (nodes.get(k), nodes.get(k + 1)) else { return [0.0; 8] };
            let (a, b, short) = (measures(a), measures(b), 1.0 / (place(k + 1) - place(k)).max(1e-3));
            each(|m| (b[m] - a[m]) * short)
        };
        let mut here = rises(k);
        let mut slope = slopes(&k.checked_sub(1).map_or([0.0; 8], rises), &here);
        let mut x = pixels.start;
        while x < pixels.end && k + 1 < nodes.len() {
            let after = rises(k + 1);
            let next = slopes(&here, &after);
            let (a, b) = (place(k), place(k + 1));
            let to = pixel(b).min(pixels.end);
            if to > x {
                let ends = (&measures(&nodes[k]), &measures(&nodes[k + 1]));
                let stretch = Stretch::new(a, (b - a).max(1e-3), ends, (&slope, &next));
                let from = begin + (x - pixels.start) as usize;
                // What goes beyond this stretch the next one overwrites.
                let until = from + ((to - x) as usize).next_multiple_of(TOGETHER);
                let Columns { y, up, down, z, thick, tilt, .. } = self;
                // Each by itself: what a closure does might not go abreast.
                let (y, up, down) = (&mut y[from..until], &mut up[from..until], &mut down[from..until]);
                let (z, thick, tilt) = (&mut z[from..until], &mut thick[from..until], &mut tilt[from..until]);
                stretch.fill(x, [y, up, down, z, thick, tilt]);
                x = to;
            }
            (here, slope, k) = (after, next, k + 1);
        }
    }

    /// Lets colour and width vary along the row, and turns widths into what is multiplied with.
    /// At its ends, where a turn goes on, it is as wide as it is meant to be.
    #[inline(always)]
    fn unevenness(&mut self, columns: std::ops::Range<usize>, noise: &Noise<'_>) {
        let (up, down) = (&mut self.up[columns.clone()], &mut self.down[columns.clone()]);
        uneven(up, down, &mut self.vary[columns], noise);
    }
}

/// The pixel from which on middles lie to the right of a place.
fn pixel(x: f32) -> i32 {
    (x - 0.5).ceil() as i32
}

/// How a row's yarn varies.
struct Noise<'a> {
    skin: &'a Skin,
    seed: f32,
    /// How soon it may after its ends.
    fade: f32,
    /// Where it begins and ends: px along it.
    ends: (f32, f32),
    /// The picture's column that comes first, and the number of that whose middle is its start.
    column: i32,
    start: f32,
}

/// Each slice by itself, so that none is taken to overlap another.
#[inline(always)]
fn uneven(up: &mut [f32], down: &mut [f32], vary: &mut [f32], noise: &Noise<'_>) {
    let Noise { skin, seed, fade, ends: (first, last), column, start } = *noise;
    let slow = &**SLOW;
    let count = vary.len();
    let (up, down) = (&mut up[..count], &mut down[..count]);
    for k in 0..count {
        let along = (column + k as i32) as f32 - start;
        vary[k] = 1.0 + skin.vary * skin.slow_in(slow, along, seed + 0.37);
        let slub = skin.slub * least(most(least(along - first, last - along) * fade, 0.0), 1.0);
        let fine = 0.55 * skin.slow_in(slow, along * 2.7, seed + 0.71);
        let wide = 1.0 + slub * (0.7 * skin.slow_in(slow, along, seed) + fine);
        let other = 1.0 + slub * (0.7 * skin.slow_in(slow, along, seed + 0.11) - fine);
        up[k] = 1.0 / (up[k] * wide);
        down[k] = 1.0 / (down[k] * other);
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
        let slow = &**SLOW;
        let y = |k: usize| (low + k as i32) as f32 + 0.5;
        self.x.extend((0..lines).map(|k| across(y(k))));
        let vary = |k: usize| 1.0 + skin.vary * skin.slow_in(slow, y(k) - foot, seed + 0.37);
        self.vary.extend((0..lines).map(vary));
        let wide = |k: usize| half * (1.0 + skin.slub * 0.5 * skin.slow_in(slow, y(k) - foot, seed));
        self.inv.extend((0..lines).map(|k| 1.0 / wide(k)));
        let z = &self.z[begin..];
        self.tilt.extend((0..lines).map(|k| {
            let (a, b) = (k.saturating_sub(1), (k + 1).min(lines - 1));
            (z[b] - z[a]) / (b - a).max(1) as f32
        }));
        begin
    }
}
