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
        let mut counters = Counters::new(grid.stride, grid.rows());
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

/// How many bits of a row are set. In a long row eight pairs of words are added before any bits are counted.
fn ones(row: &[u64]) -> u32 {
    if row.len() < 4 * 8 * PAIR {
        return row.iter().map(|word| word.count_ones()).sum();
    }
    let mut eights = row.chunks_exact(8 * PAIR);
    let count = |pair: [u64; PAIR]| pair.map(u64::count_ones).iter().sum::<u32>();
    let mut total = 0;
    let (mut b1, mut b2, mut b4) = ([0; PAIR], [0; PAIR], [0; PAIR]);
    for words in &mut eights {
        let pair = |k: usize| load::<PAIR>(words, k * PAIR);
        let eight = add_eight(pair, [&mut b1, &mut b2, &mut b4]);
        total += 8 * count(eight);
    }
    let rest: u32 = eights.remainder().iter().map(|word| word.count_ones()).sum();
    total + rest + count(b1) + 2 * count(b2) + 4 * count(b4)
}

/// Rows added to the counters in one go.
const BLOCK: usize = 16;
/// The level at which a block's carry arrives: 2 to this power is [`BLOCK`].
const BLOCK_LEVEL: usize = 4;
/// Words of a column of rows added side by side.
const LANES: usize = 4;
/// Words of a row added side by side.
const PAIR: usize = 2;

/// A counter for each end, sliced: level `k` holds bit `k` of all of them.
struct Counters {
    stride: usize,
    /// Level after level, a bit for each end.
    bits: Vec<u64>,
    /// A second number for each level, of the same weight, put aside until a third one comes: two of them
    /// become one carry, so that each level is touched half as often as the one below it.
    aside: Vec<u64>,
    /// Which levels have something put aside: bit `k` for level `k`. As one row more is added to all
    /// counters at a time, this is the number of rows added.
    added: u32,
    carry: Vec<u64>,
}

impl Counters {
    /// Counters for rows of `stride` words, `rows` of them at most.
    fn new(stride: usize, rows: u32) -> Counters {
        let levels = ((u32::BITS - rows.leading_zeros()) as usize).max(BLOCK_LEVEL);
        let zeros = |words| vec![0; words];
        let (bits, aside) = (zeros(levels * stride), zeros(levels * stride));
        Counters { stride, bits, aside, added: 0, carry: zeros(stride) }
    }

    fn add_row(&mut self, row: &[u64]) {
        self.carry.copy_from_slice(row);
        self.carry_into(0);
    }

    /// Adds 16 rows that follow each other. Nothing may be put aside below the level of a block.
    fn add_block(&mut self, block: &[u64]) {
        let (one, rest) = self.bits.split_at_mut(self.stride);
        let (two, rest) = rest.split_at_mut(self.stride);
        let (four, rest) = rest.split_at_mut(self.stride);
        let (eight, _) = rest.split_at_mut(self.stride);
        add_sixteen(block, self.stride, [one, two, four, eight], &mut self.carry);
        self.carry_into(BLOCK_LEVEL);
    }

    /// Adds what `carry` holds at a level, and what that makes at the levels above.
    fn carry_into(&mut self, from: usize) {
        let levels = self.bits.chunks_exact_mut(self.stride).zip(self.aside.chunks_exact_mut(self.stride));
        for (at, (bits, aside)) in levels.enumerate().skip(from) {
            let weight = 1 << at;
            self.added ^= weight;
            if self.added & weight != 0 {
                aside.copy_from_slice(&self.carry);
                return;
            }
            for ((bit, aside), carry) in bits.iter_mut().zip(aside).zip(&mut self.carry) {
                ([*bit], [*carry]) = full_add([*bit], [*aside], [*carry]);
                *aside = 0;
            }
        }
    }

    /// The counts of the first `ends` counters.
    fn read(&self, ends: u32) -> Vec<u32> {
        let mut counts = Vec::with_capacity(self.stride * WORD as usize);
        for at in 0..self.stride {
            // Turned over, a word holds one counter: its bits below, what was put aside above. No count has
            // more than 32 bits, as there are not more rows.
            let mut block = [0; WORD as usize];
            let (below, above) = block.split_at_mut(WORD as usize / 2);
            let level = |words: &'_ [u64], to: &mut [u64]| {
                let of_levels = words.iter().skip(at).step_by(self.stride);
                to.iter_mut().zip(of_levels).for_each(|(to, &word)| *to = word);
            };
            level(&self.bits, below);
            level(&self.aside, above);
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
    let [one, two, four, eight] = levels;
    let (mut b1, mut b2, mut b4, b8) = (load(one, at), load(two, at), load(four, at), load(eight, at));
    let mut add = |first: usize| {
        let row = |k: usize| load::<N>(block, (first + k) * stride + at);
        add_eight(row, [&mut b1, &mut b2, &mut b4])
    };
    let (lower, upper) = (add(0), add(8));
    let (b8, sixteens) = full_add(b8, lower, upper);
    for (to, value) in [(one, b1), (two, b2), (four, b4), (eight, b8), (carry, sixteens)] {
        to[at..at + N].copy_from_slice(&value);
    }
}

/// Adds eight numbers of one bit to three bits of a counter and gives what goes to the fourth.
#[inline(always)]
fn add_eight<const N: usize>(number: impl Fn(usize) -> [u64; N], levels: [&mut [u64; N]; 3]) -> [u64; N] {
    let [b1, b2, b4] = levels;
    let mut add_two = |first: usize| {
        let (sum, carry) = full_add(*b1, number(first), number(first + 1));
        *b1 = sum;
        carry
    };
    let mut add_four = |first: usize| {
        let (sum, carry) = full_add(*b2, add_two(first), add_two(first + 2));
        *b2 = sum;
        carry
    };
    let (sum, carry) = full_add(*b4, add_four(0), add_four(4));
    *b4 = sum;
    carry
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
