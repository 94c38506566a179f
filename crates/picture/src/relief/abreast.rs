//! Loops over pixels, as many abreast as this machine's registers hold.
//!
//! Every machine gets the same bits: a lane does what a lone number does, and a product and a sum are never fused.

/// Does something with the widest registers that there are. What it calls is to be `#[inline(always)]`: only what ends up
/// within is done that way.
macro_rules! abreast {
    ($work:expr) => {
        fearless_simd::dispatch!(fearless_simd::Level::new(), _ => $work)
    };
}

pub(super) use abreast;

/// Pixels in a block: as many as the widest registers hold. What is worked out block by block goes abreast on every machine,
/// with no rest that is left to be done one by one.
pub(super) const WIDE: usize = 16;

/// So many blocks of a line.
#[inline(always)]
pub(super) fn blocks<T>(line: &[T], count: usize) -> &[[T; WIDE]] {
    &line.as_chunks().0[..count]
}

/// The blocks of a line, to be written.
#[inline(always)]
pub(super) fn blocks_of<T>(line: &mut [T]) -> impl Iterator<Item = &mut [T; WIDE]> {
    line.as_chunks_mut().0.iter_mut()
}

/// The block of a line that begins at a pixel.
#[inline(always)]
pub(super) fn block<T>(line: &[T], from: usize) -> &[T; WIDE] {
    let (block, _) = line[from..].as_chunks();
    &block[0]
}

#[cfg(test)]
mod tests {
    use crate::relief::ramp::{least, most, rounded};

    /// What the loops over pixels are made of: products and sums, roots, quotients, choices, whole numbers.
    #[inline(always)]
    fn worked_out(all: &mut [f32]) {
        for (k, one) in all.iter_mut().enumerate() {
            let (x, at) = (*one, k as i32 as f32);
            let square = x * 1.7 + at * at * 0.3;
            let root = most(square, 0.0).sqrt() / (least(x, 3.0) + 7.1);
            *one = if x.abs() > 2.0 { root - rounded(x) as f32 } else { root * x + x.floor() };
        }
    }

    #[test]
    fn many_abreast_come_to_the_same_bits_as_one_by_one() {
        let begin: Vec<f32> = (0..1003_u16).map(|k| f32::from(k) * 0.013 - 5.0).collect();
        let (mut many, mut lone) = (begin.clone(), begin);
        abreast!(worked_out(&mut many));
        worked_out(&mut lone);
        assert_eq!(
            many.iter().map(|x| x.to_bits()).collect::<Vec<_>>(),
            lone.iter().map(|x| x.to_bits()).collect::<Vec<_>>()
        );
    }
}
