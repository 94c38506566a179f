//! Whoever knows only the page about rows, and follows the printed words with needles, weaves the planned
//! cloth and ties the same links.

use fellmark::text::Hand;
use fellmark_core::say::Units;
use fellmark_laws::reader;
use fellmark_laws::run::{Case, on_plans};

fn words(case: &Case) -> String {
    let units = Units::Metric;
    let rows = fellmark_report::rows(&case.study, 1..=u32::MAX, units);
    fellmark::text::rows(&case.study, &rows, units, Hand::Right)
}

#[test]
fn the_words_can_be_followed() {
    on_plans(1, 1000, |case| {
        let text = words(case);
        reader::read(&text, case.study.piece.end_count()).map(|_| ()).map_err(|p| format!("{p}\n{text}"))
    });
}
