//! `yarn`: how much of every yarn, and how to load the needles.

use crate::layout::{paragraph, quiet, strong};
use fellmark_core::need::YarnNeed;
use fellmark_core::say::{self, Units};
use fellmark_core::study::Study;

pub(crate) fn text(study: &Study, units: Units) -> String {
    let mut text = format!(
        "{}\n{}",
        strong("Yarn"),
        paragraph(
            "",
            "Estimates: likely, and in brackets how far off they may be; buy for the upper end. (model) is computed \
             from the cloth, (habit) is what weavers usually do until your samples say otherwise."
        )
    );
    for need in &study.need.yarns {
        text.push('\n');
        text.push_str(&paragraph("", &say::takes(need, &study.piece, units)));
        text.push_str(&of_yarn(need, study, units));
    }
    text
}

fn of_yarn(need: &YarnNeed, study: &Study, units: Units) -> String {
    let mut text = String::new();
    for (name, estimate) in say::goes_into(need) {
        let basis = quiet(&format!("({})", say::rests_on(&estimate)));
        text.push_str(&format!("  {name:<24}{} {basis}\n", say::about(estimate, units)));
    }
    if let Some(have) = need.have {
        text.push_str(&format!("  {:<24}{}\n", "there is", say::length(have, units)));
    }
    // Where it is cut it must be known that it doesn't reach.
    if let Some(found) = study.runs_out(need.yarn) {
        text.push_str(&paragraph("  ", &strong(&say::finding(found, &study.piece, units).to_string())));
    }
    let mut seen = Vec::new();
    for needleful in &need.needlefuls {
        if seen.contains(&needleful.weft) {
            continue;
        }
        seen.push(needleful.weft);
        let mine: Vec<_> = need.needlefuls.iter().filter(|n| n.weft == needleful.weft).cloned().collect();
        let weft = &study.piece.wefts[needleful.weft.0].name;
        let count = mine.len();
        let name = if count == 1 { "needleful" } else { "needlefuls" };
        text.push_str(&paragraph("  ", &format!("cut {count} {name} of {weft}")));
        for (k, words) in say::needlefuls(&mine, &study.piece, units).iter().enumerate() {
            text.push_str(&paragraph(&format!("    {:>2}  ", k + 1), words));
        }
    }
    text
}
