//! A warp to try bands on.

use fellmark_core::study::{Study, study};
use fellmark_note::read;

/// Bands on a warp of slate on the small frame, so many ends 4 mm apart; they are woven with slate and foam.
pub(crate) fn on_slate(ends: u32, bands: &str) -> Study {
    let text = format!(
        r##"
schema = 1
name = "Rock pool"
use = "sample"
[loom]
notches = 40
pitch = "4 mm"
turn-to-turn = "24 cm"
clear-height = "22 cm"
[yarn.slate]
colour = "#2d6f73"
size = "132 m per 100 g"
fibre = "wool"
[yarn.foam]
colour = "#e3e9de"
size = "132 m per 100 g"
fibre = "wool"
[warp]
ends = {ends}
order = ["1 slate"]
{bands}"##
    );
    study(&read(&text).unwrap().plan).unwrap()
}
