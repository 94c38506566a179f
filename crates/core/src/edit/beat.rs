//! How closely rows are beaten, in the weaver's own measure.

use super::length::unit_of;
use crate::plan::{Beat, Plan};
use crate::quantity::{Mm, Typed};

/// So many halves of a row in a centimetre or an inch, whichever the frame is measured in; `None` if no rows lie so.
pub(crate) fn halves(plan: &Plan, halves: u32) -> Option<Typed<Beat>> {
    let (unit, _) = measured_in(plan);
    let rows = if halves.is_multiple_of(2) { format!("{}", halves / 2) } else { format!("{}.5", halves / 2) };
    let typed = format!("{rows} {} per {unit}", if halves == 2 { "row" } else { "rows" });
    Some(Typed::new(Beat::parse(&typed).ok()?, typed))
}

/// How many halves of a row lie in that measure where rows lie so far apart, rather too few.
pub(crate) fn halves_of(plan: &Plan, apart: Mm) -> u32 {
    let (_, one) = measured_in(plan);
    (one / apart * 2.0).floor().clamp(0.0, f64::from(u32::MAX)) as u32
}

/// The measure in which a plan's frame is told, as it is written, and how long it is.
fn measured_in(plan: &Plan) -> (&'static str, Mm) {
    let inch = Mm::new(25.4);
    let (_, one) = unit_of(&plan.loom.pitch.typed);
    // A foot and a yard are so many inches.
    let inches = one / inch;
    if inches >= 1.0 && inches.fract() == 0.0 { ("inch", inch) } else { ("cm", Mm::new(10.0)) }
}
