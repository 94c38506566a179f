//! A set of strands, packed like the grid so that a word of it meets a word of arcs.

/// A row by its number, or an end by its number after all rows.
pub(super) type Strand = usize;

const WORD: usize = u64::BITS as usize;

/// Numbers from 0, 64 in a word, and above them which words hold any, so that a search for what is left in a
/// nearly empty set passes 64 words at a time.
pub(super) struct Bits {
    words: Vec<u64>,
    any: Vec<u64>,
}

impl Bits {
    fn new(count: usize) -> Bits {
        let words = count.div_ceil(WORD);
        Bits { words: vec![0; words], any: vec![0; words.div_ceil(WORD)] }
    }

    /// The word at a place; 0 beyond the last.
    pub(super) fn word(&self, at: usize) -> u64 {
        self.words.get(at).copied().unwrap_or_default()
    }

    /// The first word from a place on that holds any, with its place.
    pub(super) fn next_word(&self, from: usize) -> Option<(usize, u64)> {
        let mut group = from / WORD;
        let mut places = self.any.get(group)? & (u64::MAX << (from % WORD));
        while places == 0 {
            group += 1;
            places = *self.any.get(group)?;
        }
        let at = group * WORD + places.trailing_zeros() as usize;
        Some((at, self.word(at)))
    }

    fn put(&mut self, number: usize, within: bool) {
        let at = number / WORD;
        let (Some(word), Some(any)) = (self.words.get_mut(at), self.any.get_mut(at / WORD)) else { return };
        let (bit, place) = (1 << (number % WORD), 1 << (at % WORD));
        *word = if within { *word | bit } else { *word & !bit };
        *any = if *word == 0 { *any & !place } else { *any | place };
    }
}

/// Rows and ends.
pub(super) struct StrandSet {
    pub(super) rows: Bits,
    pub(super) ends: Bits,
    first_end: Strand,
}

impl StrandSet {
    pub(super) fn new(rows: u32, ends: u32) -> StrandSet {
        let (rows, ends) = (rows as usize, ends as usize);
        StrandSet { rows: Bits::new(rows), ends: Bits::new(ends), first_end: rows }
    }

    pub(super) fn insert(&mut self, strands: &[Strand]) {
        self.put(strands, true);
    }

    pub(super) fn remove(&mut self, strands: &[Strand]) {
        self.put(strands, false);
    }

    fn put(&mut self, strands: &[Strand], within: bool) {
        for &strand in strands {
            match strand.checked_sub(self.first_end) {
                Some(end) => self.ends.put(end, within),
                None => self.rows.put(strand, within),
            }
        }
    }
}
