//! Whether two yarns can be told apart by their colours, and by whom.
//!
//! The limits are from common practice, no source: published limits (a difference of 1 is just seen, textile
//! works accept about as much) are for flat patches side by side, and yarn in cloth is neither flat nor large.

use super::{Difference, Srgb, Vision, difference, lightness_difference};

/// Below this two yarns are taken for one and the same.
const SAME: Difference = Difference::new(3.0);
/// Below this two yarns look alike in cloth.
const ALIKE: Difference = Difference::new(8.0);
/// Below this difference in lightness a pattern is gone in a photograph in grey.
const SAME_IN_GREY: f64 = 5.0;

/// How two colours are hard to tell apart.
#[derive(Debug, Clone, PartialEq)]
pub enum Likeness {
    /// They are nearly or wholly the same.
    Same,
    /// They look alike to everyone.
    ToAll,
    /// They look alike only to eyes that lack a kind of cone: one of these, never none.
    ToSome(Vec<Vision>),
    /// They differ in hue alone.
    InGrey,
}

/// How two colours are hard to tell apart; `None` where everyone can tell them apart, in dim light too.
#[must_use]
pub fn likeness(one: Srgb, other: Srgb) -> Option<Likeness> {
    let seen = |vision: Vision| {
        let [one, other] = [one, other].map(|colour| vision.sees(colour.linear()).xyz().lab());
        difference(one, other)
    };
    let full = seen(Vision::Full);
    if full < SAME {
        return Some(Likeness::Same);
    }
    if full < ALIKE {
        return Some(Likeness::ToAll);
    }
    let some: Vec<Vision> = Vision::LACKING.into_iter().filter(|&vision| seen(vision) < ALIKE).collect();
    if !some.is_empty() {
        return Some(Likeness::ToSome(some));
    }
    (lightness_difference(one.lab(), other.lab()) < SAME_IN_GREY).then_some(Likeness::InGrey)
}
