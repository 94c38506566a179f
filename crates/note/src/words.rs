//! The small sentences inside a plan's values: "1 right every pair", "row 3: over 5 to 7", "3 to 20".

use crate::near::{near, quoted};
use crate::reader::Misread;
use fellmark_core::plan::{Touch, TouchedRows, bounds};
use fellmark_core::side::{Pass, Side, Span};
use fellmark_core::weave::{MOST_ENDS, Runs, RunsError, TurnBack, WantedStep};
use std::num::NonZeroU32;
use std::ops::Range;

/// A walk through the words of a text; commas and colons only part them.
pub(crate) struct Walk<'a> {
    text: &'a str,
    /// Where the next word may begin.
    at: usize,
    usual: &'static str,
}

impl<'a> Walk<'a> {
    /// `usual` is what to do where a word does not fit.
    pub(crate) fn new(text: &'a str, usual: &'static str) -> Walk<'a> {
        Walk { text, at: 0, usual }
    }

    fn parts(c: char) -> bool {
        c.is_whitespace() || matches!(c, ',' | ':' | ';')
    }

    /// Where the next word lies; an empty place at the end where there is none.
    pub(crate) fn place(&self) -> Range<usize> {
        let rest = self.text.get(self.at..).unwrap_or_default();
        let start = rest.find(|c| !Walk::parts(c)).unwrap_or(rest.len());
        let word = rest.get(start..).unwrap_or_default();
        let length = word.find(Walk::parts).unwrap_or(word.len());
        self.at + start..self.at + start + length
    }

    pub(crate) fn peek(&self) -> &'a str {
        self.text.get(self.place()).unwrap_or_default()
    }

    pub(crate) fn take(&mut self) -> &'a str {
        let place = self.place();
        self.at = place.end;
        self.text.get(place).unwrap_or_default()
    }

    /// Takes the next word if it is this one, in whatever case.
    pub(crate) fn eat(&mut self, word: &str) -> bool {
        let fits = self.peek().eq_ignore_ascii_case(word);
        if fits {
            self.take();
        }
        fits
    }

    /// Takes the next word, which must be one of these: a word and its plural.
    pub(crate) fn expect(&mut self, words: &[&str]) -> Result<(), Misread> {
        if words.iter().any(|word| self.eat(word)) { Ok(()) } else { Err(self.stuck()) }
    }

    /// A number from `least` to `most`.
    pub(crate) fn number(&mut self, least: u32, most: u32) -> Result<u32, Misread> {
        let place = self.place();
        let word = self.peek();
        if !word.is_empty() && word == self.text.trim() && !word.starts_with(|c: char| c.is_ascii_digit()) {
            // A name alone: what is missing is the number before it.
            return Err(
                Misread::new(format!("{} does not say how many.", quoted(word)), self.usual).at(place)
            );
        }
        if word.is_empty() || !word.chars().all(|c| c.is_ascii_digit()) {
            return Err(self.stuck());
        }
        match word.parse::<u32>().ok().filter(|n| (least..=most).contains(n)) {
            Some(number) => {
                self.take();
                Ok(number)
            }
            None => {
                let shown = if word.len() <= 20 { word } else { "This number" };
                let message = if word.parse::<u32>().is_ok_and(|n| n < least) {
                    format!("{shown} is too few: {least} is the least here.")
                } else {
                    format!("{shown} is too many: {most} is the most here.")
                };
                Err(Misread::new(message, self.usual).at(place))
            }
        }
    }

    /// Nothing may follow.
    pub(crate) fn end(&self) -> Result<(), Misread> {
        if self.peek().is_empty() { Ok(()) } else { Err(self.stuck()) }
    }

    /// Says that the next word does not fit.
    pub(crate) fn stuck(&self) -> Misread {
        let word = self.peek();
        if word.is_empty() {
            let message = if self.text.trim().is_empty() {
                "There is nothing between the quotes.".to_string()
            } else {
                format!("{} stops too early.", quoted(self.text))
            };
            return Misread::new(message, self.usual);
        }
        let message = format!("{} does not fit in {}.", quoted(word), quoted(self.text));
        Misread::new(message, self.usual).at(self.place())
    }
}

