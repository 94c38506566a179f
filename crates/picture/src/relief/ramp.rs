//! From light to colour: for every yarn a ramp of ready bytes, from the dark of a crevice over the yarn's own
//! colour to its highlight. Light is added in linear light; sRGB comes at the end (IEC 61966-2-1).

use fellmark_core::math;
use fellmark_core::yarn::Srgb;
use std::sync::LazyLock;

/// Steps of a ramp from no light to [`MOST`].
pub(super) const STEPS: usize = 1024;
/// The most light that a ramp knows; 1 shows the yarn's own colour.
pub(super) const MOST: f32 = 2.0;

/// A surface's colours by the light that it gets, packed as 0xBBGGRR.
pub(super) struct Ramp(Box<[u32; STEPS]>);

impl Ramp {
    /// The colours of a yarn. In the shade light comes from yarn to yarn and takes on its colour; what shines
    /// takes on the colour of the light.
    pub(super) fn of(colour: Srgb, shine: f64) -> Ramp {
        let own = colour.0.map(|byte| f64::from(LINEAR[usize::from(byte)]));
        let grey = (0.2126 * own[0] + 0.7152 * own[1] + 0.0722 * own[2]).max(1e-4);
        let mean = own.map(|part| math::ln((part.max(1e-4) / grey).clamp(0.2, 5.0)) * 0.16);
        let each = f64::from(MOST) / (STEPS - 1) as f64;
        // What the shade does to a part falls by the same share from step to step, up to full light.
        let (mut shade, fall) = (mean.map(math::exp), mean.map(|part| math::exp(-part * each)));
        let mut colours = Box::new([0; STEPS]);
        for (k, colour) in colours.iter_mut().enumerate() {
            let light = k as f64 * each;
            let (under, over) = (light.min(1.0), (light - 1.0).max(0.0));
            let mut parts = [0; 3];
            for at in 0..3 {
                let deep = if light < 1.0 { shade[at] } else { 1.0 };
                let lit = own[at] * under * deep;
                // Fibres are a little translucent: even black yarn is no hole.
                let part =
                    lit + 0.0025 * under + over * (own[at] * (1.0 - shine) + shine * (0.25 + 0.75 * own[at]));
                parts[at] = encode(part as f32);
                shade[at] *= fall[at];
            }
            *colour = pack(parts);
        }
        Ramp(colours)
    }

    /// The colours of the ground: dull, and itself where nothing takes its light.
    pub(super) fn ground(colour: Srgb) -> Ramp {
        let own = colour.0.map(|byte| LINEAR[usize::from(byte)]);
        let light = |k: usize| (k as f32 * MOST / (STEPS - 1) as f32).min(1.0);
        Ramp(Box::new(std::array::from_fn(|k| pack(own.map(|part| encode(part * light(k)))))))
    }

    /// Its colours.
    pub(super) fn steps(&self) -> &[u32; STEPS] {
        &self.0
    }

    /// The colour of a step.
    #[inline(always)]
    pub(super) fn step(&self, step: usize) -> u32 {
        self.0[step & (STEPS - 1)]
    }

    /// The colour at a light.
    #[inline(always)]
    pub(super) fn at(&self, light: f32) -> u32 {
        self.step(step(light) as usize)
    }
}

/// The step of a light.
#[inline(always)]
pub(super) fn step(light: f32) -> u32 {
    low_bits(least(most(light * ((STEPS - 1) as f32 / MOST), 0.0), (STEPS - 1) as f32)) as u32
}

/// A number from 0 up, rounded: adding this much leaves whole numbers in a float's lower bits, negative ones in
/// two's complement. Much faster than a cast that saturates, and a loop of it runs abreast.
const WHOLE: f32 = 12_582_912.0;

/// The lower bits of a number rounded to a whole one, good to 22 bits.
#[inline(always)]
pub(super) fn low_bits(x: f32) -> usize {
    ((x + WHOLE).to_bits() & 0x003f_ffff) as usize
}

/// A number rounded to a whole one, where it has no more than 22 bits.
#[inline(always)]
pub(super) fn rounded(x: f32) -> i32 {
    (x + WHOLE).to_bits().cast_signed().wrapping_sub(WHOLE.to_bits().cast_signed())
}

