//! Unevenness: smooth noise from a hash of whole numbers, in tables that are made once. The same place along
//! the same strand always has the same grain.

use std::sync::LazyLock;

/// Entries of the noise along a strand; it repeats after as many.
pub(super) const LONG: usize = 4096;
/// How many entries lie between two of its random values.
const EVERY: usize = 8;
/// The fibres: entries along a strand and round it.
pub(super) const FIBRE_LONG: usize = 512;
pub(super) const FIBRE_ROUND: usize = 128;

/// Smooth noise between -1 and 1 along a strand.
pub(super) static SLOW: LazyLock<Box<[f32; LONG]>> = LazyLock::new(slow);

/// The streaks of fibres on a strand, between -127 and 127: long along it, fine round it.
pub(super) static FIBRES: LazyLock<Box<Fibres>> = LazyLock::new(fibres);

/// Streaks of fibres, one way round the strand after the other.
pub(super) type Fibres = [i8; FIBRE_LONG * FIBRE_ROUND];

/// Mixes a number: every bit of the answer hangs on every bit of the question.
#[inline(always)]
pub(super) fn hash(mut x: u32) -> u32 {
    x ^= x >> 16;
    x = x.wrapping_mul(0x7feb_352d);
    x ^= x >> 15;
    x = x.wrapping_mul(0x846c_a68b);
    x ^ (x >> 16)
}

/// Mixes two numbers.
#[inline(always)]
pub(super) fn hash2(a: u32, b: u32) -> u32 {
    hash(a ^ hash(b).wrapping_add(0x9e37_79b9))
}

/// A number of a text.
pub(super) fn hash_text(text: &str) -> u32 {
    text.bytes().fold(0x811c_9dc5, |known, byte| hash(known ^ u32::from(byte)))
}

/// From a hash to -1..1.
#[inline(always)]
pub(super) fn signed(hash: u32) -> f32 {
    (hash >> 8) as f32 * (2.0 / 16_777_215.0) - 1.0
}

/// From a hash to 0..1.
#[inline(always)]
pub(super) fn unsigned(hash: u32) -> f32 {
    (hash >> 8) as f32 / 16_777_215.0
}

/// Value noise with a smooth course, repeating after `period` random values.
fn value(seed: u32, x: f32, period: u32) -> f32 {
    let cell = x.floor();
    let t = x - cell;
    let at = |k: i32| signed(hash2(seed, (cell as i32 + k).rem_euclid(period as i32) as u32));
    let smooth = t * t * (3.0 - 2.0 * t);
    at(0) + (at(1) - at(0)) * smooth
}

fn slow() -> Box<[f32; LONG]> {
    let octave =
        |k: usize, every: usize, seed: u32| value(seed, k as f32 / every as f32, (LONG / every) as u32);
    Box::new(std::array::from_fn(|k| {
        0.6 * octave(k, EVERY * 4, 1) + 0.3 * octave(k, EVERY, 2) + 0.1 * octave(k, EVERY / 2, 3)
    }))
}

fn fibres() -> Box<Fibres> {
    // Strands of fibres, each as wide as `width` entries and changing along it every so many.
    let streak = |seed: u32, width: usize, every: usize, k: usize, round: usize| {
        let count = FIBRE_ROUND / width;
        let (cell, share) = (round / width, (round % width) as f32 / width as f32);
        let at = |cell: usize| {
            let seed = hash2(seed, (cell % count) as u32);
            value(seed, k as f32 / every as f32, (FIBRE_LONG / every) as u32)
        };
        let smooth = share * share * (3.0 - 2.0 * share);
        at(cell) + (at(cell + 1) - at(cell)) * smooth
    };
    let mut all = Box::new([0; FIBRE_LONG * FIBRE_ROUND]);
    for (at, entry) in all.iter_mut().enumerate() {
        let (k, round) = (at % FIBRE_LONG, at / FIBRE_LONG);
        let (coarse, middle) = (streak(11, 8, 32, k, round), streak(12, 4, 16, k, round));
        let fine = streak(13, 2, 16, k, round);
        *entry = ((0.4 * coarse + 0.35 * middle + 0.25 * fine) * 127.0) as i8;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_is_smooth_bounded_and_closes_on_itself() {
        let slow = &**SLOW;
        let steps = slow.iter().zip(slow.iter().cycle().skip(1)).map(|(a, b)| (a - b).abs());
        assert!(steps.fold(0.0, f32::max) < 0.2);
        assert!(slow.iter().all(|x| x.abs() <= 1.0));
        let mean = slow.iter().sum::<f32>() / slow.len() as f32;
        assert!(mean.abs() < 0.1, "{mean}");
    }

    #[test]
    fn neighbouring_seeds_have_nothing_in_common() {
        assert!((0..1000).all(|k| hash(k) != hash(k + 1)));
        assert_ne!(hash_text("reed"), hash_text("deer"));
    }
}