/// "1 right", "2 left every 3 rows", "1 right every pair".
pub(crate) fn step(text: &str) -> Result<WantedStep, Misread> {
    let usual = "Write how many ends, to which side and how often, such as \"1 right\", \"2 left every 3 rows\" or \
                 \"1 right every pair\".";
    let mut walk = Walk::new(text, usual);
    let ends = walk.number(1, MOST_ENDS)?;
    let _ = walk.eat("end") || walk.eat("ends");
    let _ = walk.eat("to") && walk.eat("the");
    let ends = i32::try_from(ends).unwrap_or(i32::MAX);
    let right = match side(&mut walk)? {
        Side::Right => ends,
        Side::Left => -ends,
    };
    let every = if walk.eat("every") { Some(every(&mut walk)?) } else { None };
    walk.end()?;
    Ok(WantedStep { right, every })
}

fn side(walk: &mut Walk<'_>) -> Result<Side, Misread> {
    if walk.eat("right") {
        Ok(Side::Right)
    } else if walk.eat("left") {
        Ok(Side::Left)
    } else {
        Err(walk.stuck())
    }
}

/// What follows "every": "pair", "row", "3 rows".
fn every(walk: &mut Walk<'_>) -> Result<NonZeroU32, Misread> {
    let rows = if walk.eat("pair") {
        2
    } else if walk.eat("row") {
        1
    } else {
        let rows = walk.number(1, bounds::ROWS)?;
        walk.expect(&["rows", "row"])?;
        rows
    };
    Ok(NonZeroU32::new(rows).unwrap_or(NonZeroU32::MIN))
}

/// A step as it is written: "2 right every row", "1 left every 3 rows".
pub(crate) fn write_step(step: fellmark_core::weave::Step) -> String {
    let side = if step.right < 0 { "left" } else { "right" };
    let every = match step.every_rows.get() {
        1 => "row".to_owned(),
        rows => format!("{rows} rows"),
    };
    format!("{} {side} every {every}", step.right.unsigned_abs())
}

/// A step as it is asked for: what [`step`] reads.
pub(crate) fn write_wanted_step(step: WantedStep) -> String {
    let side = if step.right < 0 { "left" } else { "right" };
    let ends = step.right.unsigned_abs();
    match step.every.map(NonZeroU32::get) {
        None => format!("{ends} {side}"),
        Some(1) => format!("{ends} {side} every row"),
        Some(2) => format!("{ends} {side} every pair"),
        Some(rows) => format!("{ends} {side} every {rows} rows"),
    }
}

/// A range of ends: what [`ends`] reads.
pub(crate) fn write_ends(ends: Span) -> String {
    let (first, last) = (u64::from(ends.first()) + 1, u64::from(ends.last()) + 1);
    if first == last { first.to_string() } else { format!("{first} to {last}") }
}

/// A lean's turn over rows: what [`turn_back`] reads.
pub(crate) fn write_turn_back(turn: TurnBack) -> String {
    let broken = if turn.broken { ", broken" } else { "" };
    format!("after {} steps{broken}", turn.after)
}

/// A lean's turn over ends: what [`turn_ends`] reads.
pub(crate) fn write_turn_ends(turn: TurnBack) -> String {
    let broken = if turn.broken { ", broken" } else { "" };
    format!("after {} ends{broken}", u64::from(turn.after.get()) + 1)
}

/// "after 6 steps", "after 6 steps, broken".
pub(crate) fn turn_back(text: &str) -> Result<TurnBack, Misread> {
    let usual =
        "Write after how many steps it turns, such as \"after 6 steps\" or \"after 6 steps, broken\".";
    turn(text, usual, 1, bounds::ROWS, &["steps", "step"])
}

/// "after 8 ends", "after 8 ends, broken".
pub(crate) fn turn_ends(text: &str) -> Result<TurnBack, Misread> {
    let usual = "Write after how many ends it turns, such as \"after 8 ends\" or \"after 8 ends, broken\".";
    let typed = turn(text, usual, 2, MOST_ENDS, &["ends", "end"])?;
    // The core counts from the first end: as many steps as there are gaps between these ends.
    let gaps = NonZeroU32::new(typed.after.get() - 1).unwrap_or(NonZeroU32::MIN);
    Ok(TurnBack { after: gaps, ..typed })
}

fn turn(text: &str, usual: &'static str, least: u32, most: u32, of: &[&str]) -> Result<TurnBack, Misread> {
    let mut walk = Walk::new(text, usual);
    walk.expect(&["after"])?;
    let after = walk.number(least, most)?;
    walk.expect(of)?;
    let broken = walk.eat("broken");
    walk.end()?;
    Ok(TurnBack { after: NonZeroU32::new(after).unwrap_or(NonZeroU32::MIN), broken })
}

