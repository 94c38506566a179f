//! Rows that come again: a weaver who has woven some rows need only be told which of them come next.
//!
//! Which rows are alike is for whoever tells them to say; here it is found how few have to be told.

use std::ops::Range;

/// Some rows, told one way or the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Told {
    /// A row that is told itself.
    Row(u32),
    /// Rows that are as others before them, which come again and again where they are fewer; the last time perhaps only
    /// the first of them.
    Again {
        /// The rows that are told so.
        rows: Range<u32>,
        /// The rows that they are as.
        of: Range<u32>,
    },
}

impl Told {
    /// The rows that are told by it.
    #[must_use]
    pub fn rows(&self) -> Range<u32> {
        match self {
            Told::Row(row) => *row..row + 1,
            Told::Again { rows, .. } => rows.clone(),
        }
    }
}

/// Fewer rows are sooner told than looked up.
const FEWEST: usize = 4;

/// Tells rows of which those with equal numbers in `alike` are alike; at `starts` bands begin. What goes on through
/// several bands begins and ends with one of them.
#[must_use]
pub fn again(alike: &[usize], starts: &[usize]) -> Vec<Told> {
    let mut teller = Teller { alike, starts, told: Vec::new() };
    teller.tell(0..alike.len());
    teller.told.sort_by_key(|told| told.rows().start);
    teller.told
}

struct Teller<'a> {
    alike: &'a [usize],
    starts: &'a [usize],
    told: Vec<Told>,
}

/// Rows from some row on that are as others: how many, and as which.
struct Found {
    many: usize,
    of: Range<usize>,
}

