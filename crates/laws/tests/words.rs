//! Whoever knows only the page about rows, and follows the printed words with needles, weaves the planned
//! cloth and ties the same links; whoever reads the JSON, too.

use fellmark::text::Hand;
use fellmark_core::say::Units;
use fellmark_laws::run::{Case, on_plans};
use fellmark_laws::{compare, json_reader, reader};

fn words(case: &Case) -> String {
    let units = Units::Metric;
    let rows = fellmark_report::rows(&case.study, 1..=u32::MAX, units);
    fellmark::text::rows(&case.study, &rows, units, Hand::Right)
}

#[test]
fn whoever_follows_the_words_weaves_the_cloth_and_ties_its_links() {
    on_plans(1, 1000, |case| {
        let text = words(case);
        let in_text = |problem: String| format!("{problem}\n{text}");
        let reading = reader::read(&text, case.study.piece.end_count()).map_err(in_text)?;
        compare::same_cloth(&reading.cloth, &case.study).map_err(in_text)?;
        compare::same_remarks(&reading, &case.study).map_err(in_text)
    });
}

#[test]
fn whoever_follows_the_json_weaves_the_cloth_and_ties_its_links() {
    on_plans(2, 1000, |case| {
        let rows = fellmark_report::rows(&case.study, 1..=u32::MAX, Units::Metric);
        let json = serde_json::to_value(&rows).map_err(|error| error.to_string())?;
        let cloth = json_reader::read(&json)?;
        compare::same_cloth(&cloth, &case.study)?;
        json_reader::agrees(&json, &cloth)
    });
}
