//! Ends at which rows pile up faster than at the others, so that the fell grows a hump.

use super::{Finding, Kind, Severity, Where};
use crate::cloth::Cloth;
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
        kind: Kind::BuildUp { hump },
    }]
}
