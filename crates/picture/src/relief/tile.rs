//! A piece of the picture while it is made: for every pixel the strand that lies foremost there.
//!
//! All strands are entered by their height toward the eye; the highest stays. What a pixel becomes hangs on
//! nothing but the strands near it, so pieces of any size and order give the same picture.

use super::abreast::{WIDE, abreast};
use super::columns::{BLOCK, Columns, Part, Rises, TOGETHER};
use super::ramp::{least, most};

/// What a pixel shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    /// The ground.
    Paper,
    /// The wood of the frame.
    Frame,
    /// A row, counted from 0.
    Row(u32),
    /// An end, counted from 0.
    End(u32),
    /// The header.
    Header,
    /// The turn that a row completes.
    Turn(u32),
    /// A tail of a row's yarn.
    Tail(u32),
}

/// How the pixels of a strand get their light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// It is known already.
    Lit,
    /// A row: its columns begin at `from` in [`Columns`] and stand for the picture's columns from `first` on.
    Row { first: i32, count: usize, from: usize, start: f32 },
    /// An end: its heights begin at `from` in [`Rises`], one for each line of the canvas and as many before as
    /// the canvas's `beyond`.
    End { from: usize, round: f32 },
}

/// A strand on a canvas.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pen {
    pub(super) kind: Kind,
    pub(super) shown: Shown,
    /// Whose colours it has: a yarn, paper or wood.
    pub(super) ramp: usize,
    pub(super) seed: u32,
}

/// What lies beneath a pixel that is only partly covered.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beneath {
    pub(super) at: usize,
    pub(super) top: u32,
    pub(super) pen: u32,
    pub(super) u: f32,
    z: f32,
    /// How much of the pixel what lies on top covers.
    cover: f32,
}

/// A rectangle of pixels with what lies around it as far as it casts its shadow in.
#[derive(Default)]
pub(super) struct Canvas {
    /// The picture's pixel at its lower left.
    pub(super) x0: i32,
    pub(super) y0: i32,
    pub(super) width: usize,
    pub(super) height: usize,
    /// How far strands are known beyond it, for the hairs that reach in.
    pub(super) beyond: usize,
    /// Height toward the eye.
    pub(super) z: Vec<f32>,
    /// Place across the strand, or its light if that is known already.
    pub(super) u: Vec<f32>,
    pub(super) id: Vec<u32>,
    /// Which of `beneath` is a pixel's, counted from 1; 0: its strand covers it wholly.
    part: Vec<u32>,
    pub(super) pens: Vec<Pen>,
    pub(super) beneath: Vec<Beneath>,
    pub(super) columns: Columns,
    pub(super) rises: Rises,
    /// The pens of the rows, and of the ends.
    pub(super) rows: std::ops::Range<u32>,
    pub(super) ends: std::ops::Range<u32>,
}

impl Canvas {
    /// Begins anew: nothing but paper, this deep.
    pub(super) fn begin(
        &mut self,
        (x0, y0): (i32, i32),
        (width, height): (usize, usize),
        paper: Pen,
        depth: f32,
    ) {
        (self.x0, self.y0, self.width, self.height) = (x0, y0, width, height);
        let all = width * height;
        // Light is worked out in whole blocks, the last one a little beyond.
        fill(&mut self.z, all + WIDE, depth);
        fill(&mut self.u, all + WIDE, 1.0);
        fill(&mut self.id, all + WIDE, 0);
        fill(&mut self.part, all, 0);
        self.pens.clear();
        self.pens.push(paper);
        self.beneath.clear();
        self.columns.clear();
        self.rises.clear();
        (self.rows, self.ends) = (0..0, 0..0);
    }

    /// A pen whose light is known when it is put.
    pub(super) fn pen(&mut self, shown: Shown, ramp: usize) -> u32 {
        self.pens.push(Pen { kind: Kind::Lit, shown, ramp, seed: 0 });
        self.pens.len() as u32 - 1
    }

    /// Whether something within these bounds (left, low, right, high) may lie on it.
    pub(super) fn touches(&self, [left, low, right, high]: [f32; 4]) -> bool {
        let (x, y) = (self.x0 as f32, self.y0 as f32);
        right >= x && high >= y && left <= x + self.width as f32 && low <= y + self.height as f32
    }

