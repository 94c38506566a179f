//! The few colours of a drawing that are not yarn, and the line round a strand.

use fellmark_core::math;
use fellmark_core::yarn::Srgb;

/// The ground.
pub const PAPER: Srgb = Srgb([0xf6, 0xf3, 0xec]);
/// The ground of pictures for the evening.
pub const EVENING: Srgb = Srgb([0x1e, 0x1d, 0x1a]);
/// Lines and words.
pub(crate) const INK: Srgb = Srgb([0x22, 0x30, 0x2e]);
/// Words that matter less; on the ground still at more than 4.5 to 1.
pub(crate) const FAINT: Srgb = Srgb([0x5c, 0x66, 0x62]);
/// The wood of the frame.
pub(crate) const WOOD: Srgb = Srgb([0xe4, 0xde, 0xd1]);
/// A strip of card.
pub(crate) const CARD: Srgb = Srgb([0xc4, 0xc6, 0xc2]);
/// The lines of the frame.
pub(crate) const GRAIN: Srgb = Srgb([0xa9, 0xa2, 0x94]);

/// The least contrast at which a line in ink can be told from the yarn it surrounds (habit).
const TOLD_APART: f64 = 1.9;

/// The line round a strand of this colour: ink, or paper round yarn that is nearly as dark as ink.
pub(crate) fn outline(yarn: Srgb) -> Srgb {
    if contrast(yarn, INK) >= TOLD_APART { INK } else { PAPER }
}

/// The contrast of two colours, from 1 to 21 (WCAG 2.2, "contrast ratio").
pub(crate) fn contrast(a: Srgb, b: Srgb) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Relative luminance of an sRGB colour (WCAG 2.2, "relative luminance").
fn luminance(colour: Srgb) -> f64 {
    let [r, g, b] = colour.0.map(|byte| {
        let share = f64::from(byte) / 255.0;
        if share <= 0.040_45 { share / 12.92 } else { math::exp(2.4 * math::ln((share + 0.055) / 1.055)) }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contrast_is_that_of_the_standard() {
        // WCAG 2.2: black on white is 21 to 1; #767676 is the lightest grey that reaches 4.5 on white.
        let (black, white) = (Srgb([0; 3]), Srgb([255; 3]));
        assert!((contrast(black, white) - 21.0).abs() < 1e-9);
        assert!(contrast(Srgb([0x76; 3]), white) >= 4.5);
        assert!(contrast(Srgb([0x77; 3]), white) < 4.5);
    }

    #[test]
    fn words_can_be_read_on_the_ground() {
        assert!(contrast(INK, PAPER) > 7.0);
        assert!(contrast(FAINT, PAPER) > 4.5);
    }

    #[test]
    fn light_yarn_is_drawn_round_in_ink_and_dark_yarn_in_paper() {
        assert_eq!(outline(Srgb([0xe3, 0xe9, 0xde])), INK);
        assert_eq!(outline(Srgb([0x2d, 0x6f, 0x73])), INK);
        assert_eq!(outline(Srgb([0x20, 0x18, 0x14])), PAPER);
    }
}
