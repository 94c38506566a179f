//! Bytes, linear light, XYZ and Lab.

use super::Srgb;
use crate::math::{cbrt, pow};

/// Linear light of the sRGB primaries, 0 to 1 where a screen can show it. Light adds in it: this is where
/// colours are mixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Linear {
    /// Red light.
    pub red: f64,
    /// Green light.
    pub green: f64,
    /// Blue light.
    pub blue: f64,
}

/// A colour of CIE 1931 XYZ, the 2 degree observer; `y` is luminance, 1 for white.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Xyz {
    /// X.
    pub x: f64,
    /// Y, the luminance.
    pub y: f64,
    /// Z.
    pub z: f64,
}

/// A colour of CIE 1976 L*a*b* against the white of sRGB, daylight D65.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    /// Lightness, from 0 for black to 100 for white.
    pub lightness: f64,
    /// From green (less than 0) to red.
    pub a: f64,
    /// From blue (less than 0) to yellow.
    pub b: f64,
}

/// Rows that take three numbers to three others.
pub(super) type Matrix = [[f64; 3]; 3];

/// Linear light to XYZ, as IEC 61966-2-1 prints it.
const TO_XYZ: Matrix = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
/// The way back. The standard's own has four decimals, too few to come back to the same light.
const FROM_XYZ: Matrix = inverse(&TO_XYZ);
/// White: all three lights together, so that every grey is without hue.
const WHITE: [f64; 3] = [sum(TO_XYZ[0]), sum(TO_XYZ[1]), sum(TO_XYZ[2])];

const fn sum([a, b, c]: [f64; 3]) -> f64 {
    a + b + c
}

/// By cofactors; the matrix must have one.
const fn inverse(&[[a, b, c], [d, e, f], [g, h, i]]: &Matrix) -> Matrix {
    let whole = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
    [
        [(e * i - f * h) / whole, (c * h - b * i) / whole, (b * f - c * e) / whole],
        [(f * g - d * i) / whole, (a * i - c * g) / whole, (c * d - a * f) / whole],
        [(d * h - e * g) / whole, (b * g - a * h) / whole, (a * e - b * d) / whole],
    ]
}

pub(super) fn times(matrix: &Matrix, [x, y, z]: [f64; 3]) -> [f64; 3] {
    matrix.map(|[a, b, c]| a * x + b * y + c * z)
}

impl Srgb {
    /// The light it stands for (IEC 61966-2-1).
    #[must_use]
    pub fn linear(self) -> Linear {
        let [red, green, blue] = self.0.map(|byte| {
            let part = f64::from(byte) / 255.0;
            if part <= 0.04045 { part / 12.92 } else { pow((part + 0.055) / 1.055, 2.4) }
        });
        Linear { red, green, blue }
    }

    /// The colour as Lab.
    #[must_use]
    pub fn lab(self) -> Lab {
        self.linear().xyz().lab()
    }
}

impl Linear {
    /// The nearest light that a screen can show: each part between 0 and 1.
    #[must_use]
    pub fn clamped(self) -> Linear {
        // A part that is no number becomes none of that light.
        let fit = |part: f64| if part > 0.0 { part.min(1.0) } else { 0.0 };
        Linear { red: fit(self.red), green: fit(self.green), blue: fit(self.blue) }
    }

    /// The bytes that come nearest, once a screen can show it.
    #[must_use]
    pub fn srgb(self) -> Srgb {
        let Linear { red, green, blue } = self.clamped();
        Srgb([red, green, blue].map(|light| {
            let part =
                if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * pow(light, 1.0 / 2.4) - 0.055 };
            // From 0 to 255, as light is from 0 to 1.
            (part * 255.0).round() as u8
        }))
    }

    /// The same light as XYZ.
    #[must_use]
    pub fn xyz(self) -> Xyz {
        let [x, y, z] = times(&TO_XYZ, [self.red, self.green, self.blue]);
        Xyz { x, y, z }
    }
}

/// Where Lab goes over from a cube root to a straight line (CIE 15, with its exact fractions).
const KNEE: f64 = 6.0 / 29.0;

impl Xyz {
    /// The light of the sRGB primaries that looks so; parts below 0 or above 1 where no screen can show it.
    #[must_use]
    pub fn linear(self) -> Linear {
        let [red, green, blue] = times(&FROM_XYZ, [self.x, self.y, self.z]);
        Linear { red, green, blue }
    }

    /// The colour as Lab.
    #[must_use]
    pub fn lab(self) -> Lab {
        let bent = |part: f64, white: f64| {
            let part = part / white;
            if part > KNEE * KNEE * KNEE { cbrt(part) } else { part / (3.0 * KNEE * KNEE) + 4.0 / 29.0 }
        };
        let [x, y, z] = [bent(self.x, WHITE[0]), bent(self.y, WHITE[1]), bent(self.z, WHITE[2])];
        Lab { lightness: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
    }
}

impl Lab {
    /// The colour as XYZ.
    #[must_use]
    pub fn xyz(self) -> Xyz {
        let straight = |part: f64, white: f64| {
            let part = if part > KNEE { part * part * part } else { 3.0 * KNEE * KNEE * (part - 4.0 / 29.0) };
            part * white
        };
        let y = (self.lightness + 16.0) / 116.0;
        Xyz {
            x: straight(y + self.a / 500.0, WHITE[0]),
            y: straight(y, WHITE[1]),
            z: straight(y - self.b / 200.0, WHITE[2]),
        }
    }
}
