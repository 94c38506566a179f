//! The counts a weaving was begun with. Habits change as a maker is measured, and with them the number of rows
//! that makes a length; a cloth that is on the loom keeps the numbers it was begun with.

use crate::piece::Piece;

/// How many ends and rows a plan came to.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Counts {
    /// Ends of the warp.
    pub ends: u32,
    /// The rows of each place in the stack, from the bottom up.
    pub places: Vec<PlaceRows>,
}

/// The rows of one place.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PlaceRows {
    /// The band that stands there.
    pub band: String,
    /// As many rows.
    pub rows: u32,
}

impl Counts {
    /// The counts of a piece.
    #[must_use]
    pub fn of(piece: &Piece) -> Counts {
        let places = piece.places.iter().map(|p| PlaceRows { band: p.name.clone(), rows: p.rows }).collect();
        Counts { ends: piece.end_count(), places }
    }

    /// All rows together.
    #[must_use]
    pub fn rows(&self) -> u32 {
        self.places.iter().fold(0, |sum, place| sum.saturating_add(place.rows))
    }
}
