//! A set of strands, packed like the grid so that a word of it meets a word of arcs.

use super::arcs::Strand;

/// Rows and ends by their numbers, 64 in a word.
pub(super) struct StrandSet {
    pub(super) rows: Vec<u64>,
    pub(super) ends: Vec<u64>,
    first_end: Strand,
}

impl StrandSet {
    pub(super) fn new(rows: u32, ends: u32) -> StrandSet {
        let words = |strands: u32| vec![0; strands.div_ceil(u64::BITS) as usize];
        StrandSet { rows: words(rows), ends: words(ends), first_end: rows as Strand }
    }

    pub(super) fn insert(&mut self, strands: &[Strand]) {
        self.change(strands, |word, bit| *word |= bit);
    }

    pub(super) fn remove(&mut self, strands: &[Strand]) {
        self.change(strands, |word, bit| *word &= !bit);
    }

    fn change(&mut self, strands: &[Strand], to: impl Fn(&mut u64, u64)) {
        for &strand in strands {
            let (words, at) = match strand.checked_sub(self.first_end) {
                Some(end) => (&mut self.ends, end),
                None => (&mut self.rows, strand),
            };
            if let Some(word) = words.get_mut(at / u64::BITS as usize) {
                to(word, 1 << (at % u64::BITS as usize));
            }
        }
    }
}
