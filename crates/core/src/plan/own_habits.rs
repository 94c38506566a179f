//! The habits that a plan is woven with: those built in, with its own in their place.

use super::Plan;
use crate::habits::Habits;

impl Habits {
    /// The habits that a plan is woven with.
    #[must_use]
    pub fn of(plan: &Plan) -> Habits {
        Habits::with_own(&plan.habits)
    }
}
