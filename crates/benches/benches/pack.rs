//! Packing against one pass over as many f32 places that keeps the highest, which is as little as can be done
//! with them. *level* lays rows that don't bend, as a piece is planned; *bent* the same rows as they come to
//! lie; *cover* works out what one face shows. Diagonals are the rows of a real cloth, random ones the worst
//! for a processor that guesses.

use fellmark_benches::{asked_for, in_turn, plans, ratio};
use fellmark_core::cloth;
use fellmark_core::grid::Grid;
use fellmark_core::pack::Packer;
use fellmark_core::piece::Piece;
use fellmark_core::plan::WeftId;
use fellmark_core::side::{Span, Surface};
use fellmark_core::study::study;
use fellmark_core::thread::Thread;
use std::hint::black_box;

/// Over and under by chance (xorshift; from memory).
fn random(ends: u32, rows: u32) -> Option<Grid> {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut grid = Grid::with_capacity(ends, rows);
    for _ in 0..rows {
        let words: Vec<u64> = (0..ends.div_ceil(64))
            .map(|_| {
                state ^= state << 13;
                state ^= state >> 7;
                state ^= state << 17;
                state
            })
            .collect();
        grid.push_words(Span::all(ends)?, &words).ok()?;
    }
    Some(grid)
}

fn level(piece: &Piece, warp: Thread, wefts: &[Thread]) -> f64 {
    let mut packer = Packer::new(piece.end_count(), piece.spacing(), warp, 1.0);
    for (row, crossings) in piece.rows.iter().zip(piece.grid.iter()) {
        let words = crossings.words();
        let over = |end: u32| words[(end / 64) as usize] >> (end % 64) & 1 == 1;
        packer.lay(crossings.span(), over, wefts[row.weft.0], row.apart);
    }
    packer.fell().mm()
}

fn main() {
    let sizes: &[(u32, u32)] = if asked_for() { &[(40, 200), (1000, 2000)] } else { &[(40, 200)] };
    println!("times in microseconds, medians");
    println!(
        "{:>9} {:>11} {:>9} {:>10} {:>10} {:>10} | {:>11} {:>10} {:>11}",
        "cloth",
        "ends x rows",
        "highest",
        "level",
        "bent",
        "cover",
        "level/high.",
        "bent/high.",
        "cover/high."
    );
    for &(ends, rows) in sizes {
        let Ok(note) = fellmark_note::read(&plans::diagonal(ends, rows)) else { continue };
        let Ok(known) = study(&note.plan) else { continue };
        let (habits, diagonal) = (&known.habits, known.piece);
        let Some(grid) = random(diagonal.end_count(), diagonal.row_count()) else { continue };
        let by_chance = Piece { grid, ..diagonal.clone() };
        for (name, piece) in [("diagonal", diagonal), ("random", by_chance)] {
            let warp = piece.warp_thread(habits);
            let wefts: Vec<Thread> =
                (0..piece.wefts.len()).map(|weft| piece.thread(WeftId(weft), habits)).collect();
            let cloth = cloth::lay(&piece, habits);
            let places = vec![1.0_f32; piece.rows.len() * (2 * piece.ends.len() - 1)];
            let highest = || places.iter().fold(0.0_f32, |high, &at| if at > high { at } else { high });
            let turns = if places.len() > 1_000_000 { 9 } else { 101 };
            let [high, flat, bent, cover] = in_turn(
                turns,
                [
                    &mut || _ = black_box(highest()),
                    &mut || _ = black_box(level(black_box(&piece), warp, &wefts)),
                    &mut || drop(black_box(cloth::lay(black_box(&piece), habits))),
                    &mut || drop(black_box(cloth.cover(black_box(&piece), Surface::Front))),
                ],
            );
            let us = |time: std::time::Duration| time.as_secs_f64() * 1e6;
            println!(
                "{name:>9} {:>11} {:>9.1} {:>10.1} {:>10.1} {:>10.1} | {:>11.1} {:>10.1} {:>11.1}",
                format!("{} x {}", piece.ends.len(), piece.rows.len()),
                us(high),
                us(flat),
                us(bent),
                us(cover),
                ratio(flat, high),
                ratio(bent, high),
                ratio(cover, high),
            );
        }
    }
}
