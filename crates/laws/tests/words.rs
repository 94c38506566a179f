//! Whoever knows only the page about rows, and follows the printed words with needles, weaves the planned
//! cloth and ties the same links; whoever reads the JSON, too.

use fellmark::text::Hand;
use fellmark_core::say::Units;
use fellmark_laws::run::{Case, on_plans};
use fellmark_laws::{compare, json_reader, once, reader};

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

/// The sheet on which rows that come again are told once, written out again as `docs/rows.md` says, has every row's
/// words and every step of it.
fn written_out_again(case: &Case) -> Result<(usize, usize), String> {
    let all = words(case);
    let rows = fellmark_report::rows(&case.study, 1..=u32::MAX, Units::Metric);
    let short = fellmark::text::rows_once(&case.study, &rows, Units::Metric, Hand::Right);
    let (full, again) =
        (once::written_out(&all)?, once::written_out(&short).map_err(|e| format!("{e}\n{short}"))?);
    if full.len() != rows.rows.len() || again.len() != full.len() {
        return Err(format!("{} rows of {}\n{short}", again.len(), full.len()));
    }
    if let Some(row) = (0..full.len()).find(|&row| full[row] != again[row]) {
        return Err(format!("row {}: {:?} is not {:?}\n{short}", row + 1, again[row], full[row]));
    }
    let told = once::told(&short);
    let count = |itself| told.get(&itself).copied().unwrap_or(0);
    Ok((count(true), count(false)))
}

#[test]
fn rows_that_come_again_are_told_once_and_none_is_lost() {
    let again = std::cell::Cell::new(0);
    on_plans(14, 600, |case| {
        let (_, as_others) = written_out_again(case)?;
        again.set(again.get() + as_others);
        Ok(())
    });
    assert!(again.get() > 1000, "only {} rows were told so", again.get());
}

#[test]
fn the_examples_sheets_are_short() {
    // The rows that stand on a sheet: what a weaver has to read.
    for (text, most) in [
        (include_str!("../../../examples/kelp-headband.toml"), 50),
        (include_str!("../../../examples/tideline-bookmark.toml"), 4),
        (include_str!("../../../examples/tideline-mat.toml"), 40),
    ] {
        let case = Case::written(text);
        let (itself, _) = written_out_again(&case).unwrap_or_else(|problem| panic!("{problem}"));
        assert!(itself <= most, "{itself} rows of {} are told", case.study.piece.name);
    }
}

/// Every row line, with its number taken off wherever it stands, and what belongs to it.
fn without_numbers(text: &str) -> Vec<String> {
    let text = reader::plain(text);
    text.split_whitespace().filter(|word| word.parse::<u32>().is_err()).map(str::to_owned).collect()
}

#[test]
fn hand_and_units_change_no_side_no_row_and_no_crossing() {
    on_plans(4, 300, |case| {
        let metric = fellmark_report::rows(&case.study, 1..=u32::MAX, Units::Metric);
        let right = fellmark::text::rows(&case.study, &metric, Units::Metric, Hand::Right);
        let left = fellmark::text::rows(&case.study, &metric, Units::Metric, Hand::Left);
        // Apart from numbers the words come in the same order.
        if without_numbers(&left) != without_numbers(&right) {
            return Err(format!("{right}\n{left}"));
        }
        let ends = case.study.piece.end_count();
        let of_right = reader::read(&right, ends)?;
        let of_left = reader::read_left(&left, ends).map_err(|problem| format!("{problem}\n{left}"))?;
        if of_left.cloth != of_right.cloth {
            return Err(format!("another cloth:\n{left}"));
        }
        let inch = fellmark_report::rows(&case.study, 1..=u32::MAX, Units::Inch);
        let in_inches = fellmark::text::rows(&case.study, &inch, Units::Inch, Hand::Right);
        let of_inches =
            reader::read(&in_inches, ends).map_err(|problem| format!("{problem}\n{in_inches}"))?;
        if of_inches.cloth != of_right.cloth || of_inches.unheld != of_right.unheld {
            return Err(format!("another cloth:\n{in_inches}"));
        }
        Ok(())
    });
}

#[test]
fn a_row_is_taken_out_by_the_words_of_the_row_backwards() {
    on_plans(5, 500, |case| {
        for row in fellmark_report::rows(&case.study, 1..=u32::MAX, Units::Metric).rows {
            let lead = format!(
                "back from the {}, needle first: ",
                if row.from == "left" { "right" } else { "left" }
            );
            let back = row.unpick.strip_prefix(&lead).ok_or_else(|| row.unpick.clone())?;
            let mut woven = reader::passes(&row.words)?;
            woven.reverse();
            if reader::passes(back)? != woven {
                return Err(format!("{} is not undone by {}", row.words, row.unpick));
            }
        }
        Ok(())
    });
}