    /// Its columns and lines within bounds: left, right, low, high.
    pub(super) fn within(&self, bounds: [f32; 4]) -> [usize; 4] {
        let column =
            |x: f32| ((x.floor() as i32).saturating_sub(self.x0)).clamp(0, self.width as i32) as usize;
        let line =
            |y: f32| ((y.floor() as i32).saturating_sub(self.y0)).clamp(0, self.height as i32) as usize;
        [column(bounds[0]), column(bounds[2] + 1.0), line(bounds[1]), line(bounds[3] + 1.0)]
    }

    /// Calls for each of its pixels within bounds but for those whose middle lies in an opening: with the pixel's middle and
    /// its number.
    pub(super) fn each_round(
        &mut self,
        bounds: [f32; 4],
        open: [f32; 4],
        mut visit: impl FnMut(&mut Canvas, f32, f32, usize),
    ) {
        let [left, right, low, high] = self.within(bounds);
        let column =
            |x: f32| ((x - 0.5).ceil() as i32).saturating_sub(self.x0).clamp(0, self.width as i32) as usize;
        let (from, to) = (column(open[0]).clamp(left, right), column(open[2]).clamp(left, right));
        for y in low..high {
            let middle = (self.y0 + y as i32) as f32 + 0.5;
            let (from, to) =
                if middle > open[1] && middle < open[3] { (from, to.max(from)) } else { (right, right) };
            for x in (left..from).chain(to..right) {
                visit(self, (self.x0 + x as i32) as f32 + 0.5, middle, y * self.width + x);
            }
        }
    }

    /// Whether something at this height would be seen at a pixel.
    #[inline]
    pub(super) fn in_front(&self, at: usize, z: f32) -> bool {
        z > self.z[at]
    }

    /// Puts a pixel whose light is known; `cover` is how much of it is covered.
    pub(super) fn put(&mut self, at: usize, z: f32, pen: u32, light: f32, cover: f32) {
        if self.id[at] == pen {
            if let Some(known) = self.partly(at) {
                known.cover = known.cover.max(cover);
            }
        } else if cover < 1.0 {
            let (below, u) = (self.id[at], self.u[at]);
            self.beneath.push(Beneath { at, top: pen, pen: below, u, z: self.z[at], cover });
            self.part[at] = self.beneath.len() as u32;
        } else {
            self.part[at] = 0;
        }
        self.z[at] = z;
        self.u[at] = light;
        self.id[at] = pen;
    }

    /// Puts a pixel behind what is there already: seen past its edge, if it covers the pixel only in part.
    pub(super) fn put_behind(&mut self, at: usize, z: f32, pen: u32, light: f32) {
        if self.id[at] != pen
            && let Some(known) = self.partly(at)
            && z > known.z
        {
            (known.pen, known.u, known.z) = (pen, light, z);
        }
    }

    fn partly(&mut self, at: usize) -> Option<&mut Beneath> {
        self.beneath.get_mut((self.part[at] as usize).wrapping_sub(1))
    }

    /// Whether a pixel's foremost strand covers it only in part.
    pub(super) fn is_part(&self, at: usize) -> bool {
        self.part[at] != 0
    }

    /// How much of a pixel its foremost strand covers.
    pub(super) fn cover(&self, at: usize) -> f32 {
        self.beneath.get((self.part[at] as usize).wrapping_sub(1)).map_or(1.0, |known| known.cover)
    }

    /// Enters a row.
    pub(super) fn row(&mut self, pen: Pen) {
        let Kind::Row { first, count, from, .. } = pen.kind else { return };
        let id = self.strand(pen, |canvas| &mut canvas.rows);
        // What of it lies on the canvas.
        let skip = self.x0.saturating_sub(first).clamp(0, count as i32) as usize;
        let x = first.saturating_sub(self.x0).clamp(0, self.width as i32) as usize;
        let count = (count - skip).min(self.width - x);
        let line =
            |y: f32| ((y.floor() as i32).saturating_sub(self.y0)).clamp(0, self.height as i32) as usize;
        // Block by block, since a row that swings is high in few places at a time.
        for at in (0..count).step_by(BLOCK) {
            let count = (count - at).min(BLOCK);
            let c = self.columns.part(from + skip + at, count);
            let (low, high) = bounds(c.y, c.up, c.down);
            let lines = line(low)..line(high + 1.0);
            if lines.is_empty() {
                continue;
            }
            let all = lines.start * self.width + x + at..;
            let (z, u, ids) = (&mut self.z[all.clone()], &mut self.u[all.clone()], &mut self.id[all]);
            let lowest = (self.y0 + lines.start as i32) as f32 + 0.5;
            enter_row((z, u, ids), (self.width, lines.len()), id, lowest, &c);
        }
    }

