//! `size`: on the loom, released and finished.

use crate::layout::{paragraph, strong};
use fellmark_core::cloth::measures::measures;
use fellmark_core::need;
use fellmark_core::say::{self, Units};
use fellmark_core::study::Study;
use fellmark_core::warp;

pub(crate) fn text(study: &Study, units: Units) -> String {
    let mut text = format!(
        "{}\n{}\n",
        strong("Size"),
        paragraph(
            "",
            "Estimates: likely, and in brackets how far off they may be. Until you have measured samples of your own, \
             release and finishing rest on what weavers usually find."
        )
    );
    for (name, sides) in say::states(&study.size) {
        text.push_str(&paragraph(&format!("  {name:<24}"), &say::state(sides, units)));
    }
    text.push('\n');
    if let Some(past) = say::past_reach(&study.size, &study.piece, units) {
        text.push_str(&paragraph("", &past));
    }
    let open = warp::unwoven(&study.piece, &study.habits, study.size.on_loom.length);
    text.push_str(&paragraph("", &say::unwoven(open, &study.piece, units)));
    text.push_str(&paragraph("", &say::course(&study.size).join(" ")));
    if let Some(measured) = measures(&study.piece, &study.cloth, &study.size, &study.habits) {
        text.push_str(&paragraph("", &say::measures(&measured, units)));
    }
    if let Some(weight) = need::weight(&study.piece, &study.need, &study.size, &study.habits) {
        text.push_str(&paragraph("", &say::weighs(&weight, units)));
    }
    if let Some(guessed) = say::thickness_guessed(&study.piece, &study.habits, units) {
        text.push_str(&paragraph("", &guessed));
    }
    if let Some(wanted) = study.piece.wanted {
        let wanted = say::wanted(wanted, units);
        text.push_str(&paragraph("", &format!("Wanted when it is finished: {wanted}. See fellmark fit.")));
    }
    text
}
