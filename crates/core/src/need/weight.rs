//! What the finished cloth weighs: what any kitchen scale tells of a prediction.

use super::Need;
use crate::cloth::size::Size;
use crate::habits::Habits;
use crate::piece::Piece;
use crate::quantity::{Basis, Estimate, Gram, GramsPerArea, Mm, Tex};

/// What a finished cloth weighs, without what hangs out of it: tails, fringe, loops, and the header.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weight {
    /// All of it.
    pub mass: Estimate<Gram>,
    /// That over its finished area (`0.1 sum n T (1 + c)` of the cloth model, section 7, with edges, slack and joins).
    pub per_area: GramsPerArea,
}

/// What a piece weighs; `None` where nothing is woven.
#[must_use]
pub fn weight(piece: &Piece, need: &Need, size: &Size, habits: &Habits) -> Option<Weight> {
    let mut all = Estimate { likely: 0.0, low: 0.0, high: 0.0, basis: Basis::MODEL };
    let mut add = |tex: Estimate<Tex>, [likely, low, high]: [Mm; 3]| {
        all.likely += tex.likely.mass_of(likely).grams();
        all.low += tex.low.mass_of(low).grams();
        all.high += tex.high.mass_of(high).grams();
        all.basis = all.basis.and(tex.basis);
    };
    let strands = f64::from(piece.loom.strands_per_end());
    for known in &need.yarns {
        let yarn = &piece.yarns[known.yarn.0];
        let parts = &known.parts;
        let woven = [parts.rows, parts.rises, parts.turns, parts.carries, parts.joins, parts.slack];
        let of = |end: fn(&Estimate<Mm>) -> Mm| woven.iter().map(end).sum::<Mm>();
        add(habits.tex_between(yarn), [of(|part| part.likely), of(|part| part.low), of(|part| part.high)]);
        // An end is as long as the cloth on the loom, and what it goes round the rows longer; but there it is stretched, and
        // a yarn's count is told of it slack.
        let ends = strands * piece.ends.iter().filter(|end| end.yarn == known.yarn).count() as f64;
        let slack = 1.0 - size.course.spring_back;
        let of = |length: Mm| (length + size.course.warp_taken) * (slack * ends);
        let long = size.on_loom.length;
        add(habits.tex_between(yarn), [of(long.likely), of(long.low), of(long.high)]);
    }
    let mass = all.map(Gram::new);
    let (width, length) = (size.finished.width.likely, size.finished.length.likely);
    (width > Mm::ZERO && length > Mm::ZERO)
        .then(|| Weight { mass, per_area: GramsPerArea::of(mass.likely, width, length) })
}