    /// Adds a pen, the next of its kind.
    fn strand(&mut self, pen: Pen, kind: impl Fn(&mut Canvas) -> &mut std::ops::Range<u32>) -> u32 {
        let id = self.pens.len() as u32;
        self.pens.push(pen);
        let all = kind(self);
        *all = (if all.start == all.end { id } else { all.start })..id + 1;
        id
    }

    /// Enters an end that is `half` px wide to either side, over some of the canvas's lines.
    pub(super) fn end(&mut self, pen: Pen, half: f32, lines: std::ops::Range<usize>) {
        let Kind::End { from, round } = pen.kind else { return };
        let id = self.strand(pen, |canvas| &mut canvas.ends);
        abreast!(self.end_lines(id, from, (half, round * half), lines));
    }

    #[inline(always)]
    fn end_lines(&mut self, id: u32, from: usize, (half, thick): (f32, f32), lines: std::ops::Range<usize>) {
        let reach = half * 1.2 + 1.0;
        let column =
            |x: f32| ((x.floor() as i32).saturating_sub(self.x0)).clamp(0, self.width as i32) as usize;
        for y in lines {
            let at = from + self.beyond + y;
            let (middle, depth, inv) = (self.rises.x[at], self.rises.z[at], self.rises.inv[at]);
            let (left, right) = (column(middle - reach), column(middle + reach + 1.0));
            // In whole blocks, the last of which may go on into the next line.
            let a = y * self.width + left;
            let b = a + (right - left).next_multiple_of(WIDE);
            let (z, u, ids) = (&mut self.z[a..b], &mut self.u[a..b], &mut self.id[a..b]);
            let first = self.x0 + left as i32;
            let blocks = z.as_chunks_mut::<WIDE>().0.iter_mut().zip(u.as_chunks_mut::<WIDE>().0);
            for (nth, ((z, u), ids)) in blocks.zip(ids.as_chunks_mut::<WIDE>().0).enumerate() {
                let part = ((nth * WIDE) as i32, (right - left) as i32);
                enter_end(z, u, ids, id, part, (first, middle, inv), (depth, thick));
            }
        }
    }
}

/// All bits, or none. With masks instead of branches a loop goes abreast.
#[inline(always)]
fn mask(yes: bool) -> u32 {
    0_u32.wrapping_sub(u32::from(yes))
}

#[inline(always)]
fn either(mask: u32, a: u32, b: u32) -> u32 {
    (a & mask) | (b & !mask)
}

/// How steeply a strand falls away beyond its edge: it can't be seen there, and no branch is needed to say so.
const CLIFF: f32 = 1e7;

/// How far down and up columns reach at most.
fn bounds(ys: &[f32], ups: &[f32], downs: &[f32]) -> (f32, f32) {
    let mut all = ([f32::INFINITY; TOGETHER], [f32::NEG_INFINITY; TOGETHER]);
    abreast!(bounds_of(ys, ups, downs, &mut all));
    let low = all.0.into_iter().fold(f32::INFINITY, least);
    (low, all.1.into_iter().fold(f32::NEG_INFINITY, most))
}

/// Columns whose widest reach is worked out at once: a quotient takes as long as all the rest, and near each other they
/// reach alike.
const ALIKE: usize = 4 * TOGETHER;

