//! Bits of a row in words of 64: the only place that knows how they lie.

use super::WORD;
use crate::side::{Pass, Side, Span};
use crate::weave::Run;

/// How many words hold so many bits.
pub(super) fn words_for(bits: u32) -> usize {
    bits.div_ceil(WORD) as usize
}

/// The bits of `span` that lie in the word at `at`.
pub(super) fn mask(span: Span, at: usize) -> u64 {
    let (first, last) = (span.first() as usize, span.last() as usize);
    let start = at * WORD as usize;
    let end = start + WORD as usize - 1;
    if last < start || first > end {
        return 0;
    }
    let from = u64::MAX << first.saturating_sub(start);
    let to = u64::MAX >> end.saturating_sub(last);
    from & to
}

pub(super) fn get(words: &[u64], bit: u32) -> bool {
    words.get((bit / WORD) as usize).is_some_and(|word| word >> (bit % WORD) & 1 == 1)
}

pub(super) fn set(words: &mut [u64], bit: u32, to: bool) {
    if let Some(word) = words.get_mut((bit / WORD) as usize) {
        let one = 1 << (bit % WORD);
        *word = if to { *word | one } else { *word & !one };
    }
}

pub(super) fn set_range(words: &mut [u64], range: Span, to: bool) {
    for at in (range.first() / WORD) as usize..=(range.last() / WORD) as usize {
        let bits = mask(range, at);
        if let Some(word) = words.get_mut(at) {
            *word = if to { *word | bits } else { *word & !bits };
        }
    }
}

/// The first bit of `range`, met from `from`, that is set in what `word` gives for each word's place.
fn first_set(range: Span, from: Side, word: impl Fn(usize) -> u64) -> Option<u32> {
    let within = |at: u32| word(at as usize) & mask(range, at as usize);
    let mut places = range.first() / WORD..=range.last() / WORD;
    match from {
        Side::Left => places.find_map(|at| {
            let bits = within(at);
            (bits != 0).then(|| at * WORD + bits.trailing_zeros())
        }),
        Side::Right => places.rev().find_map(|at| {
            let bits = within(at);
            (bits != 0).then(|| at * WORD + (WORD - 1 - bits.leading_zeros()))
        }),
    }
}

/// The first bit of `range`, met from `from`, in which the two differ.
pub(super) fn first_difference(a: &[u64], b: &[u64], range: Span, from: Side) -> Option<u32> {
    let word = |words: &[u64], at: usize| words.get(at).copied().unwrap_or_default();
    first_set(range, from, |at| word(a, at) ^ word(b, at))
}

/// The runs of alike bits within a span, from one of its sides.
pub(super) struct Runs<'a> {
    words: &'a [u64],
    rest: Option<Span>,
    from: Side,
}

impl<'a> Runs<'a> {
    pub(super) fn new(words: &'a [u64], span: Span, from: Side) -> Runs<'a> {
        Runs { words, rest: Some(span), from }
    }
}

impl Iterator for Runs<'_> {
    type Item = Run;

    fn next(&mut self) -> Option<Run> {
        let rest = self.rest?;
        let over = get(self.words, rest.edge(self.from));
        let flip = if over { u64::MAX } else { 0 };
        let word = |at: usize| self.words.get(at).copied().unwrap_or_default() ^ flip;
        let next = first_set(rest, self.from, word);
        self.rest = next.and_then(|next| match self.from {
            Side::Left => Span::new(next, rest.last()),
            Side::Right => Span::new(rest.first(), next),
        });
        let ends = rest.len() - self.rest.map_or(0, Span::len);
        Some(Run { pass: Pass::from_bit(over), ends })
    }
}

/// Turns a block of 64 x 64 bits over its diagonal: bit `c` of word `r` becomes bit `r` of word `c`.
///
/// Quarters are exchanged, then quarters of quarters, down to single bits (the recursive exchange in Warren,
/// *Hacker's Delight*, section 7-3; from memory).
pub(super) fn transpose(block: &mut [u64; 64]) {
    exchange::<32>(block, 0x0000_0000_ffff_ffff);
    exchange::<16>(block, 0x0000_ffff_0000_ffff);
    exchange::<8>(block, 0x00ff_00ff_00ff_00ff);
    exchange::<4>(block, 0x0f0f_0f0f_0f0f_0f0f);
    exchange::<2>(block, 0x3333_3333_3333_3333);
    exchange::<1>(block, 0x5555_5555_5555_5555);
}

/// In each square of `2 * SIZE` bits exchanges the two quarters off the diagonal; `low` has the bits of the
/// left quarters.
#[inline(always)]
fn exchange<const SIZE: usize>(block: &mut [u64; 64], low: u64) {
    for first in (0..64).step_by(2 * SIZE) {
        for at in first..first + SIZE {
            let swap = ((block[at] >> SIZE) ^ block[at + SIZE]) & low;
            block[at] ^= swap << SIZE;
            block[at + SIZE] ^= swap;
        }
    }
}