/// "3 to 20", or "3" alone.
pub(crate) fn ends(text: &str) -> Result<Span, Misread> {
    let mut walk = Walk::new(text, "Write the first and the last end, such as \"3 to 20\".");
    let span = range(&mut walk)?;
    walk.end()?;
    Ok(span)
}

fn range(walk: &mut Walk<'_>) -> Result<Span, Misread> {
    let start = walk.place().start;
    let first = walk.number(1, MOST_ENDS)?;
    let last = if walk.eat("to") { walk.number(1, MOST_ENDS)? } else { first };
    Span::new(first - 1, last.saturating_sub(1)).ok_or_else(|| {
        let message = format!("The ends go from {first} back to {last}.");
        Misread::new(message, format!("Write the smaller one first: \"{last} to {first}\"."))
            .at(start..walk.at)
    })
}

/// A row or an opening.
pub(crate) fn runs(text: &str) -> Result<Runs, Misread> {
    let usual = "Write runs from the left, such as \"over 5, under 3\".";
    Runs::parse(text).map_err(|error| {
        let about = |word: &str| {
            let start = text.find(word).filter(|_| !word.is_empty());
            start.map(|start| start..start + word.len())
        };
        match error {
            RunsError::Empty => Misread::new("There is nothing between the quotes.", usual),
            RunsError::NotAPass(word) => {
                let help = match near(&word, ["over", "under"]).first() {
                    Some(meant) => format!("Did you mean {meant}? {usual}"),
                    None => usual.to_string(),
                };
                let message = format!("{} stands where over or under should stand.", quoted(&word));
                Misread { part: about(&word), ..Misread::new(message, help) }
            }
            RunsError::NotANumber(word) if word.is_empty() => {
                Misread::new(format!("{} stops too early: it lacks a number of ends.", quoted(text)), usual)
            }
            RunsError::NotANumber(word) => {
                let message =
                    format!("{} stands where a number of ends should stand, 1 or more.", quoted(&word));
                Misread { part: about(&word), ..Misread::new(message, usual) }
            }
            RunsError::TooLong => {
                let message =
                    format!("These runs make more ends than any piece has: {MOST_ENDS} is the most.");
                Misread::new(message, "Write fewer ends; the runs begin again by themselves.")
            }
        }
    })
}

/// "row 3: over 5 to 7", "every 8 rows from 2: under 9".
pub(crate) fn touch(text: &str) -> Result<Touch, Misread> {
    let usual =
        "Write which row and which ends, such as \"row 3: over 5 to 7\" or \"every 8 rows from 2: under 9\".";
    let mut walk = Walk::new(text, usual);
    let at = if walk.eat("every") {
        let rows = every(&mut walk)?;
        let from = if walk.eat("from") {
            let _ = walk.eat("row");
            walk.number(1, bounds::ROWS)?
        } else {
            1
        };
        TouchedRows::Every { rows, from: from - 1 }
    } else {
        walk.expect(&["row"])?;
        TouchedRows::Row(walk.number(1, bounds::ROWS)? - 1)
    };
    let pass = if walk.eat("over") {
        Pass::Over
    } else if walk.eat("under") {
        Pass::Under
    } else {
        return Err(walk.stuck());
    };
    let ends = range(&mut walk)?;
    walk.end()?;
    Ok(Touch { at, ends, pass })
}

/// A touch as it is written in a plan: what [`touch`] reads.
pub(crate) fn write_touch(touch: &Touch) -> String {
    let at = match touch.at {
        TouchedRows::Row(row) => format!("row {}", u64::from(row) + 1),
        TouchedRows::Every { rows, from } if rows == NonZeroU32::MIN => {
            format!("every row from {}", u64::from(from) + 1)
        }
        TouchedRows::Every { rows, from } => format!("every {rows} rows from {}", u64::from(from) + 1),
    };
    let pass = if touch.pass.is_over() { "over" } else { "under" };
    format!("{at}: {pass} {}", write_ends(touch.ends))
}

