//! What the store can't know by itself: what time it is, and chance.

use fellmark_core::weaving::Moment;
use std::time::{SystemTime, UNIX_EPOCH};

/// The clock and chance. Tests pass ones that say the same every time.
pub trait World: Send {
    /// What time it is.
    fn now(&mut self) -> Moment;

    /// Fills `bytes` so that nobody can guess them and no two calls give the same.
    fn random(&mut self, bytes: &mut [u8]);
}

/// The system's clock and its source of chance.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemWorld;

impl World for SystemWorld {
    fn now(&mut self) -> Moment {
        // A clock set before 1970 counts as 1970: moments only order things.
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        Moment(i64::try_from(since.as_millis()).unwrap_or(i64::MAX))
    }

    /// # Panics
    /// If the system has no source of chance at all; ids made without one could meet.
    fn random(&mut self, bytes: &mut [u8]) {
        getrandom::fill(bytes).expect("the system gives random bytes");
    }
}
