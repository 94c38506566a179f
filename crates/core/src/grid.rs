//! The grid of a cloth: which rows go over which ends, one bit a crossing.
//!
//! Rows are packed in 64-bit words so that whole rows can be compared, counted and searched 64 ends at a
//! time. A bit is `true` where the weft passes over the end, seen from the front. Each row covers a span of
//! ends of its own; outside it nothing is woven and the bits are 0, so that two rows are the same row exactly
//! if their spans and their words are the same.

mod bits;
mod columns;
mod sums;

pub use columns::Columns;
pub use sums::Sums;

use crate::side::{Pass, Side, Span};
use crate::weave::Run;

/// Ends in a word.
const WORD: u32 = u64::BITS;

/// Rows over ends, packed. Rows are counted from 0 at the bottom, ends from 0 at the left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    ends: u32,
    stride: usize,
    spans: Vec<Span>,
    words: Vec<u64>,
}

/// Why a row can't be added to a grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GridError {
    /// The row covers ends that the grid does not have.
    SpanOutside {
        /// What the row covers.
        span: Span,
        /// How many ends the grid has.
        ends: u32,
    },
    /// No grid has more than `u32::MAX` rows.
    TooManyRows,
}

/// One row of a grid. Two rows are equal if they cover the same ends and pass all of them alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row<'a> {
    span: Span,
    words: &'a [u64],
}

/// One row of a grid, to be written.
#[derive(Debug)]
pub struct RowMut<'a> {
    span: Span,
    words: &'a mut [u64],
}

impl Grid {
    /// A grid of `ends` ends and no rows yet.
    #[must_use]
    pub fn new(ends: u32) -> Grid {
        Grid { ends, stride: bits::words_for(ends), spans: Vec::new(), words: Vec::new() }
    }

    /// The same, with room for so many rows.
    #[must_use]
    pub fn with_capacity(ends: u32, rows: u32) -> Grid {
        let mut grid = Grid::new(ends);
        let rows = rows as usize;
        grid.spans.reserve(rows);
        grid.words.reserve(rows.saturating_mul(grid.stride));
        grid
    }

    /// Adds a row on top, under every end of `span`, and hands it out to be written.
    ///
    /// # Errors
    /// The span does not lie within the grid's ends, or there is no room for one more row.
    pub fn push_row(&mut self, span: Span) -> Result<RowMut<'_>, GridError> {
        if span.last() >= self.ends {
            return Err(GridError::SpanOutside { span, ends: self.ends });
        }
        if self.spans.len() >= u32::MAX as usize {
            return Err(GridError::TooManyRows);
        }
        let start = self.words.len();
        self.words.resize(start + self.stride, 0);
        self.spans.push(span);
        Ok(RowMut { span, words: &mut self.words[start..] })
    }

    /// Adds a row on top from words as [`Row::words`] gives them. Bits outside `span` are dropped; words
    /// that are missing count as under.
    ///
    /// # Errors
    /// As [`Grid::push_row`].
    pub fn push_words(&mut self, span: Span, words: &[u64]) -> Result<(), GridError> {
        let row = self.push_row(span)?;
        for (at, (to, from)) in row.words.iter_mut().zip(words).enumerate() {
            *to = from & bits::mask(span, at);
        }
        Ok(())
    }

    /// How many ends there are.
    #[must_use]
    pub fn ends(&self) -> u32 {
        self.ends
    }

    /// How many rows there are.
    #[must_use]
    pub fn rows(&self) -> u32 {
        // `push_row` lets in no more than fit.
        self.spans.len() as u32
    }

    /// Whether every row covers every end.
    #[must_use]
    pub fn is_full(&self) -> bool {
        Span::all(self.ends).is_none_or(|all| self.spans.iter().all(|&span| span == all))
    }

    /// A row, counted from 0 at the bottom; `None` if there is none of that number.
    #[must_use]
    pub fn row(&self, row: u32) -> Option<Row<'_>> {
        let at = row as usize;
        let span = *self.spans.get(at)?;
        Some(Row { span, words: &self.words[at * self.stride..(at + 1) * self.stride] })
    }

    /// A row, to be written; `None` if there is none of that number.
    pub fn row_mut(&mut self, row: u32) -> Option<RowMut<'_>> {
        let at = row as usize;
        let span = *self.spans.get(at)?;
        Some(RowMut { span, words: &mut self.words[at * self.stride..(at + 1) * self.stride] })
    }

    /// All rows from the bottom up.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = Row<'_>> + ExactSizeIterator {
        // A grid without ends has no rows; its stride of 0 would be no chunk.
        let chunks = self.words.chunks_exact(self.stride.max(1));
        self.spans.iter().zip(chunks).map(|(&span, words)| Row { span, words })
    }

    /// Whether a row goes over an end; `None` where it is not woven or where there is no such crossing.
    #[must_use]
    pub fn over(&self, row: u32, end: u32) -> Option<bool> {
        self.row(row)?.over(end)
    }

    /// The ends that a row covers; `None` if there is no such row.
    #[must_use]
    pub fn span(&self, row: u32) -> Option<Span> {
        self.spans.get(row as usize).copied()
    }

    /// The words of a row (see [`Row::words`]); empty if there is no such row.
    #[must_use]
    pub fn words(&self, row: u32) -> &[u64] {
        self.row(row).map_or(&[], |row| row.words)
    }

    /// The runs of a row in the order in which a needle that starts from `from` meets them; none if there
    /// is no such row.
    pub fn runs(&self, row: u32, from: Side) -> impl Iterator<Item = Run> + '_ {
        self.row(row).into_iter().flat_map(move |row| row.runs(from))
    }

    /// How many crossings go over, of each row and of each end, in one reading of the grid.
    #[must_use]
    pub fn sums(&self) -> Sums {
        Sums::of(self)
    }

    /// The same crossings end by end: what [`Grid`] is for rows, for ends.
    #[must_use]
    pub fn columns(&self) -> Columns {
        Columns::of(self)
    }
}

