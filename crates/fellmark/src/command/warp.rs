//! `warp`: how to wind it.

use crate::layout::{paragraph, strong};
use fellmark_core::say::{self, Units};
use fellmark_core::study::Study;
use fellmark_core::warp;

pub(crate) fn text(study: &Study, units: Units) -> String {
    let winding = warp::wind(&study.piece, &study.habits);
    let mut text = format!("{}\n", strong("Warp"));
    for line in say::winding(&winding, &study.piece, units) {
        text.push_str(&paragraph("  ", &line));
    }
    text.push('\n');
    for line in say::picture(&winding, &study.piece) {
        text.push_str(&format!("  {line}\n"));
    }
    text.push_str("  * a knot, --- a loop round the bar\n");
    text
}
