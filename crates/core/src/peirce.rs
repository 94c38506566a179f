//! Peirce's geometry of a flexible thread: arcs of a circle round the threads it crosses, joined by straight
//! lines that touch them.
//!
//! F. T. Peirce, "The geometry of cloth structure", *J. Text. Inst.* 28 (1937) T45. With p the spacing of the
//! threads crossed, h how far the axis moves from one face to the other, D the sum of both diameters, t the
//! steepest angle and l the length of the axis from one crossing to the next,
//!
//! ```text
//! p = (l - D t) cos t + D sin t        h = (l - D t) sin t + D (1 - cos t)
//! ```
//!
//! Eliminating `s = l - D t`, the straight part, leaves `p sin t + (D - h) cos t = D`: the line is a tangent of
//! the circle, so that `s = sqrt(p^2 + (D - h)^2 - D^2)` and the angle follows without iteration. Where both
//! sets of threads are at their closest (jammed) s is 0.

use crate::math;
use crate::quantity::Mm;
use std::f64::consts::FRAC_PI_2;

/// Rounding that a geometry at its very limit may show, as a part of D.
const ROUNDING: f64 = 1e-12;

/// The path of a thread from one thread it crosses to the next, on the other face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// The steepest angle of the thread to the plane of the cloth, in radians: from 0 to a right angle.
    pub angle: f64,
    /// How far its axis moves across the plane of the cloth.
    pub rise: Mm,
    /// The length of its axis.
    pub length: Mm,
}

impl Bend {
    /// How much longer the thread is than the cloth it lies in, as a part of the cloth's length (the crimp of
    /// ASTM D3883).
    #[must_use]
    pub fn crimp(self, spacing: Mm) -> f64 {
        self.length / spacing - 1.0
    }
}

/// The bend of a thread that crosses others at `spacing` and moves by `rise` between them; `contact` is the sum
/// of the two diameters where they cross. `None` where the others lie too close for it, or where there is no
/// such geometry: spacing and contact must be more than nothing, the rise from nothing to the contact.
#[must_use]
pub fn bend(spacing: Mm, rise: Mm, contact: Mm) -> Option<Bend> {
    let (p, h, d) = (spacing.mm(), rise.mm(), contact.mm());
    if !(p > 0.0 && d > 0.0 && h >= 0.0 && h <= d) {
        return None;
    }
    let beside = d - h;
    let square = p * p + beside * beside;
    let straight = square - d * d;
    if straight < -ROUNDING * d * d {
        return None;
    }
    let angle = math::asin((d / square.sqrt()).min(1.0)) - math::atan2(beside, p);
    let length = straight.max(0.0).sqrt() + d * angle;
    // A flat thread keeps its length to the last digit.
    Some(Bend { angle: angle.max(0.0), rise, length: Mm::new(length.max(p)) })
}

/// The bend of a thread that crosses others at `spacing` and is longer than the cloth by `crimp`, a part of the
/// cloth's length. `None` where there is no such geometry: the crimp is less than nothing, or more than threads
/// that touch can have.
///
/// The residual `(l - D t) cos t + D sin t - p` falls throughout, with the slope `-(l - D t) sin t`, so one root
/// is bracketed; Newton's step is taken while it stays inside the bracket, else the bracket is halved.
#[must_use]
pub fn bend_of_crimp(spacing: Mm, crimp: f64, contact: Mm) -> Option<Bend> {
    let (p, d) = (spacing.mm(), contact.mm());
    if !(p > 0.0 && d > 0.0 && crimp >= 0.0 && p.is_finite() && d.is_finite() && crimp.is_finite()) {
        return None;
    }
    let l = p * (1.0 + crimp);
    let residual = |t: f64| (l - d * t) * math::cos(t) + d * math::sin(t) - p;
    let (mut low, mut high) = (0.0, (l / d).min(FRAC_PI_2));
    if residual(high) > ROUNDING * d {
        return None;
    }
    // For a slight crimp t is near sqrt(2 c).
    let mut t = (2.0 * crimp).sqrt().min(high);
    for _ in 0..200 {
        let r = residual(t);
        if r > 0.0 {
            low = t;
        } else {
            high = t;
        }
        let slope = (l - d * t) * math::sin(t);
        let newton = t + r / slope;
        let next = if newton > low && newton < high { newton } else { (low + high) / 2.0 };
        if next == t || high - low <= f64::EPSILON * high {
            break;
        }
        t = next;
    }
    let rise = (l - d * t) * math::sin(t) + d * (1.0 - math::cos(t));
    let possible = rise <= d * (1.0 + ROUNDING);
    possible.then(|| Bend { angle: t, rise: Mm::new(rise.clamp(0.0, d)), length: Mm::new(l) })
}

