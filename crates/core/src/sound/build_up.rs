//! Ends at which rows pile up faster than at the others, so that the fell grows a hump.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::{Cloth, Hump};
use crate::piece::Piece;
use crate::quantity::Mm;

/// From here on, over the mean of the fell, a hump is seen and a comb no longer evens it out. Common practice,
/// no source.
const SEEN: Mm = Mm::new(2.0);

/// The worst hump that the fell grows, if it would be seen: higher than 2 mm, and than one row, by which a
/// fell may always be uneven, and growing by as much every 5 cm, so that a few centimetres show it. A slope that a
/// diagonal leans to and then keeps is none.
pub fn findings(piece: &Piece, cloth: &Cloth) -> Vec<Finding> {
    let Some(hump) = cloth.hump() else { return Vec::new() };
    if hump.above < SEEN.max(cloth.thread(hump.row).along) || hump.in_five_cm() < SEEN {
        return Vec::new();
    }
    let band = Some(piece.place_of(hump.row).band);
    vec![Finding {
        severity: Severity::Warning,
        at: Where { rows: (0, hump.row), ends: hump.ends, edge: None, band },
        kind: Kind::BuildUp { hump, rows: more_rows(piece, hump) },
    }]
}

/// The most rows that cross the ends of a hump, and the fewest that cross an end beside them, where that is what makes it:
/// where the rows that they have more than the mean take at least half of its height.
fn more_rows(piece: &Piece, hump: Hump) -> Option<(u32, u32)> {
    let span = piece.crossings(hump.row).span();
    let mut crossed = vec![0_u32; piece.ends.len()];
    for row in 0..=hump.row {
        for end in piece.crossings(row).span().ends() {
            crossed[end as usize] += 1;
        }
    }
    let of = |end: u32| crossed.get(end as usize).copied().unwrap_or_default();
    let most = hump.ends.ends().map(of).max()?;
    let least = span.ends().filter(|&end| !hump.ends.contains(end)).map(of).min()?;
    let mean = span.ends().map(|end| f64::from(of(end))).sum::<f64>() / f64::from(span.len());
    let a_row = hump.woven / mean;
    (most > least && a_row * (f64::from(most) - mean) >= hump.above * 0.5).then_some((most, least))
}
