//! The weaver's pace: how long a row takes, from the moments of ticks.

use super::{Fact, Log, Tick};

/// So many of the last rows are looked at.
const LOOKED_AT: usize = 25;
/// A longer gap is a pause, not a row.
const PAUSE: i64 = 15 * 60_000;
/// Nobody weaves a row faster: one that was woven before is ticked now.
const QUICKEST: i64 = 5_000;
/// Fewer rows say nothing.
const ENOUGH: usize = 4;

/// How long a row takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    milliseconds: i64,
}

impl Pace {
    /// What so many rows take at this pace, in minutes.
    #[must_use]
    pub fn minutes(self, rows: u32) -> f64 {
        self.milliseconds as f64 * f64::from(rows) / 60_000.0
    }
}

/// The pace of the rows that were ticked last: the middle one of what lies between a row done and the one done just
/// before it. `None` where that is known of too few.
#[must_use]
pub fn pace(log: &Log) -> Option<Pace> {
    let mut ticks: Vec<&Tick> = log.iter().map(|(_, tick)| tick).collect();
    ticks.sort_by_key(|tick| (tick.at, tick.row));
    let done = |tick: &Tick| matches!(tick.fact, Fact::Done(_));
    let gaps = ticks.windows(2).rev().filter(|pair| done(pair[0]) && done(pair[1]));
    let took = gaps.map(|pair| pair[1].at.0.saturating_sub(pair[0].at.0));
    let mut rows: Vec<i64> = took.filter(|took| (QUICKEST..=PAUSE).contains(took)).take(LOOKED_AT).collect();
    rows.sort_unstable();
    (rows.len() >= ENOUGH).then(|| Pace { milliseconds: rows[rows.len() / 2] })
}
