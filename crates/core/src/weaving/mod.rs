//! A weaving: one cloth made from a piece. Which rows are done is a set of facts that devices join without
//! asking one another; each row done is kept as it was woven, whatever becomes of the plan, the habits or the
//! program; and where the fell is follows from both alone.

mod counts;
mod log;
mod pace;
mod place;
mod woven;

pub use counts::{Counts, PlaceRows};
pub use log::{Fact, Log, Moment, Rows, Tick, TickId};
pub use pace::{Pace, pace};
pub use place::{Difference, Place, What, differences, place};
pub use woven::{Act, Opening, Woven};

#[cfg(test)]
mod tests;
