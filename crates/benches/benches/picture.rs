//! The picture of a piece, against filling the same pixels with one shaded round profile, which is the least that
//! a picture of yarn must do. One thread, then two; by the pixel, since the work is to grow with the pixels alone.

use fellmark_benches::{asked_for, in_turn, peak_memory_mib, plans, ratio};
use fellmark_core::study::study;
use fellmark_picture::relief::{Picture, Region, Scale, picture};
use std::hint::black_box;
use std::num::NonZeroUsize;

/// Strands of the yardstick are as thick as those of the piece, in mm.
const STRAND: f64 = 1.8;
/// The side of the square of cloth that is pictured, in mm.
const SIDE: f64 = 100.0;

fn main() {
    let sizes: &[u32] = if asked_for() { &[500, 1000, 2000, 4000] } else { &[200] };
    let text = plans::diagonal(40, 120);
    let Ok(known) = fellmark_note::read(&text).map(|note| study(&note.plan)) else { return };
    let Ok(known) = known else { return };
    println!("medians; ns for a pixel; growth: that of one thread over that of the line above");
    println!(
        "{:>11} {:>9} {:>9} {:>9} | {:>8} {:>6} {:>7} | {:>8}",
        "pixels", "yardstick", "1 thread", "2 threads", "1/yard", "growth", "2 over 1", "MiB"
    );
    let mut before = None;
    for &size in sizes {
        let options = |threads| Picture {
            scale: Scale::PerMm(f64::from(size) / SIDE),
            frame: false,
            region: Some(Region { x: size / 5, y: size / 10, width: size, height: size }),
            threads: NonZeroUsize::new(threads),
            ..Picture::default()
        };
        let made = picture(&known, &options(1)).map_or(0, |raster| raster.rgb.len());
        assert_eq!(made, size as usize * size as usize * 3, "the cloth is larger than the picture");
        let turns = if size > 2000 { 5 } else { 9 };
        let [yard, one, two] = in_turn(
            turns,
            [
                &mut || drop(black_box(yardstick(size as usize))),
                &mut || drop(black_box(picture(&known, black_box(&options(1))))),
                &mut || drop(black_box(picture(&known, black_box(&options(2))))),
            ],
        );
        let pixels = f64::from(size) * f64::from(size);
        let each = |time: std::time::Duration| time.as_secs_f64() * 1e9 / pixels;
        println!(
            "{:>11} {:>9.2} {:>9.2} {:>9.2} | {:>8.2} {:>6.2} {:>7.2} | {:>8.1}",
            format!("{size} x {size}"),
            each(yard),
            each(one),
            each(two),
            ratio(one, yard),
            each(one) / before.unwrap_or(each(one)),
            ratio(two, one),
            peak_memory_mib().unwrap_or(f64::NAN),
        );
        before = Some(each(one));
    }
}

/// Fills a square with strands of one round profile, each lit by its normal and turned into sRGB.
fn yardstick(size: usize) -> Vec<u8> {
    let bytes: Vec<[u8; 3]> = (0..1024)
        .map(|k| {
            let light = (f64::from(k) / 1023.0).sqrt() * 255.0;
            [light as u8, (light * 0.9) as u8, (light * 0.6) as u8]
        })
        .collect();
    let half = (STRAND * size as f64 / SIDE / 2.0) as f32;
    let mut rgb = vec![0; size * size * 3];
    for (y, line) in rgb.chunks_mut(size * 3).enumerate() {
        for (x, pixel) in line.chunks_exact_mut(3).enumerate() {
            let middle = (y as f32 + 0.1 * x as f32) / (2.0 * half);
            let across = (middle - middle as i32 as f32) * 2.0 - 1.0;
            let depth = (1.0 - across * across).max(0.0).sqrt();
            let lit = (0.56 * across + 0.7 * depth + 0.3).max(0.0) * 0.77;
            let shade = bytes[((lit * 1023.0) as usize).min(1023)];
            (pixel[0], pixel[1], pixel[2]) = (shade[0], shade[1], shade[2]);
        }
    }
    rgb
}
