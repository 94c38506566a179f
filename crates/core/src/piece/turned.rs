//! A piece seen or woven otherwise: turned over like a page for a weaver who has its back before her, as its
//! back looks, or mirrored, so that what lay at the left lies at the right. Row 1 stays at the bottom.

use super::{End, Piece};
use crate::grid::Grid;
use crate::side::{Pass, Span, Surface};

impl Piece {
    /// The piece turned over like a page: left and right change places and over becomes under. Turned twice it
    /// is the piece again.
    #[must_use]
    pub fn turned(&self) -> Piece {
        let mut piece = self.reversed(Piece::turned, Pass::opposite);
        piece.shows = match self.shows {
            Surface::Front => Surface::Back,
            Surface::Back => Surface::Front,
        };
        piece
    }

    /// The same cloth seen from its back: as turned over like a page, but that yarn led in front of ends lies behind them.
    #[must_use]
    pub fn from_back(&self) -> Piece {
        Piece { leads: self.leads.opposite(), ..self.turned() }
    }

    /// The piece woven the other way round: left and right change places, over stays over. It is another
    /// cloth than the piece itself; mirrored twice it is the piece again.
    #[must_use]
    pub fn mirrored(&self) -> Piece {
        self.reversed(Piece::mirrored, |pass| pass)
    }

    /// Left and right change places, every crossing becomes what `pass` makes of it, and the header what `header` does.
    ///
    /// # Panics
    /// Never: a reversed row lies within the same ends.
    fn reversed(&self, header: fn(&Piece) -> Piece, pass: impl Fn(Pass) -> Pass) -> Piece {
        let last = self.end_count() - 1;
        let mirrored = |span: Span| {
            Span::new(last - span.last(), last - span.first()).expect("a mirrored span is as long as before")
        };
        let mut grid = Grid::with_capacity(self.end_count(), self.row_count());
        for row in self.grid.iter() {
            let mut turned = grid.push_row(mirrored(row.span())).expect("the span lies within the ends");
            turned.fill(|end| row.pass(last - end).is_some_and(|was| pass(was).is_over()));
        }
        let last_notch = self.ends.last().map_or(0, |end| end.notch);
        let mut piece = Piece { grid, ..self.clone() };
        piece.ends =
            self.ends.iter().rev().map(|end| End { yarn: end.yarn, notch: last_notch - end.notch }).collect();
        piece.header = self.header.as_ref().map(|known| known.reversed(self.end_count(), header, &pass));
        for needle in &mut piece.wefts {
            needle.from = needle.from.other();
        }
        for row in &mut piece.rows {
            row.from = row.from.other();
        }
        for place in &mut piece.places {
            place.span = mirrored(place.span);
        }
        piece
    }
}
