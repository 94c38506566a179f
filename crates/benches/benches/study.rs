//! A plan's text to all that is known of it (read, piece, walk, need, findings), against copying its crossings
//! end by end, which is the least that laying its rows must do.

use fellmark_benches::{asked_for, in_turn, peak_memory_mib, plans, ratio};
use fellmark_core::study::study;
use std::hint::black_box;

fn main() {
    let sizes: &[(u32, u32)] = if asked_for() {
        &[(40, 200), (80, 400), (160, 800), (320, 1600), (640, 3200), (1280, 6400)]
    } else {
        &[(40, 200)]
    };
    println!("times in microseconds, medians; growth: time for a crossing over that of the line above");
    println!(
        "{:>11} {:>9} {:>11} {:>11} | {:>9} {:>6} | {:>8}",
        "ends x rows", "copy", "read", "study", "study/copy", "growth", "MiB"
    );
    let mut before = None;
    for &(ends, rows) in sizes {
        let text = plans::diagonal(ends, rows);
        let Ok(note) = fellmark_note::read(&text) else { continue };
        let Ok(known) = study(&note.plan) else { continue };
        let copy = || {
            let grid = &known.piece.grid;
            grid.iter()
                .map(|row| row.span().ends().map(|end| row.over(end) == Some(true)).collect())
                .collect()
        };
        let [copied, read, studied] = in_turn(
            if ends > 300 { 5 } else { 31 },
            [
                &mut || drop(black_box::<Vec<Vec<bool>>>(copy())),
                &mut || drop(black_box(fellmark_note::read(black_box(&text)))),
                &mut || drop(black_box(study(black_box(&note.plan)))),
            ],
        );
        let each = studied.as_secs_f64() / f64::from(ends) / f64::from(rows);
        println!(
            "{:>11} {:>9.1} {:>11.1} {:>11.1} | {:>9.1} {:>6.2} | {:>8.1}",
            format!("{ends} x {rows}"),
            copied.as_secs_f64() * 1e6,
            read.as_secs_f64() * 1e6,
            studied.as_secs_f64() * 1e6,
            ratio(studied, copied),
            each / before.unwrap_or(each),
            peak_memory_mib().unwrap_or(f64::NAN),
        );
        before = Some(each);
    }
}
