//! How far apart two colours look.

use super::Lab;
use crate::math::{atan2, cos, exp, sin};
use std::f64::consts::{PI, TAU};

/// A difference of colours in units of CIEDE2000: about 1 is what an eye just sees with both side by side.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Difference(f64);

impl Difference {
    /// A difference of so many units.
    #[must_use]
    pub const fn new(units: f64) -> Difference {
        Difference(units)
    }

    /// In units of CIEDE2000.
    #[must_use]
    pub const fn units(self) -> f64 {
        self.0
    }
}

/// The difference by CIEDE2000 with all weights 1: how far apart two colours look.
#[must_use]
pub fn difference(one: Lab, other: Lab) -> Difference {
    ciede2000(one, other, 1.0)
}

/// The difference by CIEDE2000 with lightness at half weight (kL = 2), as textile works judge whether a dyeing
/// matches its sample: the eye forgives cloth another lightness sooner than another hue.
#[must_use]
pub fn acceptable_difference(one: Lab, other: Lab) -> Difference {
    ciede2000(one, other, 2.0)
}

/// The difference in lightness alone, in steps of L* (black to white is 100): what is left without hue, in dim
/// light or in a photograph in grey.
#[must_use]
pub fn lightness_difference(one: Lab, other: Lab) -> f64 {
    (one.lightness - other.lightness).abs()
}

/// CIEDE2000 as Sharma, Wu & Dalal write it (*Color Res. Appl.* 30(1) 2005, 21-30), `weight` being kL and the
/// other two weights 1; names follow theirs. Exactly the same both ways.
///
/// The angle between two hues is taken from the cross and dot products of their directions, not as a difference
/// of two arc tangents, whose last bits would decide on which side of the circle nearly opposite hues meet.
fn ciede2000(one: Lab, other: Lab, weight: f64) -> Difference {
    let mean_chroma = (chroma(one.a, one.b) + chroma(other.a, other.b)) / 2.0;
    let stretch = 1.0 + 0.5 * (1.0 - chroma_share(mean_chroma));
    let (a1, b1, a2, b2) = (one.a * stretch, one.b, other.a * stretch, other.b);
    let (c1, c2) = (chroma(a1, b1), chroma(a2, b2));

    let cross = a1 * b2 - b1 * a2;
    let angle = atan2(cross, a1 * a2 + b1 * b2);
    let d_l = other.lightness - one.lightness;
    let d_c = c2 - c1;
    let d_h = 2.0 * (c1 * c2).sqrt() * sin(angle / 2.0);

    let mean_l = (one.lightness + other.lightness) / 2.0 - 50.0;
    let mean_c = (c1 + c2) / 2.0;
    let h = mean_hue((a1, b1), (a2, b2), cross, angle);
    let t = 1.0 - 0.17 * cos(h - 30_f64.to_radians())
        + 0.24 * cos(2.0 * h)
        + 0.32 * cos(3.0 * h + 6_f64.to_radians())
        - 0.20 * cos(4.0 * h - 63_f64.to_radians());
    let s_l = 1.0 + 0.015 * mean_l * mean_l / (20.0 + mean_l * mean_l).sqrt();
    let s_c = 1.0 + 0.045 * mean_c;
    let s_h = 1.0 + 0.015 * mean_c * t;
    let from_blue = (h.to_degrees() - 275.0) / 25.0;
    let turn = 30_f64.to_radians() * exp(-from_blue * from_blue);
    let r_t = -2.0 * chroma_share(mean_c) * sin(2.0 * turn);

    let (l, c, h) = (d_l / (weight * s_l), d_c / s_c, d_h / s_h);
    Difference((l * l + c * c + h * h + r_t * c * h).max(0.0).sqrt())
}

fn chroma(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// `sqrt(c^7 / (c^7 + 25^7))`: near 0 for greys, near 1 for strong colours.
fn chroma_share(c: f64) -> f64 {
    let seventh = |x: f64| x * x * x * x * x * x * x;
    (seventh(c) / (seventh(c) + seventh(25.0))).sqrt()
}

/// The hue midway between two, in radians from 0 to 2 pi: across the shorter arc, and for a grey, which has
/// none, the other's. For exactly opposite hues the mean of their angles, as the paper has it.
fn mean_hue((a1, b1): (f64, f64), (a2, b2): (f64, f64), cross: f64, angle: f64) -> f64 {
    let hue = |a: f64, b: f64| {
        let hue = atan2(b, a);
        if hue < 0.0 { hue + TAU } else { hue }
    };
    let is_grey = |a: f64, b: f64| a == 0.0 && b == 0.0;
    if is_grey(a1, b1) {
        return if is_grey(a2, b2) { 0.0 } else { hue(a2, b2) };
    }
    if is_grey(a2, b2) {
        return hue(a1, b1);
    }
    let (h1, h2) = (hue(a1, b1), hue(a2, b2));
    let mean = (h1 + h2) / 2.0;
    // The difference of the angles is the angle between, or goes once round it.
    let goes_round = cross != 0.0 && (h2 - h1 - angle).abs() > PI;
    match goes_round {
        false => mean,
        true if mean < PI => mean + PI,
        true => mean - PI,
    }
}
