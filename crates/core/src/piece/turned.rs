//! A piece as it is for a weaver who has its back before her: turned over like a page, so that left and right
//! change places and over becomes under. Row 1 stays at the bottom.

use super::{End, Piece};
use crate::grid::Grid;
use crate::side::{Span, Surface};

impl Piece {
    /// The piece turned over like a page. Turned twice it is the piece again.
    ///
    /// # Panics
    /// Never: a turned row lies within the same ends.
    #[must_use]
    pub fn turned(&self) -> Piece {
        let last = self.end_count() - 1;
        let mirrored = |span: Span| {
            Span::new(last - span.last(), last - span.first()).expect("a mirrored span is as long as before")
        };
        let mut grid = Grid::with_capacity(self.end_count(), self.row_count());
        for row in self.grid.iter() {
            let mut turned = grid.push_row(mirrored(row.span())).expect("the span lies within the ends");
            turned.fill(|end| row.over(last - end) == Some(false));
        }
        let last_notch = self.ends.last().map_or(0, |end| end.notch);
        let mut piece = Piece { grid, ..self.clone() };
        piece.ends =
            self.ends.iter().rev().map(|end| End { yarn: end.yarn, notch: last_notch - end.notch }).collect();
        for needle in &mut piece.wefts {
            needle.from = needle.from.other();
        }
        for row in &mut piece.rows {
            row.from = row.from.other();
        }
        for place in &mut piece.places {
            place.span = mirrored(place.span);
        }
        piece.shows = match self.shows {
            Surface::Front => Surface::Back,
            Surface::Back => Surface::Front,
        };
        piece
    }
}
