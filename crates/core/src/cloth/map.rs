//! From a point of the cloth to the row and the end that lie there.

use super::{Across, Cloth};
use crate::piece::Piece;
use crate::quantity::Mm;

/// A crossing of the cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spot {
    /// The row, counted from 0.
    pub row: u32,
    /// The end, counted from 0.
    pub end: u32,
}

/// What a finger finds along an end, from the foot of the cloth to its fell.
#[derive(Debug, Clone, PartialEq)]
pub struct Spots {
    /// Every row that covers the end, with the height of its centre line, from the bottom up.
    pub lies: Vec<(u32, Mm)>,
    /// What is found, from the bottom up: from each height up to the next, this row.
    pub found: Vec<(Mm, u32)>,
    /// The height above which there is nothing.
    pub top: Mm,
}

/// The end that is nearest, and of the rows that cover it the one that is seen there: the nearest that passes
/// over the end if the point lies on its strand, else the nearest of all.
pub(super) fn point(cloth: &Cloth, piece: &Piece, x: Mm, y: Mm) -> Option<Spot> {
    let along = x / cloth.spacing();
    let last = f64::from(cloth.end_count() - 1);
    // Half a spacing beyond the outer ends still belongs to them.
    if !(-0.5..=last + 0.5).contains(&along) || !(0.0..f64::INFINITY).contains(&y.mm()) {
        return None;
    }
    let end = along.round().clamp(0.0, last) as u32;
    let rows = Rows::at(cloth, piece, end, x);
    let row = rows.nearest(&rows.all, y)?;
    // Above the fell and beside the cloth there is nothing.
    let inside = row.off(y) <= row.half || y <= cloth.fell_at(end);
    inside.then(|| Spot { row: rows.seen(y).unwrap_or(row.number), end })
}

/// What a finger finds along an end.
pub(super) fn spots(cloth: &Cloth, piece: &Piece, end: u32) -> Spots {
    let rows = Rows::at(cloth, piece, end, cloth.spacing() * f64::from(end));
    // What is seen changes only where a strand that passes over begins or ends, or half way between two rows.
    let halves = |rows: &[Row]| -> Vec<Mm> {
        rows.windows(2).map(|pair| (pair[0].height + pair[1].height) / 2.0).collect()
    };
    let mut marks = vec![Mm::ZERO];
    marks.extend(halves(&rows.all));
    marks.extend(halves(&rows.over));
    marks.extend(rows.over.iter().flat_map(|row| [row.height - row.half, row.height + row.half]));
    let fell = cloth.fell_at(end);
    let top = rows.all.last().map(|row| row.height + row.half).filter(|&top| top > fell).unwrap_or(fell);
    marks.retain(|mark| (Mm::ZERO..top).contains(mark));
    marks.push(top);
    marks.sort_by(|a, b| a.mm().total_cmp(&b.mm()));
    let mut found: Vec<(Mm, u32)> = Vec::new();
    for pair in marks.windows(2) {
        let Some(row) = rows.seen((pair[0] + pair[1]) / 2.0) else { continue };
        if found.last().is_none_or(|&(_, last)| last != row) {
            found.push((pair[0], row));
        }
    }
    Spots { lies: rows.all.iter().map(|row| (row.number, row.height)).collect(), found, top }
}

/// The rows that cover an end, by height.
struct Rows {
    all: Vec<Row>,
    /// Those that pass over it.
    over: Vec<Row>,
}

#[derive(Debug, Clone, Copy)]
struct Row {
    number: u32,
    height: Mm,
    /// Half of what its strand covers.
    half: Mm,
}

impl Row {
    fn off(self, y: Mm) -> Mm {
        (self.height - y).abs()
    }
}

impl Rows {
    fn at(cloth: &Cloth, piece: &Piece, end: u32, x: Mm) -> Rows {
        let row = |number: u32| {
            let height = height(cloth, number, end, x)?;
            Some(Row { number, height, half: cloth.thread(number).spread() / 2.0 })
        };
        let mut all: Vec<Row> = (0..cloth.row_count()).filter_map(row).collect();
        all.sort_by(|a, b| a.height.mm().total_cmp(&b.height.mm()));
        let over = all.iter().copied().filter(|row| piece.grid.over(row.number, end) == Some(true)).collect();
        Rows { all, over }
    }

    /// The row that is seen at a height.
    fn seen(&self, y: Mm) -> Option<u32> {
        let over = self.nearest(&self.over, y).filter(|row| row.off(y) <= row.half);
        over.or_else(|| self.nearest(&self.all, y)).map(|row| row.number)
    }

    /// The nearest of rows that are sorted by height; of two, the lower.
    fn nearest(&self, rows: &[Row], y: Mm) -> Option<Row> {
        let above = rows.partition_point(|row| row.height < y);
        let below = above.checked_sub(1).and_then(|k| rows.get(k));
        match (below, rows.get(above)) {
            (Some(below), Some(above)) => Some(if above.off(y) < below.off(y) { *above } else { *below }),
            (below, above) => below.or(above).copied(),
        }
    }
}

/// The height of a row at a point across near an end, if it covers the end.
fn height(cloth: &Cloth, row: u32, end: u32, x: Mm) -> Option<Mm> {
    let lie = cloth.row(row);
    let on = lie.at(Across::End(end))?;
    let off = (x - cloth.spacing() * f64::from(end)) / (cloth.spacing() / 2.0);
    let side = if off < 0.0 { end.checked_sub(1).map(Across::Gap) } else { Some(Across::Gap(end)) };
    let beside = side.and_then(|gap| lie.at(gap)).unwrap_or(on);
    Some(on + (beside - on) * off.abs().min(1.0))
}
