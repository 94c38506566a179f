//! The criterion on sums, for grids in which every row covers every end.
//!
//! Take `s` of `m` rows and `t` of `n` ends. The rows taken go over at most `s (n - t)` of the ends left, so
//!
//! `D = s (n - t) + (rows that go over the ends taken) - (ends that the rows taken go over) >= 0`,
//!
//! for crossings of rows taken with ends taken stand in both sums. `D` counts the crossings that hold the
//! taken strands down: a row taken under an end left, or an end taken under a row left. They lift off exactly
//! if `D = 0`. For given `s` and `t`, `D` is least for the rows that go over most and the ends that are gone
//! over least, so only sorted sums need be tried; and for given `s` the next end changes `D` by its sum less
//! `s`, so that `D` is least where the sums of the ends pass `s`. That makes one walk over `s`, in time
//! `m + n`.

use super::{Layer, Layers};
use crate::grid::Sums;

/// Strands counted from the front: how many of each direction.
type Front = (u32, u32);

pub(super) fn layers(sums: &Sums) -> Layers {
    let (rows, ends) = (sums.of_rows.len() as u32, sums.of_ends.len() as u32);
    let rows_with = Tally::of(&sums.of_rows, ends);
    let ends_with = Tally::of(&sums.of_ends, rows);
    let cuts = merge(&cuts(&rows_with, &ends_with));

    let layer = |(level, &((s0, t0), (s1, t1)))| {
        let (rows, ends) = (Vec::with_capacity((s1 - s0) as usize), Vec::with_capacity((t1 - t0) as usize));
        Layer { level, ends, rows, bound: s0 < s1 && t0 < t1 }
    };
    let mut layers: Vec<Layer> = (0..).zip(&cuts).map(layer).collect();
    // Strands with the same sum lie in the same layer: if they could be parted, either could be taken
    // instead of the other, so that both would be loose and merged.
    let layer_of_row = places(rows_with.0.iter().rev(), cuts.iter().map(|&(_, (s, _))| s));
    let layer_of_end = places(ends_with.0.iter(), cuts.iter().map(|&(_, (_, t))| t));
    for (row, &sum) in (0..).zip(&sums.of_rows) {
        layers[layer_of_row[(ends - sum) as usize]].rows.push(row);
    }
    for (end, &sum) in (0..).zip(&sums.of_ends) {
        layers[layer_of_end[sum as usize]].ends.push(end);
    }
    Layers { layers }
}

/// How many strands have each sum.
struct Tally(Vec<u32>);

impl Tally {
    fn of(sums: &[u32], most: u32) -> Tally {
        let mut tally = vec![0; most as usize + 1];
        for &sum in sums {
            tally[sum as usize] += 1;
        }
        Tally(tally)
    }
}

/// For each number of rows taken: from how few to how many ends `D` is least, and how small it is there.
fn walk(rows_with: &Tally, ends_with: &Tally, mut visit: impl FnMut(u32, (u32, u32), u64)) {
    let ends = rows_with.0.len() as u32 - 1;
    let mut sums_of_rows = (0..=ends).rev().flat_map(|sum| (0..rows_with.0[sum as usize]).map(move |_| sum));
    let mut d = 0_u64;
    let mut t = 0;
    for (s, &level) in (0..).zip(&ends_with.0) {
        // The ends whose sum is s don't change D.
        visit(s, (t, t + level), d);
        t += level;
        if let Some(sum) = sums_of_rows.next() {
            d = d + u64::from(ends - t) - u64::from(sum);
        }
    }
}

/// Where strands lift off, from none to all: each cut holds the one before it.
fn cuts(rows_with: &Tally, ends_with: &Tally) -> Vec<Front> {
    let mut cuts = Vec::new();
    walk(rows_with, ends_with, |s, (few, many), d| {
        if d == 0 {
            cuts.extend([(s, few), (s, many)]);
        }
    });
    cuts.dedup();
    cuts
}

/// The least `D` when neither nothing is taken nor everything.
pub(super) fn firmness(sums: &Sums) -> u64 {
    let (rows, ends) = (sums.of_rows.len() as u32, sums.of_ends.len() as u32);
    let (Some(&fewest), Some(&most)) = (sums.of_ends.iter().min(), sums.of_ends.iter().max()) else {
        return 0;
    };
    // Without rows one end at least must be taken, with all rows one end at least be left.
    let mut firmness = u64::from(fewest.min(rows - most));
    walk(&Tally::of(&sums.of_rows, ends), &Tally::of(&sums.of_ends, rows), |s, _, d| {
        if 0 < s && s < rows {
            firmness = firmness.min(d);
        }
    });
    firmness
}

/// From cuts to layers, each from one cut to another. Loose rows come one by one and become one layer; loose
/// ends come at once already, as they all lie at one number of rows.
fn merge(cuts: &[Front]) -> Vec<(Front, Front)> {
    let mut layers: Vec<(Front, Front)> = Vec::new();
    for pair in cuts.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        match layers.last_mut() {
            Some((start, end)) if start.1 == to.1 => *end = to,
            _ => layers.push((from, to)),
        }
    }
    layers
}

/// The layer of each sum: tallies in the order in which strands lift off, and where each layer ends.
fn places<'a>(tallies: impl Iterator<Item = &'a u32>, until: impl Iterator<Item = u32>) -> Vec<usize> {
    let mut until = until.enumerate().peekable();
    let mut lifted = 0;
    tallies
        .map(|&strands| {
            while until.next_if(|&(_, end)| end <= lifted).is_some() {}
            lifted += strands;
            until.peek().map_or(0, |&(layer, _)| layer)
        })
        .collect()
}
