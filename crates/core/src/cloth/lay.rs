//! A piece, packed row upon row.

use super::build_up::Watch;
use super::{Across, Cloth};
use crate::habits::{Habit, Habits};
use crate::pack::Packer;
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::quantity::Mm;
use crate::thread::Thread;

/// Packs a piece with a maker's likely habits.
#[must_use]
pub fn lay(piece: &Piece, habits: &Habits) -> Cloth {
    let ends = piece.end_count();
    let strands = piece.loom.strands_per_end();
    let yarns: Vec<Thread> = piece.yarns.iter().map(|yarn| Thread::of(yarn, strands, habits)).collect();
    let wefts: Vec<Thread> = (0..piece.wefts.len()).map(|weft| piece.thread(WeftId(weft), habits)).collect();
    let warp = piece.warp_thread(habits);
    let mut packer = Packer::new(ends, piece.spacing(), warp, habits.ratio(Habit::Comb));
    let places = piece.grid.iter().map(|row| 2 * row.span().len() as usize - 1).sum();
    let mut cloth = Cloth {
        spacing: piece.spacing(),
        warp: piece.ends.iter().map(|end| yarns[end.yarn.0]).collect(),
        rows: Vec::with_capacity(piece.rows.len()),
        starts: Vec::with_capacity(piece.rows.len()),
        heights: Vec::with_capacity(places),
        fell: vec![0.0; 2 * ends as usize - 1],
        last_combable: None,
        hump: None,
        wefts,
    };
    let reach = piece.reach();
    let mut combable = true;
    let mut watch = Watch::default();
    for ((number, row), crossings) in (0_u32..).zip(&piece.rows).zip(piece.grid.iter()) {
        let (span, words) = (crossings.span(), crossings.words());
        let thread = cloth.wefts[row.weft.0];
        let half = (thread.along * (habits.ratio(Habit::Comb) / 2.0)).mm() as f32;
        let over = |end: u32| words[(end / u64::BITS) as usize] >> (end % u64::BITS) & 1 == 1;
        let heights = packer.lay_bending(span, over, thread, row.apart);
        cloth.starts.push(cloth.heights.len());
        cloth.heights.extend(heights.iter().map(|height| height.to_f32()));
        cloth.rows.push((span, row.weft));
        let first = Across::End(span.first()).number() as usize;
        let laid = &cloth.heights[cloth.heights.len() - heights.len()..];
        let mut top = 0.0_f32;
        for (fell, &height) in cloth.fell[first..].iter_mut().zip(laid) {
            *fell = fell.max(height + half);
            top = top.max(height + half);
        }
        // A hair's breadth of rounding must not count.
        combable &= Mm::new(f64::from(top)) <= reach + Mm::new(1e-3);
        if combable {
            cloth.last_combable = Some(number);
        }
        let laid_on = &cloth.fell[first..first + heights.len()];
        watch.row(number, span, laid_on.iter().step_by(2).copied());
    }
    cloth.hump = watch.hump();
    cloth
}
