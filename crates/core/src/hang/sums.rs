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
    let tallies = Tallies::of(sums);
    let cuts = merge(&cuts(&tallies));
    if let [_] = cuts[..] {
        let (all_rows, all_ends) = ((0..rows).collect(), (0..ends).collect());
        let bound = rows > 0 && ends > 0;
        return Layers { layers: vec![Layer { level: 0, ends: all_ends, rows: all_rows, bound }] };
    }

    let layer = |(level, &((s0, t0), (s1, t1)))| {
        let (rows, ends) = (Vec::with_capacity((s1 - s0) as usize), Vec::with_capacity((t1 - t0) as usize));
        Layer { level, ends, rows, bound: s0 < s1 && t0 < t1 }
    };
    let mut layers: Vec<Layer> = (0..).zip(&cuts).map(layer).collect();
    // Strands with the same sum lie in the same layer: if they could be parted, either could be taken
    // instead of the other, so that both would be loose and merged.
    let layer_of_row = places(&tallies.rows, cuts.iter().map(|&(_, (s, _))| s));
    let layer_of_end = places(&tallies.ends, cuts.iter().map(|&(_, (_, t))| t));
    for (row, &over) in (0..).zip(&sums.of_rows) {
        layers[layer_of_row[(ends - over) as usize]].rows.push(row);
    }
    for (end, &over) in (0..).zip(&sums.of_ends) {
        layers[layer_of_end[over as usize]].ends.push(end);
    }
    Layers { layers }
}

/// How many strands have each number of others over them; those with fewest lift off first.
struct Tallies {
    /// By how many ends a row goes under.
    rows: Vec<u32>,
    /// By how many rows go over an end.
    ends: Vec<u32>,
}

impl Tallies {
    fn of(sums: &Sums) -> Tallies {
        let (rows, ends) = (sums.of_rows.len(), sums.of_ends.len());
        let mut tallies = Tallies { rows: vec![0; ends + 1], ends: vec![0; rows + 1] };
        for &over in &sums.of_rows {
            tallies.rows[ends - over as usize] += 1;
        }
        for &over in &sums.of_ends {
            tallies.ends[over as usize] += 1;
        }
        tallies
    }
}

/// For each number of rows taken: from how few to how many ends `D` is least, and how small it is there.
fn walk(tallies: &Tallies, mut visit: impl FnMut(u32, (u32, u32), u64)) {
    let (mut s, mut t) = (0, 0);
    let mut d = 0_u64;
    // The ends that s rows go over don't change D.
    let mut level = tallies.ends[0];
    visit(s, (t, level), d);
    for (under, &rows) in (0..).zip(&tallies.rows) {
        for _ in 0..rows {
            t += level;
            s += 1;
            d = d + under - u64::from(t);
            level = tallies.ends[s as usize];
            visit(s, (t, t + level), d);
        }
    }
}

/// Where strands lift off, from none to all: each cut holds the one before it.
fn cuts(tallies: &Tallies) -> Vec<Front> {
    let mut cuts = Vec::new();
    walk(tallies, |s, (few, many), d| {
        if d == 0 {
            cuts.extend([(s, few), (s, many)]);
        }
    });
    cuts.dedup();
    cuts
}

/// The least `D` when neither nothing is taken nor everything.
pub(super) fn firmness(sums: &Sums) -> u64 {
    let rows = sums.of_rows.len() as u32;
    let (Some(&fewest), Some(&most)) = (sums.of_ends.iter().min(), sums.of_ends.iter().max()) else {
        return 0;
    };
    // Without rows one end at least must be taken, with all rows one end at least be left.
    let mut firmness = u64::from(fewest.min(rows - most));
    walk(&Tallies::of(sums), |s, _, d| {
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

/// The layer of each number in a tally, from where each layer ends.
fn places(tally: &[u32], until: impl Iterator<Item = u32>) -> Vec<usize> {
    let mut until = until.enumerate().peekable();
    let mut lifted = 0;
    tally
        .iter()
        .map(|&strands| {
            while until.next_if(|&(_, end)| end <= lifted).is_some() {}
            lifted += strands;
            until.peek().map_or(0, |&(layer, _)| layer)
        })
        .collect()
}