/// How far a thread of this length can move from one face to the other between two threads that it crosses, before
/// it is all arc: `D (1 - cos(l/D))`, and D once it is a quarter of a circle long.
#[must_use]
pub fn most_rise(length: Mm, contact: Mm) -> Mm {
    contact * (1.0 - math::cos((length / contact).clamp(0.0, FRAC_PI_2)))
}

/// The spacing at which a thread of this length crosses others, moving by `rise` between them: the other way
/// round of [`bend`]. `None` where there is no such geometry: the rise is more than [`most_rise`], or no length is
/// more than nothing.
///
/// The rise `(l - D t) sin t + D (1 - cos t)` grows with the angle t throughout, with the slope
/// `(l - D t) cos t`, so one root is bracketed; Newton's step is taken while it stays inside the bracket, else the
/// bracket is halved.
#[must_use]
pub fn spacing_of(length: Mm, rise: Mm, contact: Mm) -> Option<Mm> {
    let (l, h, d) = (length.mm(), rise.mm(), contact.mm());
    if !(l > 0.0 && d > 0.0 && h >= 0.0 && l.is_finite() && d.is_finite()) {
        return None;
    }
    if h > most_rise(length, contact).mm() + ROUNDING * d {
        return None;
    }
    let (mut low, mut high) = (0.0, (l / d).min(FRAC_PI_2));
    let mut t = (h / l).min(high);
    for _ in 0..200 {
        let missing = h - ((l - d * t) * math::sin(t) + d * (1.0 - math::cos(t)));
        if missing > 0.0 {
            low = t;
        } else {
            high = t;
        }
        let newton = t + missing / ((l - d * t) * math::cos(t));
        let next = if newton > low && newton < high { newton } else { (low + high) / 2.0 };
        if next == t || high - low <= f64::EPSILON * high {
            break;
        }
        t = next;
    }
    // A thread is never shorter than the cloth that it lies in.
    Some(Mm::new(((l - d * t) * math::cos(t) + d * math::sin(t)).min(l)))
}

/// How far a weft can move from face to face between ends at `spacing`: by the whole contact if the ends stand
/// at least that far apart and so may stay straight, else by what the jammed weft leaves to the warp:
/// `D (1 - sqrt(1 - (p/D)^2))`.
#[must_use]
pub fn weft_rise(spacing: Mm, contact: Mm) -> Mm {
    contact * (1.0 - jammed_cosine(spacing, contact))
}

/// The length of weft that a change of face takes between ends at `spacing`, as far as the weft can move.
///
/// At a spacing of D or more the warp is straight: `p (asin(1/x) + sqrt(x^2 - 1)) / x` with x = p/D. Closer
/// than that the weft is jammed and all of it lies on the arc: `D asin(p/D)`. Both give `D pi/2` where they
/// meet. Where the yarns have no thickness it takes the spacing itself.
#[must_use]
pub fn path_at_change(spacing: Mm, contact: Mm) -> Mm {
    let (p, d) = (spacing.mm(), contact.mm());
    if !(d > 0.0 && p > 0.0) {
        return spacing;
    }
    let length = if p >= d { d * math::asin(d / p) + (p * p - d * d).sqrt() } else { d * math::asin(p / d) };
    Mm::new(length)
}

/// The closest spacing of one set of threads where the other set's is `other` and both are jammed:
/// `D sqrt(1 - (1 - sqrt(1 - (p/D)^2))^2)`. Nothing where the other set stands so open (D or more) that its
/// threads don't keep these apart; what their own thickness needs is another limit.
#[must_use]
pub fn jammed_spacing(other: Mm, contact: Mm) -> Mm {
    // The cosines of both angles add up to 1.
    let cosine = 1.0 - jammed_cosine(other, contact);
    contact * (1.0 - cosine * cosine).sqrt()
}

/// Cosine of the steepest angle of a jammed thread that crosses others at `spacing`: `sqrt(1 - (p/D)^2)`, and 0
/// from D on.
fn jammed_cosine(spacing: Mm, contact: Mm) -> f64 {
    let (p, d) = (spacing.mm(), contact.mm());
    if p < d { (1.0 - (p / d) * (p / d)).sqrt() } else { 0.0 }
}