impl Teller<'_> {
    /// Tells rows by themselves: nothing in them refers to a row before them, so that they can be woven again whole.
    fn tell(&mut self, rows: Range<usize>) {
        let mut at = rows.start;
        while at < rows.end {
            let limit = self.limit(at, rows.end);
            let back = self.back(rows.start, at, limit);
            let ahead = self.ahead(at, limit);
            let of_back = back.as_ref().map_or(0, |found| found.many);
            match ahead {
                Some(found) if found.many > of_back => {
                    // The first time they are told, and from then on they are known.
                    self.tell(found.of.clone());
                    self.push_again(found.of.end..at + found.many, found.of);
                    at += found.many;
                }
                _ => match back {
                    Some(found) => {
                        self.push_again(at..at + found.many, found.of);
                        at += found.many;
                    }
                    None => {
                        self.told.push(Told::Row(at as u32));
                        at += 1;
                    }
                },
            }
        }
    }

    fn push_again(&mut self, rows: Range<usize>, of: Range<usize>) {
        let of_rows = |range: Range<usize>| range.start as u32..range.end as u32;
        self.told.push(Told::Again { rows: of_rows(rows), of: of_rows(of) });
    }

    /// Up to where rows from `at` on may be told together: within the band, but from its first row on as far as it goes.
    fn limit(&self, at: usize, end: usize) -> usize {
        match self.starts.binary_search(&at) {
            Ok(_) => end,
            Err(next) => self.starts.get(next).map_or(end, |&start| start.min(end)),
        }
    }

    /// As many of the rows from `at` on as end where a band does, if they go beyond their own.
    fn whole(&self, at: usize, many: usize) -> usize {
        let end = at + many;
        let last = match self.starts.binary_search(&end) {
            Ok(_) => return many,
            Err(next) => next.checked_sub(1).map_or(0, |k| self.starts[k]),
        };
        if last <= at || end == self.alike.len() { many } else { last - at }
    }

    /// For each number of rows how many from there on are as those from `at` on.
    fn same_as_first(&self, at: usize, limit: usize) -> Vec<usize> {
        // The Z function.
        let rows = &self.alike[at..limit];
        let mut same = vec![0; rows.len()];
        let (mut left, mut right) = (0, 0);
        for i in 1..rows.len() {
            let mut known = if i < right { same[i - left].min(right - i) } else { 0 };
            while i + known < rows.len() && rows[known] == rows[i + known] {
                known += 1;
            }
            if i + known > right {
                (left, right) = (i, i + known);
            }
            same[i] = known;
        }
        same
    }

    /// Rows that come again at once: the longest stretch, of the shortest group that makes it.
    fn ahead(&self, at: usize, limit: usize) -> Option<Found> {
        let mut best: Option<Found> = None;
        for (len, &more) in self.same_as_first(at, limit).iter().enumerate().skip(1) {
            let many = self.whole(at, len + more);
            if many < (2 * len).max(len + FEWEST) || best.as_ref().is_some_and(|best| best.many >= many) {
                continue;
            }
            best = Some(Found { many, of: at..at + len });
        }
        best
    }

    /// Rows told from `from` on that come again at `at`: the longest stretch, of the shortest group, the nearest.
    fn back(&self, from: usize, at: usize, limit: usize) -> Option<Found> {
        let first = self.alike[at];
        let starts: Vec<usize> = (from..at).rev().filter(|&row| self.alike[row] == first).collect();
        if starts.is_empty() {
            return None;
        }
        let same = self.same_as_first(at, limit);
        let mut best: Option<Found> = None;
        for start in starts {
            let rows = self.alike[start..at].iter().zip(&self.alike[at..limit]);
            let alike = rows.take_while(|(one, other)| one == other).count();
            for len in 1..=alike {
                let many = self.whole(at, len + same.get(len).copied().unwrap_or(0));
                let better = best
                    .as_ref()
                    .is_none_or(|best| many > best.many || (many == best.many && len < best.of.len()));
                if many >= FEWEST && better && self.is_whole(start..start + len.min(many)) {
                    best = Some(Found { many, of: start..start + len.min(many) });
                }
            }
        }
        best
    }

    /// Whether rows can be looked up by themselves: what is told in them of others is told of some of them.
    fn is_whole(&self, of: Range<usize>) -> bool {
        self.told.iter().all(|told| match told {
            Told::Row(_) => true,
            Told::Again { rows, of: source } => {
                let (start, end) = (rows.start as usize, rows.end as usize);
                end <= of.start
                    || of.end <= start
                    || (of.start <= start && end <= of.end && of.start <= source.start as usize)
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(rows: &str, starts: &[usize]) -> Vec<Told> {
        let alike: Vec<usize> = rows.chars().map(|row| row as usize).collect();
        let told = again(&alike, starts);
        let mut woven: Vec<usize> = Vec::new();
        for told in &told {
            match told {
                Told::Row(row) => woven.push(alike[*row as usize]),
                Told::Again { rows, of } => {
                    for k in 0..rows.len() {
                        woven.push(woven[of.start as usize + k % of.len()]);
                    }
                }
            }
        }
        assert_eq!(woven, alike, "{rows}: {told:?}");
        told
    }

    fn rows(range: Range<u32>) -> impl Iterator<Item = Told> {
        range.map(Told::Row)
    }

    #[test]
    fn what_comes_again_is_told_once() {
        assert_eq!(told("ab", &[0]), [Told::Row(0), Told::Row(1)]);
        assert_eq!(
            told("xabababa", &[0]),
            rows(0..3).chain([Told::Again { rows: 3..8, of: 1..3 }]).collect::<Vec<_>>()
        );
        // What is soon told is told.
        assert_eq!(told("abcxabc", &[0]), rows(0..7).collect::<Vec<_>>());
    }

    #[test]
    fn what_lies_further_back_is_found_with_its_band() {
        assert_eq!(
            told("abcdxyabcdab", &[0, 4, 6]),
            rows(0..6).chain([Told::Again { rows: 6..12, of: 0..4 }]).collect::<Vec<_>>()
        );
        // From within a band nothing goes on into the next.
        assert_eq!(
            told("abcdexxbcdexx", &[0, 5, 7, 11]),
            rows(0..7).chain([Told::Again { rows: 7..13, of: 1..7 }]).collect::<Vec<_>>()
        );
        assert_eq!(
            told("abcdexxqbcdexx", &[0, 5, 7, 12]),
            rows(0..8)
                .chain([Told::Again { rows: 8..12, of: 1..5 }, Told::Row(12), Told::Row(13)])
                .collect::<Vec<_>>()
        );
    }

    #[test]
    fn bands_that_come_again_are_told_with_what_comes_again_in_them() {
        assert_eq!(
            told("abababxxabababxxabababxx", &[0, 6, 8, 14, 16, 22]),
            [
                Told::Row(0),
                Told::Row(1),
                Told::Again { rows: 2..6, of: 0..2 },
                Told::Row(6),
                Told::Row(7),
                Told::Again { rows: 8..24, of: 0..8 },
            ]
        );
    }
}