impl<'a> Row<'a> {
    /// The ends it covers.
    #[must_use]
    pub fn span(self) -> Span {
        self.span
    }

    /// Its bits: end `e` is bit `e % 64` (from the lowest) of word `e / 64`; 0 outside the span and past
    /// the last end.
    #[must_use]
    pub fn words(self) -> &'a [u64] {
        self.words
    }

    /// Whether it goes over an end; `None` where it is not woven.
    #[must_use]
    pub fn over(self, end: u32) -> Option<bool> {
        self.span.contains(end).then(|| bits::get(self.words, end))
    }

    /// How it passes an end; `None` where it is not woven.
    #[must_use]
    pub fn pass(self, end: u32) -> Option<Pass> {
        self.over(end).map(Pass::from_bit)
    }

    /// The ends of word `at` that it passes so: like [`Row::words`], but for under as well as for over.
    #[must_use]
    pub fn word(self, at: usize, pass: Pass) -> u64 {
        let over = self.words.get(at).copied().unwrap_or_default();
        match pass {
            Pass::Over => over,
            Pass::Under => bits::mask(self.span, at) & !over,
        }
    }

    /// How many ends it goes over.
    #[must_use]
    pub fn ends_over(self) -> u32 {
        self.words.iter().map(|word| word.count_ones()).sum()
    }

    /// Its runs in the order in which a needle that starts from `from` meets them: neighbouring runs
    /// differ, and together they take exactly the ends of the span.
    pub fn runs(self, from: Side) -> impl Iterator<Item = Run> + 'a {
        bits::Runs::new(self.words, self.span, from)
    }

    /// The first end, met from `from`, that both rows cover and do not pass alike.
    #[must_use]
    pub fn first_difference(self, other: Row<'_>, from: Side) -> Option<u32> {
        let common = self.span.common(other.span)?;
        bits::first_difference(self.words, other.words, common, from)
    }
}

impl RowMut<'_> {
    /// The ends it covers.
    #[must_use]
    pub fn span(&self) -> Span {
        self.span
    }

    /// The row as it is now.
    #[must_use]
    pub fn as_row(&self) -> Row<'_> {
        Row { span: self.span, words: self.words }
    }

    /// Passes one end; nothing happens outside the span.
    pub fn set(&mut self, end: u32, pass: Pass) {
        if self.span.contains(end) {
            bits::set(self.words, end, pass.is_over());
        }
    }

    /// Passes the ends of a range alike; nothing happens outside the row's span.
    pub fn set_range(&mut self, range: Span, pass: Pass) {
        if let Some(range) = self.span.common(range) {
            bits::set_range(self.words, range, pass.is_over());
        }
    }

    /// Passes every end as the function says: `true` is over.
    pub fn fill(&mut self, mut over: impl FnMut(u32) -> bool) {
        for end in self.span.ends() {
            bits::set(self.words, end, over(end));
        }
    }

    /// Over where it went under and the reverse.
    pub fn exchange(&mut self) {
        for (at, word) in self.words.iter_mut().enumerate() {
            *word ^= bits::mask(self.span, at);
        }
    }
}

#[cfg(test)]
mod tests;
