//! A prediction: what is likely, how far it may be off, and what it rests on.

use super::Mm;
use std::ops::Add;

/// What a prediction rests on. Several may be true at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Basis {
    /// Computed from the cloth model.
    pub model: bool,
    /// Follows from a habit: the maker's, or a default until samples have been measured.
    pub habit: bool,
    /// Follows from something measured.
    pub measured: bool,
}

impl Basis {
    /// Computed from the cloth model alone.
    pub const MODEL: Basis = Basis { model: true, habit: false, measured: false };
    /// A habit alone.
    pub const HABIT: Basis = Basis { model: false, habit: true, measured: false };

    /// What two predictions rest on together.
    #[must_use]
    pub fn and(self, other: Basis) -> Basis {
        Basis {
            model: self.model || other.model,
            habit: self.habit || other.habit,
            measured: self.measured || other.measured,
        }
    }
}

/// A predicted quantity. `low` and `high` bound about nine cases in ten, as far as the spreads of the
/// habits are right; a bare number elsewhere is exact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<Q> {
    /// The value to plan with.
    pub likely: Q,
    /// The lower end of the spread.
    pub low: Q,
    /// The upper end of the spread.
    pub high: Q,
    /// What it rests on.
    pub basis: Basis,
}

impl<Q: Copy> Estimate<Q> {
    /// The same conversion applied to all three values; it must not reverse their order.
    pub fn map<R>(self, f: impl Fn(Q) -> R) -> Estimate<R> {
        Estimate { likely: f(self.likely), low: f(self.low), high: f(self.high), basis: self.basis }
    }
}

impl Estimate<Mm> {
    /// A length with the spread that follows from what each habit, taken at either end of its own, would make of
    /// it. The differences are taken to be independent, so their squares add; no length is less than nothing.
    #[must_use]
    pub fn varied(likely: Mm, varied: impl Iterator<Item = [Mm; 2]>, basis: Basis) -> Estimate<Mm> {
        let (mut down, mut up) = (0.0, 0.0);
        for pair in varied {
            let off = pair.map(|value| (value - likely).mm());
            let (low, high) = (off[0].min(off[1]).min(0.0), off[0].max(off[1]).max(0.0));
            down += low * low;
            up += high * high;
        }
        let low = (likely - Mm::new(down.sqrt())).max(Mm::ZERO);
        Estimate { likely, low, high: likely + Mm::new(up.sqrt()), basis }
    }
}

/// Adds estimates whose errors move together (the same habit is behind both), so the spreads add too.
impl<Q: Add<Output = Q>> Add for Estimate<Q> {
    type Output = Estimate<Q>;
    fn add(self, other: Estimate<Q>) -> Estimate<Q> {
        Estimate {
            likely: self.likely + other.likely,
            low: self.low + other.low,
            high: self.high + other.high,
            basis: self.basis.and(other.basis),
        }
    }
}
