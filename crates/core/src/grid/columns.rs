//! A grid seen end by end.

use super::{Grid, Row, WORD, bits};
use crate::side::{Pass, Span};

/// The crossings of a grid end by end: row `r` is bit `r % 64` of word `r / 64`, all columns equally long,
/// bits past the last row 0.
///
/// The rows that cross an end need not follow each other, so a column has a second set of bits that says
/// which rows do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    ends: u32,
    rows: u32,
    stride: usize,
    over: Vec<u64>,
    /// One column for every end, or a single one for all of them if every row covers every end.
    woven: Vec<u64>,
    woven_step: usize,
}

impl Columns {
    pub(super) fn of(grid: &Grid) -> Columns {
        let (ends, rows) = (grid.ends, grid.rows());
        let stride = bits::words_for(rows);
        let over = transposed(grid, stride, |row, at| row.word(at, Pass::Over));
        let (woven, woven_step) = if grid.is_full() {
            let all = |at| Span::all(rows).map_or(0, |all| bits::mask(all, at));
            ((0..stride).map(all).collect(), 0)
        } else {
            (transposed(grid, stride, |row, at| bits::mask(row.span, at)), stride)
        };
        Columns { ends, rows, stride, over, woven, woven_step }
    }

    /// How many ends there are.
    #[must_use]
    pub fn ends(&self) -> u32 {
        self.ends
    }

    /// How many rows there are.
    #[must_use]
    pub fn rows(&self) -> u32 {
        self.rows
    }

    /// The rows that go over an end; empty if there is no such end.
    #[must_use]
    pub fn over(&self, end: u32) -> &[u64] {
        self.column(&self.over, self.stride, end)
    }

    /// The rows that cross an end, over or under; empty if there is no such end.
    #[must_use]
    pub fn woven(&self, end: u32) -> &[u64] {
        self.column(&self.woven, self.woven_step, end)
    }

    /// The rows of word `at` that pass an end so.
    #[must_use]
    pub fn word(&self, end: u32, at: usize, pass: Pass) -> u64 {
        let word = |words: &[u64]| words.get(at).copied().unwrap_or_default();
        match pass {
            Pass::Over => word(self.over(end)),
            Pass::Under => word(self.woven(end)) & !word(self.over(end)),
        }
    }

    fn column<'a>(&self, words: &'a [u64], step: usize, end: u32) -> &'a [u64] {
        if end >= self.ends {
            return &[];
        }
        let start = end as usize * step;
        &words[start..start + self.stride]
    }
}

/// Blocks to each side of a tile: as many as there are words in 64 bytes.
const TILE: usize = 8;

/// Turns the words that `word` gives for each row over the diagonal, in blocks of 64 by 64 bits, and those in
/// tiles: whatever is fetched from far apart, words of rows that follow each other or words of columns that
/// do, is fetched 64 bytes at a time, once.
fn transposed(grid: &Grid, stride: usize, word: impl Fn(Row<'_>, usize) -> u64) -> Vec<u64> {
    const SIDE: usize = WORD as usize;
    let mut out = vec![0; grid.ends as usize * stride];
    let rows: Vec<Row<'_>> = grid.iter().collect();
    // For each column of a tile, its words.
    let mut tile = vec![[0; TILE]; TILE * SIDE];
    for (down, rows) in rows.chunks(TILE * SIDE).enumerate() {
        for first in (0..grid.stride).step_by(TILE) {
            for (at, rows) in rows.chunks(SIDE).enumerate() {
                let mut blocks = [[0; SIDE]; TILE];
                for (r, &row) in rows.iter().enumerate() {
                    for (across, block) in (first..).zip(&mut blocks) {
                        block[r] = word(row, across);
                    }
                }
                for (block, columns) in blocks.iter_mut().zip(tile.chunks_exact_mut(SIDE)) {
                    // Most words of a cloth are covered by all 64 rows or by none.
                    if *block != [0; SIDE] && *block != [u64::MAX; SIDE] {
                        bits::transpose(block);
                    }
                    columns.iter_mut().zip(block).for_each(|(column, bits)| column[at] = *bits);
                }
            }
            let words = rows.len().div_ceil(SIDE);
            let columns = out.chunks_exact_mut(stride).skip(first * SIDE);
            for (column, bits) in columns.zip(&tile) {
                column[down * TILE..][..words].copy_from_slice(&bits[..words]);
            }
        }
    }
    out
}
