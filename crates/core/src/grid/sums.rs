//! How many crossings go over, counted for all rows and all ends in one reading.
//!
//! The ends are counted 64 at a time in sliced counters: the counters' lowest bits lie together in one row of
//! words, their second bits in the next, and so on. Full adders then take whole words (carry-save addition;
//! Warren, *Hacker's Delight*, section 5-1, from memory).

use super::{Grid, WORD, bits};

/// How many crossings go over: of each row, and of each end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sums {
    /// For each row from the bottom, how many ends it goes over.
    pub of_rows: Vec<u32>,
    /// For each end from the left, how many rows go over it.
    pub of_ends: Vec<u32>,
}

impl Sums {
    pub(super) fn of(grid: &Grid) -> Sums {
        let mut of_rows = Vec::with_capacity(grid.spans.len());
        let mut counters = Counters::new(grid.stride);
        if grid.stride > 0 {
            let mut blocks = grid.words.chunks_exact(BLOCK * grid.stride);
            for block in &mut blocks {
                of_rows.extend(block.chunks_exact(grid.stride).map(ones));
                counters.add_block(block);
            }
            for row in blocks.remainder().chunks_exact(grid.stride) {
                of_rows.push(ones(row));
                counters.add_row(row);
            }
        }
        Sums { of_rows, of_ends: counters.read(grid.ends) }
    }
}

fn ones(row: &[u64]) -> u32 {
    row.iter().map(|word| word.count_ones()).sum()
}

/// Rows added to the counters in one go.
const BLOCK: usize = 16;
/// The level at which a block's carry arrives: 2 to this power is [`BLOCK`].
const BLOCK_LEVEL: usize = 4;
/// Words added side by side.
const LANES: usize = 4;

/// One bit of every counter.
struct Level {
    bit: Vec<u64>,
    /// A second number of the same weight, put aside until a third one comes: two such become one carry, so
    /// that each level is touched half as often as the one below it.
    aside: Vec<u64>,
    has_aside: bool,
}

struct Counters {
    stride: usize,
    levels: Vec<Level>,
    carry: Vec<u64>,
}

impl Counters {
    fn new(stride: usize) -> Counters {
        let mut counters = Counters { stride, levels: Vec::new(), carry: vec![0; stride] };
        for _ in 0..BLOCK_LEVEL {
            counters.grow();
        }
        counters
    }

    fn grow(&mut self) {
        let zeros = || vec![0; self.stride];
        self.levels.push(Level { bit: zeros(), aside: zeros(), has_aside: false });
    }

    fn add_row(&mut self, row: &[u64]) {
        self.carry.copy_from_slice(row);
        self.carry_into(0);
    }

    /// Adds 16 rows that follow each other.
    fn add_block(&mut self, block: &[u64]) {
        if let [one, two, four, eight, ..] = &mut self.levels[..] {
            let levels = [&mut one.bit, &mut two.bit, &mut four.bit, &mut eight.bit].map(|bit| &mut bit[..]);
            add_sixteen(block, self.stride, levels, &mut self.carry);
        }
        self.carry_into(BLOCK_LEVEL);
    }

    /// Adds what `carry` holds at a level, and what that makes at the levels above.
    fn carry_into(&mut self, from: usize) {
        for at in from.. {
            if at == self.levels.len() {
                self.grow();
            }
            let level = &mut self.levels[at];
            level.has_aside = !level.has_aside;
            if level.has_aside {
                level.aside.copy_from_slice(&self.carry);
                return;
            }
            let numbers = level.bit.iter_mut().zip(&mut level.aside).zip(&mut self.carry);
            for ((bit, aside), carry) in numbers {
                ([*bit], [*carry]) = full_add([*bit], [*aside], [*carry]);
                *aside = 0;
            }
        }
    }

    /// The counts of the first `ends` counters.
    fn read(&self, ends: u32) -> Vec<u32> {
        let mut counts = Vec::with_capacity(ends as usize);
        for at in 0..self.stride {
            // Turned over, a word holds one counter: its bits below, what was put aside above. No count has
            // more than 32 bits, as there are not more rows.
            let mut block = [0; WORD as usize];
            let (below, above) = block.split_at_mut(WORD as usize / 2);
            for (level, (bit, aside)) in self.levels.iter().zip(below.iter_mut().zip(above)) {
                (*bit, *aside) = (level.bit[at], level.aside[at]);
            }
            bits::transpose(&mut block);
            counts.extend(block.map(|word| (word as u32) + (word >> 32) as u32));
        }
        counts.truncate(ends as usize);
        counts
    }
}

/// Adds 16 rows to the four lowest bits of the counters; `carry` receives what goes to the fifth.
fn add_sixteen(block: &[u64], stride: usize, levels: [&mut [u64]; BLOCK_LEVEL], carry: &mut [u64]) {
    let wide = stride / LANES * LANES;
    let [one, two, four, eight] = levels;
    let mut at = 0;
    while at < wide {
        add_lanes::<LANES>(block, stride, at, [one, two, four, eight], carry);
        at += LANES;
    }
    while at < stride {
        add_lanes::<1>(block, stride, at, [one, two, four, eight], carry);
        at += 1;
    }
}

#[inline(always)]
fn add_lanes<const N: usize>(
    block: &[u64],
    stride: usize,
    at: usize,
    levels: [&mut [u64]; BLOCK_LEVEL],
    carry: &mut [u64],
) {
    let row = |k: usize| load::<N>(block, k * stride + at);
    let [one, two, four, eight] = levels;
    let (mut b1, mut b2, mut b4, b8) = (load(one, at), load(two, at), load(four, at), load(eight, at));
    let mut eights = [[0; N]; 2];
    for (half, to) in eights.iter_mut().enumerate() {
        let mut fours = [[0; N]; 2];
        for (quarter, to) in fours.iter_mut().enumerate() {
            let first = 8 * half + 4 * quarter;
            let (s, twos_a) = full_add(b1, row(first), row(first + 1));
            let (s, twos_b) = full_add(s, row(first + 2), row(first + 3));
            b1 = s;
            (b2, *to) = full_add(b2, twos_a, twos_b);
        }
        (b4, *to) = full_add(b4, fours[0], fours[1]);
    }
    let (b8, sixteens) = full_add(b8, eights[0], eights[1]);
    for (to, value) in [(one, b1), (two, b2), (four, b4), (eight, b8), (carry, sixteens)] {
        to[at..at + N].copy_from_slice(&value);
    }
}

#[inline(always)]
fn load<const N: usize>(words: &[u64], at: usize) -> [u64; N] {
    let mut lanes = [0; N];
    lanes.copy_from_slice(&words[at..at + N]);
    lanes
}

/// Three numbers of one bit become one of two bits, in every place of every word: `(sum, carry)`.
#[inline(always)]
fn full_add<const N: usize>(a: [u64; N], b: [u64; N], c: [u64; N]) -> ([u64; N], [u64; N]) {
    let (mut sum, mut carry) = ([0; N], [0; N]);
    for k in 0..N {
        let half = a[k] ^ b[k];
        sum[k] = half ^ c[k];
        carry[k] = (a[k] & b[k]) | (half & c[k]);
    }
    (sum, carry)
}