#[inline(always)]
fn bounds_of(ys: &[f32], ups: &[f32], downs: &[f32], (low, high): &mut ([f32; TOGETHER], [f32; TOGETHER])) {
    let chunks = ys.chunks(ALIKE).zip(ups.chunks(ALIKE)).zip(downs.chunks(ALIKE));
    for ((ys, ups), downs) in chunks {
        let (mut lowest, mut highest) = ([f32::INFINITY; TOGETHER], [f32::NEG_INFINITY; TOGETHER]);
        let (mut up, mut down) = ([f32::INFINITY; TOGETHER], [f32::INFINITY; TOGETHER]);
        let eights = ys.chunks(TOGETHER).zip(ups.chunks(TOGETHER)).zip(downs.chunks(TOGETHER));
        for ((ys, ups), downs) in eights {
            for (k, ((&y, &one_up), &one_down)) in ys.iter().zip(ups).zip(downs).enumerate() {
                (lowest[k], highest[k]) = (least(lowest[k], y), most(highest[k], y));
                (up[k], down[k]) = (least(up[k], one_up), least(down[k], one_down));
            }
        }
        for k in 0..TOGETHER {
            low[k] = least(low[k], lowest[k] - 1.0 / down[k]);
            high[k] = most(high[k], highest[k] + 1.0 / up[k]);
        }
    }
}

/// Enters lines of a row, each `wide` px after the one below.
fn enter_row(
    (z, u, ids): (&mut [f32], &mut [f32], &mut [u32]),
    (wide, lines): (usize, usize),
    id: u32,
    lowest: f32,
    c: &Part<'_>,
) {
    let count = c.y.len();
    abreast!({
        for line in 0..lines {
            let part = line * wide..line * wide + count;
            let (z, u, ids) = (&mut z[part.clone()], &mut u[part.clone()], &mut ids[part]);
            row_line(z, u, ids, id, lowest + line as i32 as f32, c.y, c.up, c.down, c.z, c.thick);
        }
    });
}

#[inline(always)]
#[expect(
    clippy::too_many_arguments,
    reason = "each slice by itself, so that none is taken to overlap another"
)]
fn row_line(
    z: &mut [f32],
    u: &mut [f32],
    ids: &mut [u32],
    id: u32,
    middle: f32,
    ys: &[f32],
    ups: &[f32],
    downs: &[f32],
    depths: &[f32],
    thicks: &[f32],
) {
    let count = z.len();
    let (u, ids) = (&mut u[..count], &mut ids[..count]);
    let (ys, ups, downs) = (&ys[..count], &ups[..count], &downs[..count]);
    let (depths, thicks) = (&depths[..count], &thicks[..count]);
    for k in 0..count {
        let off = middle - ys[k];
        let across = most(off, 0.0) * ups[k] + least(off, 0.0) * downs[k];
        let square = 1.0 - across * across;
        let height = depths[k] + thicks[k] * most(square, 0.0).sqrt() + least(square, 0.0) * CLIFF;
        let wins = mask(height > z[k]);
        z[k] = f32::from_bits(either(wins, height.to_bits(), z[k].to_bits()));
        u[k] = f32::from_bits(either(wins, across.to_bits(), u[k].to_bits()));
        ids[k] = either(wins, id, ids[k]);
    }
}

/// Enters a block of an end, so many px from where it begins (the number of that px, and where its middle is); so many it
/// has in all. Each px is measured from its own number, so that it is the same in whichever piece it lies.
#[inline(always)]
fn enter_end(
    z: &mut [f32; WIDE],
    u: &mut [f32; WIDE],
    ids: &mut [u32; WIDE],
    id: u32,
    (from, count): (i32, i32),
    (first, middle, inv): (i32, f32, f32),
    (depth, thick): (f32, f32),
) {
    for k in 0..WIDE {
        let px = from + k as i32;
        let across = (middle - ((first + px) as f32 + 0.5)) * inv;
        let square = 1.0 - across * across;
        let height = depth + thick * most(square, 0.0).sqrt() + least(square, 0.0) * CLIFF;
        let wins = mask((height > z[k]) & (px < count));
        z[k] = f32::from_bits(either(wins, height.to_bits(), z[k].to_bits()));
        u[k] = f32::from_bits(either(wins, across.to_bits(), u[k].to_bits()));
        ids[k] = either(wins, id, ids[k]);
    }
}

fn fill<T: Copy>(buffer: &mut Vec<T>, count: usize, value: T) {
    buffer.clear();
    buffer.resize(count, value);
}
