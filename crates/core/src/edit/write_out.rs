//! A band's rows written out, as the piece has them. What it comes to is tried: all rows of the piece stay what
//! they are.

use super::EditError;
use super::touch::shortest;
use crate::habits::Habits;
use crate::piece::{self, Piece, Place};
use crate::plan::{BandId, Change, Edges, Extent, Plan, WrittenOut, WrittenRow};
use crate::quantity::Mm;
use crate::side::Side;

/// The changes that write a band's rows out.
pub(super) fn changes(plan: &Plan, band: BandId) -> Result<Vec<Change>, EditError> {
    let here = plan.bands.get(band.0).ok_or(EditError::NotThere)?;
    let piece = piece::make(plan, &Habits::of(plan))?;
    let mut places = piece.places.iter().filter(|place| place.band == band);
    let place = places.next().ok_or_else(|| EditError::NotInPiece(here.name.clone()))?;
    let rows = rows_at(&piece, place).ok_or(EditError::NotThere)?;
    if !places.all(|other| rows_at(&piece, other).as_ref() == Some(&rows)) {
        return Err(EditError::NotAlike(here.name.clone()));
    }
    let every = period(&rows);
    let once = rows.len() as u32;
    let counted = if every == rows.len() { None } else { Some(Extent::Rows(once)) };
    let kept = plan.extent_of(band).filter(|extent| !matches!(extent, Extent::Rows(_))).cloned();
    let wefts = plan.wefts_in_turn(band);
    let written = WrittenOut {
        rows: rows[..every].to_vec(),
        wefts: (here.wefts.as_ref() != Some(&wefts)).then_some(wefts),
        extent: None,
        beat: plan.beat_of(band).filter(|_| here.beat.is_none()).cloned(),
        ends: plan.ends_of(band).filter(|_| here.ends.is_none()),
        edges: (plan.edges_of(band).unwrap_or(plan.edges) == Edges::Taken).then_some(Edges::Crossed),
    };
    // As long as it was, in the same words if they still come to the same, else as so many rows.
    let extents =
        kept.map(|kept| (Some(kept), every)).into_iter().chain([(counted, every), (None, rows.len())]);
    for (extent, listed) in extents {
        let written = WrittenOut { rows: rows[..listed].to_vec(), extent, ..written.clone() };
        let change = Change::WrittenOut(band, written);
        let mut changed = plan.clone();
        change.apply(&mut changed)?;
        if changed == *plan {
            return Err(EditError::IsWrittenOut(here.name.clone()));
        }
        if piece::make(&changed, &Habits::of(&changed)).is_ok_and(|made| same_cloth(&made, &piece)) {
            return Ok(vec![change]);
        }
    }
    Err(EditError::OthersChange(here.name.clone()))
}

/// Whether two pieces are the same row for row, by the same needles from the same sides, as closely beaten.
fn same_cloth(one: &Piece, other: &Piece) -> bool {
    let rows = |piece: &Piece| -> Vec<(String, Side, Option<Mm>)> {
        piece.rows.iter().map(|row| (piece.wefts[row.weft.0].name.clone(), row.from, row.apart)).collect()
    };
    one.grid == other.grid && rows(one) == rows(other)
}

/// The rows of a place, each no further than until it begins again.
fn rows_at(piece: &Piece, place: &Place) -> Option<Vec<WrittenRow>> {
    let written = |row: u32| {
        let woven = piece.grid.row(row)?;
        let span = woven.span();
        let runs = shortest(span.ends().map(|end| woven.over(end) == Some(true)))?;
        Some(WrittenRow { runs, ends: (span != place.span).then_some(span) })
    };
    place.row_range().map(written).collect()
}

/// After how many of its elements a list begins again: all of them where it does not.
pub(super) fn period<T: PartialEq>(list: &[T]) -> usize {
    // How much of the list's start ends at each element (Knuth, Morris and Pratt): what is left over at the end is
    // the shortest stretch that comes again.
    let mut borders = vec![0_usize; list.len()];
    for at in 1..list.len() {
        let mut border = borders[at - 1];
        while border > 0 && list[at] != list[border] {
            border = borders[border - 1];
        }
        borders[at] = border + usize::from(list[at] == list[border]);
    }
    list.len() - borders.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::period;

    #[test]
    fn the_shortest_stretch_that_comes_again_is_found_even_if_it_is_cut_off() {
        assert_eq!(period(&[1, 2, 1, 2]), 2);
        assert_eq!(period(&[1, 2, 1, 2, 1]), 2);
        assert_eq!(period(&[1, 1, 2, 1, 1, 2, 1, 1]), 3);
        assert_eq!(period(&[1, 2, 3]), 3);
        assert_eq!(period(&[7, 7, 7]), 1);
        assert_eq!(period::<u8>(&[]), 0);
    }
}
