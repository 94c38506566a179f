//! A piece as far as it is woven.

use super::{Piece, Place};
use crate::grid::Grid;

impl Piece {
    /// The piece with only its first rows: what is on the loom when so many are woven. `None` if those are no rows
    /// at all; all of it if it has no more.
    #[must_use]
    pub fn up_to(&self, rows: u32) -> Option<Piece> {
        if rows == 0 || self.rows.is_empty() {
            return None;
        }
        let rows = rows.min(self.row_count());
        let mut grid = Grid::with_capacity(self.end_count(), rows);
        for row in self.grid.iter().take(rows as usize) {
            grid.push_words(row.span(), row.words()).ok()?;
        }
        let place = |place: &Place| Place { rows: place.rows.min(rows - place.first_row), ..place.clone() };
        let places = self.places.iter().filter(|place| place.first_row < rows).map(place).collect();
        let mut piece = Piece { grid, places, ..self.clone() };
        piece.rows.truncate(rows as usize);
        Some(piece)
    }
}
