//! The transcendental functions, from one library on every machine.
//!
//! The platform's own differ in the last bits between machines, and equal input must give equal bytes.
//! Square roots, rounding and the four operations are exact by IEEE 754 and are used directly.

/// Sine of an angle in radians.
#[must_use]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle in radians.
#[must_use]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Arc sine in radians; NaN outside -1..=1.
#[must_use]
pub fn asin(x: f64) -> f64 {
    libm::asin(x)
}

/// Angle of the direction (x, y) from the x axis, in radians.
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// e to the power of x.
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// x to the power of y; NaN for x below 0 unless y is whole.
#[must_use]
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// Cube root, of negative numbers too.
#[must_use]
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}
