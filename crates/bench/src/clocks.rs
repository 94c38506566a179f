//! Moments by two clocks at once. The system's clock goes on while the machine sleeps, but it can be set; the steady
//! one can't be set, but on some systems it stands still meanwhile. What must end in time ends when either says so.

use fellmark_core::weaving::Moment;
use fellmark_store::{SystemWorld, World};
use std::time::{Duration, Instant};

/// What both clocks say now.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Now {
    steady: Instant,
    clock: Moment,
}

/// The end of something.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Until {
    steady: Instant,
    /// By the system's clock.
    pub(crate) clock: Moment,
}

impl Now {
    pub(crate) fn new() -> Now {
        Now { steady: Instant::now(), clock: SystemWorld.now() }
    }

    /// As long after this.
    pub(crate) fn and(self, lasts: Duration) -> Until {
        let millis = i64::try_from(lasts.as_millis()).unwrap_or(i64::MAX);
        Until { steady: self.steady + lasts, clock: Moment(self.clock.0.saturating_add(millis)) }
    }
}

impl Until {
    /// Whether it is over: by either clock.
    pub(crate) fn is_over(self, now: Now) -> bool {
        now.steady >= self.steady || now.clock >= self.clock
    }
}

#[cfg(test)]
impl Now {
    /// Both clocks have gone on.
    pub(crate) fn later(self, by: Duration) -> Now {
        self.slept(by).awake(by)
    }

    /// The system's clock alone has gone on.
    pub(crate) fn slept(self, by: Duration) -> Now {
        Now { clock: self.and(by).clock, ..self }
    }

    /// Before the system's clock alone has gone on.
    pub(crate) fn slept_before(self, by: Duration) -> Now {
        let millis = i64::try_from(by.as_millis()).unwrap_or(i64::MAX);
        Now { clock: Moment(self.clock.0.saturating_sub(millis)), ..self }
    }

    /// The steady clock alone has gone on, as where the other was set back meanwhile.
    pub(crate) fn awake(self, by: Duration) -> Now {
        Now { steady: self.steady + by, ..self }
    }
}
