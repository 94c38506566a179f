//! Whether a cloth hangs together, against reading its grid once.
//!
//! Two yardsticks, measured in turn with the rest: *read* joins all words with exclusive or, which is as
//! little as can be done with them; *count* counts their bits, the least that any way by sums must do.
//! *whole* is a grid whose rows cover all ends, *part* the same but for one end of one row, which goes over
//! the arcs instead.

use fellmark_benches::{asked_for, in_turn, peak_memory_mib, ratio};
use fellmark_core::grid::Grid;
use fellmark_core::hang::layers;
use fellmark_core::side::Span;
use std::hint::black_box;
use std::time::Duration;

/// A random cloth (xorshift; from memory): it hangs together, so every crossing counts.
fn cloth(side: u32, partial: bool) -> Option<Grid> {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut word = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    };
    let mut grid = Grid::with_capacity(side, side);
    for row in 0..side {
        let words: Vec<u64> = (0..side.div_ceil(64)).map(|_| word()).collect();
        let span = if partial && row == 0 { Span::new(1, side - 1) } else { Span::all(side) };
        grid.push_words(span?, &words).ok()?;
    }
    Some(grid)
}

fn read(grid: &Grid) -> u64 {
    grid.iter().map(|row| row.words().iter().fold(0, |all, word| all ^ word)).fold(0, |all, row| all ^ row)
}

fn count(grid: &Grid) -> u64 {
    grid.iter().map(|row| u64::from(row.ends_over())).sum()
}

fn main() {
    let sides: &[u32] = if asked_for() { &[256, 512, 1024, 2048, 4096, 8192, 10_000] } else { &[256] };
    println!("times in microseconds, medians; growth: time for a crossing over that of the line above");
    println!(
        "{:>6} {:>9} {:>9} {:>9} {:>9} {:>9} | {:>10} {:>11} {:>10} | {:>6} {:>6} | {:>8}",
        "side",
        "read",
        "count",
        "sums",
        "whole",
        "part",
        "whole/read",
        "whole/count",
        "part/read",
        "growth",
        "part",
        "MiB"
    );
    let mut before: Option<[f64; 2]> = None;
    for &side in sides {
        let (Some(whole), Some(part)) = (cloth(side, false), cloth(side, true)) else { continue };
        // Small grids are gone through many times in one measurement, so that the clock is fine enough.
        let times_over = (1 << 22) / (side * side).max(1) + 1;
        let turns = if side > 4096 { 11 } else { 31 };
        fn over<T>(times: u32, work: impl Fn() -> T) {
            for _ in 0..times {
                black_box(work());
            }
        }
        let [read, count, sums, of_whole, of_part] = in_turn(
            turns,
            [
                &mut || over(times_over, || read(black_box(&whole))),
                &mut || over(times_over, || count(black_box(&whole))),
                &mut || over(times_over, || black_box(&whole).sums()),
                &mut || over(times_over, || layers(black_box(&whole))),
                &mut || over(times_over, || layers(black_box(&part))),
            ],
        );
        let us = |time: Duration| time.as_secs_f64() * 1e6 / f64::from(times_over);
        let crossings = f64::from(side) * f64::from(side);
        let per_crossing = [us(of_whole) / crossings, us(of_part) / crossings];
        let growth = before.map_or([1.0; 2], |b| [per_crossing[0] / b[0], per_crossing[1] / b[1]]);
        before = Some(per_crossing);
        println!(
            "{side:>6} {:>9.2} {:>9.2} {:>9.2} {:>9.2} {:>9.2} | {:>10.2} {:>11.2} {:>10.2} | {:>6.2} {:>6.2} | {:>8.1}",
            us(read),
            us(count),
            us(sums),
            us(of_whole),
            us(of_part),
            ratio(of_whole, read),
            ratio(of_whole, count),
            ratio(of_part, read),
            growth[0],
            growth[1],
            peak_memory_mib().unwrap_or(f64::NAN),
        );
    }
}
