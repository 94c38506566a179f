//! Edges of strands made smooth, by mixing with what lies beside in the share that a strand covers of its last pixel.

use super::abreast::abreast;
use super::ramp::{least, mix};
use super::shade::{Inner, Shades};
use super::tile::Canvas;

/// Pixels that are looked at together.
const EIGHT: usize = 8;
/// As many pixels of eight must lie at edges for all to be mixed abreast: fewer are mixed one by one.
const ENOUGH: u32 = 3;

impl Shades {
    /// Makes the edges of rows and ends smooth and writes the inner part.
    pub(super) fn smooth(&mut self, canvas: &Canvas, inner: Inner, out: &mut [u32]) {
        let width = canvas.width;
        let mut beside = std::mem::take(&mut self.beside);
        beside.resize(inner.width.next_multiple_of(EIGHT), 0);
        for (line, out) in out.chunks_mut(inner.width).take(inner.height).enumerate() {
            let from = (inner.y + line) * width + inner.x;
            let count = out.len();
            out.copy_from_slice(&self.colours[from..from + count]);
            let part = |at: usize| &canvas.id[at..at + count];
            let (up, down, left, right) =
                (part(from + width), part(from - width), part(from - 1), part(from + 1));
            abreast!({
                differ(part(from), [up, down, left, right], &mut beside[..count]);
                self.edges(canvas, from, &beside, out);
            });
        }
        self.beside = beside;
    }

    /// Mixes the pixels of a line that lie beside another strand.
    #[inline(always)]
    fn edges(&self, canvas: &Canvas, from: usize, beside: &[u8], out: &mut [u32]) {
        // Most lie amid their strand: they are passed over eight at a time.
        for (nth, eight) in beside.as_chunks::<EIGHT>().0.iter().enumerate() {
            let mut set = u64::from_le_bytes(*eight);
            let first = nth * EIGHT;
            if set.count_ones() >= ENOUGH
                && let Some(out) = out.get_mut(first..first + EIGHT)
            {
                out.copy_from_slice(&self.edge::<EIGHT>(canvas, from + first));
                continue;
            }
            while set != 0 {
                let k = first + (set.trailing_zeros() / 8) as usize;
                set &= set - 1;
                if let Some(out) = out.get_mut(k) {
                    [*out] = self.edge::<1>(canvas, from + k);
                }
            }
        }
    }

    /// Pixels side by side, mixed with what lies beside them above, below and to either side.
    #[inline(always)]
    fn edge<const N: usize>(&self, canvas: &Canvas, at: usize) -> [u32; N] {
        let width = canvas.width;
        let (id, u, z) =
            (near::<u32, N>(&canvas.id, at), near::<f32, N>(&canvas.u, at), near::<f32, N>(&canvas.z, at));
        let own: [u32; N] = near(&self.colours, at);
        let mut colour = own;
        // Read here, or eight lanes would each look it up by themselves.
        let close = self.close;
        // Up, down, left, right; rows end up and down, ends left and right.
        let sides = [
            (at + width, &canvas.rows, 1.0),
            (at - width, &canvas.rows, -1.0),
            (at - 1, &canvas.ends, 1.0),
            (at + 1, &canvas.ends, -1.0),
        ];
        for (beside, kind, sign) in sides {
            let other: [u32; N] = near(&canvas.id, beside);
            if other == id {
                continue;
            }
            let of_kind = |id: u32| (id >= kind.start) & (id < kind.end);
            let (its_u, its_z) = (near::<f32, N>(&canvas.u, beside), near::<f32, N>(&canvas.z, beside));
            let its_colour: [u32; N] = near(&self.colours, beside);
            // How wide a gap between the two is, 0 if they touch; how much of the pixel stays its own; how much stays where
            // the other reaches in.
            let (mut gaps, mut keeps, mut entered) = ([0.0; N], [0.0; N], [0.0; N]);
            for k in 0..N {
                // How far within their own edges the two pixels lie, where these face each other.
                let (reach, across) = (u[k] * sign, its_u[k] * -sign);
                let (ends_here, other_ends_here) = (of_kind(id[k]), of_kind(other[k]));
                let gap = 1.0 - reach - across;
                let (rest, in_it) = (0.5 - reach, across - 0.5);
                let differs = other[k] != id[k];
                let faces = differs & ends_here & other_ends_here & (reach > 0.0) & (across > 0.0);
                let apart = faces & (gap > 0.0);
                let meets = differs & !apart & !alike(own[k], its_colour[k]);
                let last = meets & ends_here & (reach > 0.0) & (rest > 0.0);
                let enters = meets & other_ends_here & (its_z[k] > z[k]) & (0.0..0.5).contains(&in_it);
                let dives = meets & !last & !enters & ((its_z[k] - z[k]).abs() < close);
                let crevice = apart & (rest > 0.0);
                gaps[k] = if crevice { gap } else { 0.0 };
                let share = if last { 0.5 + reach } else { 1.0 };
                // Where one dives into the other there is no edge: the pixels beside share a little.
                let share = if dives { 0.8 } else { share };
                keeps[k] = if crevice { 1.0 - rest } else { share };
                entered[k] = if enters { in_it } else { 1.0 };
            }
            let mut second = its_colour;
            if gaps.iter().any(|&gap| gap > 0.0) {
                // A gap finer than a pixel shows as a crevice, by its share of what is left of the pixel.
                for k in 0..N {
                    let share = least(gaps[k] / (0.5 - u[k] * sign), 1.0);
                    let deep = mix(dim(own[k]), its_colour[k], share);
                    second[k] = if gaps[k] > 0.0 { deep } else { its_colour[k] };
                }
            }
            if keeps.iter().any(|&share| share < 1.0) {
                for k in 0..N {
                    colour[k] = mix(colour[k], second[k], keeps[k]);
                }
            }
            if entered.iter().any(|&share| share < 1.0) {
                for k in 0..N {
                    let mixed = mix(its_colour[k], colour[k], entered[k]);
                    colour[k] = if entered[k] < 1.0 { mixed } else { colour[k] };
                }
            }
        }
        colour
    }
}

/// Neighbours in a line.
#[inline(always)]
fn near<T: Copy + Default, const N: usize>(all: &[T], at: usize) -> [T; N] {
    let mut found = [T::default(); N];
    found.copy_from_slice(&all[at..at + N]);
    found
}

/// The colour of a crevice between strands of a colour.
#[inline(always)]
fn dim(colour: u32) -> u32 {
    ((colour >> 1) & 0x007f_7f7f) + ((colour >> 2) & 0x003f_3f3f)
}

/// Whether two colours are so alike that a mix of them is neither.
#[inline(always)]
fn alike(a: u32, b: u32) -> bool {
    (a ^ b) & 0x00f8_f8f8 == 0
}

/// Which pixels of a line are of another strand than one of those beside them.
#[inline(always)]
fn differ(ids: &[u32], [up, down, left, right]: [&[u32]; 4], out: &mut [u8]) {
    let count = out.len();
    let (ids, up, down) = (&ids[..count], &up[..count], &down[..count]);
    let (left, right) = (&left[..count], &right[..count]);
    for k in 0..count {
        let id = ids[k];
        out[k] = u8::from((up[k] ^ id) | (down[k] ^ id) | (left[k] ^ id) | (right[k] ^ id) != 0);
    }
}
