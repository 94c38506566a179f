//! The rows that somebody asks for on the command line: one, or a stretch of them.

use crate::run::Opened;
use anyhow::{Result, anyhow};
use std::ops::RangeInclusive;

/// Reads `7`, `5..12` (both included), `5..` or `..12`, and compares it with the rows that there are.
///
/// # Errors
/// If it is none of these, or names a row that the piece doesn't have.
pub(crate) fn range(opened: &Opened, typed: &str) -> Result<RangeInclusive<u32>> {
    let last = opened.study.piece.row_count();
    let (first, end) = ends(typed.trim(), last).ok_or_else(|| {
        anyhow!(
            "\"{typed}\" names no rows. Write one number, or the lower row, two dots, the upper row: 5..12."
        )
    })?;
    for number in [first, end] {
        if !(1..=last).contains(&number) {
            return Err(anyhow!("There is no row {number}: {} has rows 1 to {last}.", opened.name));
        }
    }
    if first > end {
        return Err(anyhow!("Row {first} lies above row {end}: give the lower row first."));
    }
    Ok(first..=end)
}

/// The same of what was typed in one word or several; all rows if nothing was.
///
/// # Errors
/// As [`range`], or if there are several words.
pub(crate) fn of_words(opened: &Opened, typed: &[String]) -> Result<RangeInclusive<u32>> {
    match typed {
        [] => Ok(1..=opened.study.piece.row_count()),
        [one] => range(opened, one),
        [first, .., last] => Err(anyhow!(
            "Rows {} are too many words. Write one number, or a stretch as one word: {first}..{last}.",
            typed.join(" ")
        )),
    }
}

fn ends(typed: &str, last: u32) -> Option<(u32, u32)> {
    let number = |text: &str, none: u32| match text.trim() {
        "" => Some(none),
        text => text.parse::<u32>().ok(),
    };
    match typed.split_once("..") {
        None => typed.parse().ok().map(|row| (row, row)),
        Some(("", "")) => None,
        Some((first, end)) => number(first, 1).zip(number(end, last)),
    }
}

#[cfg(test)]
mod tests {
    use super::ends;

    #[test]
    fn a_row_or_a_stretch_of_rows_is_read() {
        for (typed, read) in
            [("7", (7, 7)), ("5..12", (5, 12)), ("5 .. 12", (5, 12)), ("5..", (5, 80)), ("..12", (1, 12))]
        {
            assert_eq!(ends(typed, 80), Some(read), "{typed}");
        }
        for typed in ["", "..", "a", "5-12", "5..x", "1..2..3", "-1", "4294967296"] {
            assert_eq!(ends(typed, 80), None, "{typed}");
        }
    }
}
