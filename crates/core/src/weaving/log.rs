//! The log of ticks. A tick says an absolute fact about one row and has an id of its own, so a second tap, a
//! resend or two devices do no harm: a log is a set, and joining logs is the union of sets.
//!
//! Among the facts about one row the latest holds. Of those that say it is done with nothing taken back
//! between, the earliest says how it was woven: a later tick of a row that is done changes nothing.

use super::Woven;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// The id of a tick, drawn at random by whoever made it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TickId(pub [u8; 16]);

/// When a tick was made: milliseconds since 1970-01-01 UTC by the clock of whoever made it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(pub i64);

/// What a tick says of its row.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fact {
    /// It is done, and this is how it was woven.
    Done(Woven),
    /// It was taken out again.
    TakenBack,
}

/// A fact about one row.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tick {
    /// The row, from 0.
    pub row: u32,
    /// When it was ticked.
    pub at: Moment,
    /// What is so.
    pub fact: Fact,
}

/// The rows that are done, from 0, each as it was woven.
pub type Rows<'a> = BTreeMap<u32, &'a Woven>;

/// All ticks of a weaving that are known here.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Log {
    ticks: BTreeMap<TickId, Tick>,
}

impl Log {
    /// A log with nothing in it.
    #[must_use]
    pub fn new() -> Log {
        Log::default()
    }

    /// Adds a tick, and says whether it was new. Of two ticks with one id the lesser is kept, so that the
    /// order in which they come makes no difference.
    pub fn add(&mut self, id: TickId, tick: Tick) -> bool {
        match self.ticks.entry(id) {
            Entry::Vacant(free) => {
                free.insert(tick);
                true
            }
            Entry::Occupied(mut taken) => {
                if tick < *taken.get() {
                    taken.insert(tick);
                }
                false
            }
        }
    }

    /// Adds all ticks of another log.
    pub fn join(&mut self, other: &Log) {
        for (&id, tick) in &other.ticks {
            self.add(id, tick.clone());
        }
    }

    /// The ticks by their ids.
    pub fn iter(&self) -> impl Iterator<Item = (TickId, &Tick)> {
        self.ticks.iter().map(|(&id, tick)| (id, tick))
    }

    /// How many ticks there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.ticks.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.ticks.is_empty()
    }

    /// The rows that are done.
    #[must_use]
    pub fn rows(&self) -> Rows<'_> {
        let mut in_order: Vec<(TickId, &Tick)> = self.iter().collect();
        in_order.sort_by_key(|&(id, tick)| (tick.at, matches!(tick.fact, Fact::TakenBack), id));
        let mut rows = Rows::new();
        for (_, tick) in in_order {
            match &tick.fact {
                Fact::Done(woven) => {
                    rows.entry(tick.row).or_insert(woven);
                }
                Fact::TakenBack => {
                    rows.remove(&tick.row);
                }
            }
        }
        rows
    }

    /// The moment for a new tick of a row, made with every tick of this log in view: now, or just after the
    /// latest tick of that row if a clock elsewhere is ahead. So a row is taken back later than it was ticked.
    #[must_use]
    pub fn moment(&self, row: u32, now: Moment) -> Moment {
        let latest = self.ticks.values().filter(|tick| tick.row == row).map(|tick| tick.at).max();
        latest.map_or(now, |latest| now.max(Moment(latest.0.saturating_add(1))))
    }
}
