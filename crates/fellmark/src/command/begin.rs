//! Everything that is needed to begin.

use crate::args::Hand;
use crate::command::{check, rows, warp, yarn};
use crate::run::Opened;
use fellmark_core::say::Units;

pub(crate) fn text(opened: &Opened, units: Units, hand: Hand) -> String {
    let study = &opened.study;
    let all = fellmark_report::rows(study, 1..=u32::MAX, units);
    [
        check::text(&fellmark_report::check(&opened.plan, study, units), false),
        warp::text(study, units),
        yarn::text(study, units),
        rows::text(study, &all, units, hand),
    ]
    .join("\n")
}
