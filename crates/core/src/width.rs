//! Where the width is measured while weaving, and how wide the cloth should be there.
//!
//! A cloth that is drawn in says so only to a ruler, and what is woven stays as it is. So it is measured every few
//! centimetres, as long as enough is still to be woven for another way of laying the weft in to tell. Just after a
//! plain row is the best place: there each end is held on both faces and the edges lie where they will stay.
//! Common practice, no source.

use crate::cloth::size::Size;
use crate::piece::Piece;
use crate::quantity::Mm;
use crate::side::{Side, Span};
use crate::walk::{Step, Walk};

/// How far above the foot the first measuring lies best: by then the edges show how the weft is laid in, and little is to be
/// woven again.
const FIRST: Mm = Mm::new(15.0);
/// How far above the last measuring the next one lies best.
const APART: Mm = Mm::new(40.0);
/// How far from there a better place is looked for, as a part of that.
const AROUND: f64 = 0.25;
/// What must be left to weave.
const TO_COME: Mm = Mm::new(20.0);

/// Adds the measuring to what is done before rows.
pub fn measure(walk: &mut Walk, piece: &Piece, size: &Size) {
    for row in measured_before(piece) {
        if let Some(row) = walk.rows.get_mut(row as usize) {
            // It comes first: the needle's own steps belong to the row.
            row.before.insert(0, Step::Measure { width: size.on_loom.width });
        }
    }
}

/// The rows, from 0, before which the width is measured. Only what the rows themselves say counts, so that a piece
/// is measured at the same places from the back and in a mirror.
#[must_use]
pub fn measured_before(piece: &Piece) -> Vec<u32> {
    let whole = (0..piece.row_count()).map(|row| piece.crossings(row).span()).reduce(Span::hull);
    let Some(whole) = whole.filter(|whole| whole.len() > 1) else { return Vec::new() };
    let mut fell = Mm::ZERO;
    // Places at which the last row lies over the whole width, each with its height and whether that row is plain.
    let mut places = Vec::new();
    for (row, this) in (0_u32..).zip(&piece.rows) {
        fell = fell.max(this.height);
        let crossings = piece.crossings(row);
        if crossings.span() == whole {
            places.push((row, fell, crossings.runs(Side::Left).all(|run| run.ends == 1)));
        }
    }
    places.retain(|&(_, height, _)| height + TO_COME <= fell);
    let mut measured = Vec::new();
    let (mut last, mut on) = (Mm::ZERO, FIRST);
    let mut rest = places.as_slice();
    loop {
        let low = rest.partition_point(|&(_, height, _)| height < last + on * (1.0 - AROUND));
        let high = rest.partition_point(|&(_, height, _)| height <= last + on * (1.0 + AROUND));
        let off = |height: Mm| (height - (last + on)).mm().abs();
        let best = rest
            .get(low..high)
            .unwrap_or_default()
            .iter()
            .min_by(|(_, a, plain), (_, b, other)| other.cmp(plain).then(off(*a).total_cmp(&off(*b))));
        let Some(&(row, height, _)) = best.or_else(|| rest.get(low)) else { break };
        measured.push(row + 1);
        (last, on) = (height, APART);
        rest = &rest[low..];
    }
    measured
}