/// "24 reed": how many ends, and of which yarn.
pub(crate) fn ends_of(text: &str) -> Result<(u32, &str), Misread> {
    let usual = "Write how many ends and of which yarn, such as \"24 reed\".";
    let mut walk = Walk::new(text, usual);
    let ends = walk.number(1, MOST_ENDS)?;
    let name = text.get(walk.at..).unwrap_or_default().trim();
    if name.is_empty() { Err(walk.stuck()) } else { Ok((ends, name)) }
}

/// "12 rows", as a length; `None` if it is no number of rows.
pub(crate) fn rows(text: &str) -> Option<Result<u32, Misread>> {
    let mut walk = Walk::new(text, "Write a number of rows, such as \"12 rows\".");
    let words: Vec<&str> = text.split_whitespace().collect();
    let counted = matches!(words.as_slice(), [_, last] if matches!(*last, "rows" | "row"));
    counted.then(|| walk.number(1, bounds::ROWS))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn span(first: u32, last: u32) -> Span {
        Span::new(first, last).unwrap()
    }

    #[test]
    fn steps_say_how_far_which_way_and_how_often() {
        let every = |n| NonZeroU32::new(n);
        assert_eq!(step("1 right"), Ok(WantedStep { right: 1, every: None }));
        assert_eq!(step("2 left every 3 rows"), Ok(WantedStep { right: -2, every: every(3) }));
        assert_eq!(step("1 right every pair"), Ok(WantedStep { right: 1, every: every(2) }));
        assert_eq!(step("1 end to the right every row"), Ok(WantedStep { right: 1, every: every(1) }));
        assert_eq!(step("1 up").unwrap_err().part, Some(2..4));
        assert_eq!(step("right").unwrap_err().message, "\"right\" does not say how many.");
        assert_eq!(step("1 right every").unwrap_err().message, "\"1 right every\" stops too early.");
        assert_eq!(step("0 right").unwrap_err().message, "0 is too few: 1 is the least here.");
    }

    #[test]
    fn leans_turn_after_steps_or_ends() {
        let turn = |after, broken| TurnBack { after: NonZeroU32::new(after).unwrap(), broken };
        assert_eq!(turn_back("after 6 steps"), Ok(turn(6, false)));
        assert_eq!(turn_back("after 6 steps, broken"), Ok(turn(6, true)));
        assert_eq!(turn_ends("after 8 ends"), Ok(turn(7, false)));
        assert_eq!(turn_ends("after 2 ends, broken"), Ok(turn(1, true)));
        assert!(turn_ends("after 1 ends").is_err());
    }

    #[test]
    fn ends_count_from_one_in_the_text_and_from_nothing_inside() {
        assert_eq!(ends("3 to 20"), Ok(span(2, 19)));
        assert_eq!(ends("7"), Ok(span(6, 6)));
        assert_eq!(ends("20 to 3").unwrap_err().help, "Write the smaller one first: \"3 to 20\".");
        assert!(ends("0 to 3").is_err());
        assert!(ends("1 to 99999").is_err());
    }

    #[test]
    fn touches_name_rows_and_ends() {
        let three = Touch { at: TouchedRows::Row(2), ends: span(4, 6), pass: Pass::Over };
        assert_eq!(touch("row 3: over 5 to 7"), Ok(three));
        let rows = NonZeroU32::new(8).unwrap();
        let often = Touch { at: TouchedRows::Every { rows, from: 1 }, ends: span(8, 8), pass: Pass::Under };
        assert_eq!(touch("every 8 rows from 2: under 9"), Ok(often));
        assert!(touch("row 3: 5 to 7").is_err());
    }

    #[test]
    fn a_length_may_be_a_number_of_rows() {
        assert_eq!(rows("12 rows"), Some(Ok(12)));
        assert_eq!(rows("3 cm"), None);
        assert!(rows("0 rows").unwrap().is_err());
    }

    proptest! {
        #[test]
        fn a_written_touch_reads_as_itself(
            row in 0..20_000_u32,
            every in 0..20_000_u32,
            first in 0..4096_u32,
            len in 0..4096_u32,
            over: bool,
        ) {
            let at = match NonZeroU32::new(every) {
                Some(rows) => TouchedRows::Every { rows, from: row },
                None => TouchedRows::Row(row),
            };
            let ends = span(first, (first + len).min(4095));
            let touched = Touch { at, ends, pass: Pass::from_bit(over) };
            prop_assert_eq!(touch(&write_touch(&touched)), Ok(touched));
        }
    }
}