/// The larger of two numbers, with no thought for what is none: one instruction.
#[inline(always)]
pub(super) fn most(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// The smaller of two numbers.
#[inline(always)]
pub(super) fn least(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

/// sRGB bytes in linear light.
pub(super) static LINEAR: LazyLock<[f32; 256]> = LazyLock::new(|| {
    std::array::from_fn(|byte| {
        let share = byte as f64 / 255.0;
        let linear = if share <= 0.040_45 {
            share / 12.92
        } else {
            math::exp(2.4 * math::ln((share + 0.055) / 1.055))
        };
        linear as f32
    })
});

/// Linear light, finely stepped, as sRGB bytes.
static BYTES: LazyLock<Box<[u8; FINE + 1]>> = LazyLock::new(|| {
    Box::new(std::array::from_fn(|k| {
        let linear = k as f64 / FINE as f64;
        let share = if linear <= 0.003_130_8 {
            linear * 12.92
        } else {
            1.055 * math::exp(math::ln(linear) / 2.4) - 0.055
        };
        (share * 255.0).round() as u8
    }))
});

const FINE: usize = 8191;

/// A linear light as an sRGB byte.
#[inline(always)]
pub(super) fn encode(linear: f32) -> u8 {
    BYTES[low_bits(least(most(linear * FINE as f32, 0.0), FINE as f32)) & FINE]
}

#[inline(always)]
pub(super) fn pack([r, g, b]: [u8; 3]) -> u32 {
    u32::from(r) | u32::from(g) << 8 | u32::from(b) << 16
}

#[inline(always)]
pub(super) fn unpack(colour: u32) -> [u8; 3] {
    [colour as u8, (colour >> 8) as u8, (colour >> 16) as u8]
}

/// Colours as bytes, three each.
pub(super) fn bytes(colours: &[u32], out: &mut [u8]) {
    // Four at a time, whose twelve bytes are three whole numbers.
    let ((fours, rest), (twelves, last)) = (colours.as_chunks::<4>(), out.as_chunks_mut::<12>());
    for ([a, b, c, d], out) in fours.iter().zip(twelves) {
        let words = [a | b << 24, b >> 8 | c << 16, c >> 16 | d << 8].map(u32::to_le_bytes);
        for (word, out) in words.iter().zip(out.as_chunks_mut::<4>().0) {
            *out = *word;
        }
    }
    for (&colour, out) in rest.iter().zip(last.as_chunks_mut::<3>().0) {
        *out = unpack(colour);
    }
}

/// Two colours mixed, `share` of the first: as light mixes, with 2 for the exponent of sRGB, so that it takes roots
/// and no tables.
#[inline(always)]
pub(super) fn mix(a: u32, b: u32, share: f32) -> u32 {
    let part = |down: u32| {
        let of = |colour: u32| ((colour >> down) & 0xff) as i32 as f32;
        let (a, b) = (of(a), of(b));
        let square = b * b + (a * a - b * b) * share;
        (low_bits(most(square, 0.0).sqrt()) as u32 & 0xff) << down
    };
    part(0) | part(8) | part(16)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_byte_comes_back_from_linear_light() {
        for byte in 0..=255_u8 {
            assert_eq!(encode(LINEAR[usize::from(byte)]), byte);
        }
        // IEC 61966-2-1: half of the light is 188 of 255.
        assert_eq!(encode(0.5), 188);
        assert_eq!((encode(-3.0), encode(7.0)), (0, 255));
    }

    #[test]
    fn at_full_light_a_yarn_shows_its_own_colour() {
        for colour in [[0xa8, 0x8b, 0x4c], [0xe3, 0xe9, 0xde], [0x2d, 0x6f, 0x73]] {
            let shown = unpack(Ramp::of(Srgb(colour), 0.2).at(1.0));
            for (a, b) in colour.iter().zip(shown) {
                assert!(a.abs_diff(b) <= 3, "{colour:x?} {shown:x?}");
            }
        }
    }

    #[test]
    fn a_mix_begins_and_ends_with_its_colours_and_half_of_the_light_is_light() {
        let (a, b) = (pack([255, 0, 130]), pack([0, 255, 17]));
        assert_eq!((mix(a, b, 1.0), mix(a, b, 0.0)), (a, b));
        // Half of black and white is 188 in sRGB (IEC 61966-2-1); close enough for an edge.
        let half = unpack(mix(pack([255; 3]), 0, 0.5));
        assert!(half.iter().all(|byte| byte.abs_diff(188) < 10), "{half:?}");
    }

    #[test]
    fn numbers_below_nothing_keep_their_lower_bits() {
        assert_eq!(low_bits(-1.0) & 255, 255);
        assert_eq!(low_bits(300.2) & 255, 44);
        assert_eq!([-3.4, -0.6, 0.2, 7.9].map(rounded), [-3, -1, 0, 8]);
    }
}
