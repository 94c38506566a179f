//! Contrast of lines and letters with what they stand on.

use super::Srgb;

/// Contrast of two colours by WCAG 2.2: from 1 for equal ones to 21 for black on white.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Contrast(f64);

impl Contrast {
    /// The least for text (WCAG 2.2, 1.4.3).
    pub const TEXT: Contrast = Contrast(4.5);
    /// The least for large text, and for lines and marks (WCAG 2.2, 1.4.3 and 1.4.11).
    pub const LINE: Contrast = Contrast(3.0);

    /// The ratio.
    #[must_use]
    pub const fn ratio(self) -> f64 {
        self.0
    }
}

/// The contrast of two colours, whichever is the lighter (WCAG 2.2, "contrast ratio").
#[must_use]
pub fn contrast(one: Srgb, other: Srgb) -> Contrast {
    let (one, other) = (luminance(one), luminance(other));
    Contrast((one.max(other) + 0.05) / (one.min(other) + 0.05))
}

/// WCAG 2.2, "relative luminance": its coefficients are those of Y in IEC 61966-2-1.
fn luminance(colour: Srgb) -> f64 {
    colour.linear().xyz().y
}

/// What lines and letters are drawn with where they don't have a colour of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineColour {
    /// Dark.
    Ink,
    /// Light.
    Paper,
}

/// Ink on paper. With these two every colour has one of them at [`Contrast::LINE`] or better.
pub const INK: Srgb = Srgb([0x22, 0x30, 0x2f]);
/// Paper, warm.
pub const PAPER: Srgb = Srgb([0xf6, 0xf3, 0xec]);

impl LineColour {
    /// Its colour.
    #[must_use]
    pub fn srgb(self) -> Srgb {
        match self {
            LineColour::Ink => INK,
            LineColour::Paper => PAPER,
        }
    }
}

/// What can be read on a colour: ink or paper, whichever stands out more.
#[must_use]
pub fn readable_on(ground: Srgb) -> LineColour {
    if contrast(ground, INK) >= contrast(ground, PAPER) { LineColour::Ink } else { LineColour::Paper }
}
