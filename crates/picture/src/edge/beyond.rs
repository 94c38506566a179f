//! What lies beyond an edge end: how far a row goes before it turns, and what room there is for the turn.
//!
//! At a slit, where two bands lie side by side and nothing links them, the turns of both share the way from one end to the
//! next, and a gap is left between them.

use fellmark_core::cloth::Across;
use fellmark_core::side::Side;
use fellmark_core::study::Study;
use std::collections::BTreeMap;

/// How much of the thickness of the thickest weft a row's yarn goes beyond the side of its edge end before it turns.
const OUT: f64 = 0.85;
/// The gap of a slit, over the way from one end to the next.
const GAP: f64 = 0.12;

/// What lies beyond the edge ends of every row, in mm from their middles.
#[derive(Debug)]
pub(crate) struct Beyond {
    /// Half of the thickest end.
    end: f64,
    /// By row: at the left and at the right.
    all: Vec<[Place; 2]>,
}

/// What lies beyond one row's edge end.
#[derive(Debug, Clone, Copy)]
struct Place {
    stub: f64,
    room: f64,
    slit: bool,
}

impl Beyond {
    /// Measures it; `end` is half of the thickest end.
    pub(crate) fn new(study: &Study, end: f64) -> Beyond {
        let (piece, cloth) = (&study.piece, &study.cloth);
        let spacing = cloth.spacing().mm();
        let last = piece.end_count().saturating_sub(1);
        let slits = Slits::of(study);
        // All rows alike: what goes on from them begins side by side.
        let thickest = piece.rows.iter().map(|row| cloth.weft(row.weft).thick.mm()).fold(0.0, f64::max);
        let place = |row: u32, side: Side| {
            let edge = piece.crossings(row).span().edge(side);
            let outermost = edge == if side == Side::Left { 0 } else { last };
            let slit = !outermost && slits.faces(study, row, side);
            let room = match (outermost, slit) {
                (true, _) => f64::INFINITY,
                (false, true) => spacing * (1.0 - GAP) / 2.0,
                // As far as the next end.
                (false, false) => (spacing - end).max(spacing / 2.0),
            };
            let stub = end + thickest * OUT;
            // The turn that goes on from it needs what is left to bend in.
            let stub = stub.min(spacing / 2.0).min(if slit { end } else { room });
            Place { stub, room, slit }
        };
        let all = (0..piece.row_count()).map(|row| [place(row, Side::Left), place(row, Side::Right)]);
        Beyond { end, all: all.collect() }
    }

    fn place(&self, row: u32, side: Side) -> Place {
        self.all[row as usize][usize::from(side == Side::Right)]
    }

    /// How far a row goes beyond its edge end before it turns.
    pub(crate) fn stub(&self, row: u32, side: Side) -> f64 {
        self.place(row, side).stub
    }

    /// How far its yarn may reach at all.
    pub(crate) fn room(&self, row: u32, side: Side) -> f64 {
        self.place(row, side).room
    }

    /// How wide yarn may be that goes up between the edge end and that.
    pub(crate) fn widest(&self, row: u32, side: Side) -> f64 {
        (self.place(row, side).room - self.end).max(0.0)
    }

    /// Whether another band lies beside it there that it isn't linked with.
    pub(crate) fn is_slit(&self, row: u32, side: Side) -> bool {
        self.place(row, side).slit
    }
}

/// Where rows end beside one another: by the end to the left of the gap, the heights at which rows have their right edge
/// there, and those at which rows have their left edge beyond it, from the lowest up.
struct Slits {
    all: BTreeMap<u32, [Vec<f64>; 2]>,
    /// How far off a row still lies beside another.
    near: f64,
}

impl Slits {
    fn of(study: &Study) -> Slits {
        let piece = &study.piece;
        let last = piece.end_count().saturating_sub(1);
        let mut all: BTreeMap<u32, [Vec<f64>; 2]> = BTreeMap::new();
        let mut near = 0.0_f64;
        for row in 0..piece.row_count() {
            let span = piece.crossings(row).span();
            near = near.max(study.cloth.thread(row).side_by_side().mm());
            if span.last() < last {
                let heights = &mut all.entry(span.last()).or_default()[0];
                heights.push(height(study, row, span.last()));
            }
            if let Some(before) = span.first().checked_sub(1) {
                all.entry(before).or_default()[1].push(height(study, row, span.first()));
            }
        }
        all.values_mut().flatten().for_each(|heights| heights.sort_by(f64::total_cmp));
        Slits { all, near }
    }

    fn faces(&self, study: &Study, row: u32, side: Side) -> bool {
        let edge = study.piece.crossings(row).span().edge(side);
        let (gap, other) = if side == Side::Right { (Some(edge), 1) } else { (edge.checked_sub(1), 0) };
        let Some(heights) = gap.and_then(|gap| self.all.get(&gap)) else { return false };
        let y = height(study, row, edge);
        let at = heights[other].partition_point(|&other| other < y - self.near);
        heights[other].get(at).is_some_and(|&other| other <= y + self.near)
    }
}

fn height(study: &Study, row: u32, end: u32) -> f64 {
    study.cloth.row(row).at(Across::End(end)).map_or(0.0, |y| y.mm())
}
