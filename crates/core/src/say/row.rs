//! A row in the words that a weaver says: runs in the direction of travel, repeats told as repeats.

use crate::piece::Piece;
use crate::side::{Side, Span};
use crate::weave::Run;

/// Part of a row as it is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Phrase {
    /// The first of its runs.
    start: usize,
    /// How many runs.
    len: usize,
    /// How often they are woven.
    times: u32,
}

/// The longest group of runs that people still hear as a repeat.
const LONGEST_GROUP: usize = 12;

/// Splits a row into phrases that take the fewest words. A group has an even number of runs, since over and
/// under alternate.
fn phrases(runs: &[Run]) -> Vec<Phrase> {
    let count = runs.len();
    let once = |start| Phrase { start, len: 1, times: 1 };
    // For each group length, how many runs from here on are the same as one group further.
    let lengths: Vec<usize> = (2..=LONGEST_GROUP.min(count / 2)).step_by(2).collect();
    let mut same: Vec<Vec<usize>> = vec![vec![0; count + 1]; lengths.len()];
    for (known, &len) in same.iter_mut().zip(&lengths) {
        for i in (0..count.saturating_sub(len)).rev() {
            known[i] = if runs[i] == runs[i + len] { known[i + 1] + 1 } else { 0 };
        }
    }
    // Fewest words from each run to the end, and the phrase that begins there.
    let mut best: Vec<(usize, Phrase)> = vec![(0, once(count)); count + 1];
    for i in (0..count).rev() {
        let mut choice = (best[i + 1].0 + 2, once(i));
        for (known, &len) in same.iter().zip(&lengths) {
            let most = known[i] / len + 1;
            for times in [most, most.saturating_sub(1)] {
                if times < 2 {
                    continue;
                }
                // A group that does not begin the row takes a "then" as well.
                let words = best[i + len * times].0 + 2 * len + 2 + usize::from(i > 0);
                if words < choice.0 {
                    choice = (words, Phrase { start: i, len, times: times as u32 });
                }
            }
        }
        best[i] = choice;
    }
    let mut phrases = Vec::new();
    let mut at = 0;
    while at < count {
        let phrase = best[at].1;
        at += phrase.len * phrase.times as usize;
        phrases.push(phrase);
    }
    phrases
}

/// "twice", "three times" ... "13 times".
pub(super) fn times(times: u32) -> String {
    const WORDS: [&str; 13] = [
        "",
        "once",
        "twice",
        "three times",
        "four times",
        "five times",
        "six times",
        "seven times",
        "eight times",
        "nine times",
        "ten times",
        "eleven times",
        "twelve times",
    ];
    WORDS.get(times as usize).map_or_else(|| format!("{times} times"), |&word| word.to_owned())
}

/// The same where it stands right behind a number of ends: "under 1 30 times" would be read as 130.
fn times_behind(count: u32) -> String {
    if (13..=999).contains(&count) { format!("{} times", spelt(count)) } else { times(count) }
}

/// A number from 1 to 999 in words.
fn spelt(number: u32) -> String {
    const UNITS: [&str; 20] = [
        "",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    const TENS: [&str; 10] =
        ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    let word = |words: &[&'static str], at: u32| words.get(at as usize).copied().unwrap_or_default();
    let (hundreds, rest) = (number / 100, number % 100);
    let rest = match (rest / 10, rest % 10) {
        (0 | 1, _) => word(&UNITS, rest).to_owned(),
        (tens, 0) => word(&TENS, tens).to_owned(),
        (tens, units) => format!("{}-{}", word(&TENS, tens), word(&UNITS, units)),
    };
    match (hundreds, rest.is_empty()) {
        (0, _) => rest,
        (hundreds, true) => format!("{} hundred", word(&UNITS, hundreds)),
        (hundreds, false) => format!("{} hundred and {rest}", word(&UNITS, hundreds)),
    }
}

/// A stretch of a row as it is said: a group of runs, and how often it is woven.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowPhrase<'a> {
    /// The group, once.
    pub runs: &'a [Run],
    /// How often it is woven.
    pub times: u32,
    /// The same in words, such as "three times"; nothing for a run that is woven once.
    pub times_words: Option<String>,
}

/// The stretches in which [`row_words`] says a row, for whoever sets them out otherwise than in one line.
#[must_use]
pub fn row_phrases(runs: &[Run]) -> Vec<RowPhrase<'_>> {
    phrases(runs)
        .into_iter()
        .map(|phrase| RowPhrase {
            runs: &runs[phrase.start..phrase.start + phrase.len],
            times: phrase.times,
            times_words: (phrase.times > 1).then(|| times(phrase.times)),
        })
        .collect()
}

/// A row in words, its runs given in the direction of travel: "under 1, then over 4, under 2 five times,
/// over 3". A repeated group begins at the start of the row or at "then", and ends with how often it is
/// woven.
#[must_use]
pub fn row_words(runs: &[Run]) -> String {
    let mut said = String::new();
    for (k, phrase) in row_phrases(runs).into_iter().enumerate() {
        if k > 0 {
            said.push_str(", ");
            if phrase.times > 1 {
                said.push_str("then ");
            }
        }
        let words: Vec<String> =
            phrase.runs.iter().map(|run| format!("{} {}", super::pass(run.pass), run.ends)).collect();
        said.push_str(&words.join(", "));
        if phrase.times > 1 {
            said.push(' ');
            said.push_str(&times_behind(phrase.times));
        }
    }
    said
}

/// The ends that a row covers, "ends 10 to 20"; nothing where it covers all.
#[must_use]
pub fn over_ends(piece: &Piece, span: Span) -> Option<String> {
    (span.len() < piece.end_count()).then(|| super::ends(span.first(), span.last()))
}

/// From where its needle comes, and the ends that it covers if they are not all: "from the left, ends 10 to 20".
#[must_use]
pub fn comes_from(piece: &Piece, from: Side, span: Span) -> String {
    let ends = over_ends(piece, span).map_or_else(String::new, |ends| format!(", {ends}"));
    format!("from the {}{ends}", super::side(from))
}

/// A row in a list of rows: which needle comes from where, over which ends where they are not all, and the row in words:
/// "slate from the left: ends 10 to 20: over 1, under 1".
#[must_use]
pub fn row_listed(weft: &str, from: &str, over_ends: Option<&str>, words: &str) -> String {
    let ends = over_ends.map_or_else(String::new, |ends| format!("{ends}: "));
    format!("{weft} from the {from}: {ends}{words}")
}

/// How a row is taken out again: backwards, needle first, from the side at which it came out.
#[must_use]
pub fn unpick_words(runs: &[Run], from: Side) -> String {
    let back: Vec<Run> = runs.iter().rev().copied().collect();
    format!("back from the {}, needle first: {}", super::side(from.other()), row_words(&back))
}

/// The groups at a row's two edges that its repeat does not lead one to expect, first and last as the needle
/// meets them; `None` where the row says nothing but its repeat.
#[must_use]
pub fn edge_note(runs: &[Run]) -> Option<String> {
    let phrases = phrases(runs);
    let group = phrases.iter().filter(|p| p.times > 1).max_by_key(|p| p.len * p.times as usize)?;
    let repeat = &runs[group.start..group.start + group.len];
    let odd = |run: &Run| !repeat.contains(run);
    let first = runs.first().filter(|run| odd(run));
    let last = runs.last().filter(|run| odd(run));
    let words = |run: &Run| format!("{} {}", super::pass(run.pass), run.ends);
    match (first, last) {
        (None, None) => None,
        (Some(first), None) => Some(format!("begins with {}", words(first))),
        (None, Some(last)) => Some(format!("ends with {}", words(last))),
        (Some(first), Some(last)) => Some(format!("begins with {}, ends with {}", words(first), words(last))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weave::Runs;

    fn said(text: &str) -> String {
        row_words(Runs::parse(text).unwrap().runs())
    }

    #[test]
    fn a_number_of_times_is_not_read_with_the_number_before_it() {
        let told = [2, 12, 13, 20, 32, 99, 100, 105, 999, 1000].map(times_behind);
        assert_eq!(
            told[..5],
            ["twice", "twelve times", "thirteen times", "twenty times", "thirty-two times"]
        );
        assert_eq!(
            told[5..],
            [
                "ninety-nine times",
                "one hundred times",
                "one hundred and five times",
                "nine hundred and ninety-nine times",
                "1000 times"
            ]
        );
    }

    #[test]
    fn repeats_are_said_the_way_people_say_them() {
        assert_eq!(
            said("under 1 over 4 under 2 over 4 under 2 over 4 under 2 over 4 under 2 over 4 under 2 over 3"),
            "under 1, then over 4, under 2 five times, over 3"
        );
        assert_eq!(said("over 1 under 1 over 1 under 1 over 1 under 1"), "over 1, under 1 three times");
        assert_eq!(said("over 5 under 3"), "over 5, under 3");
        assert_eq!(said("over 5 under 3 over 5 under 3"), "over 5, under 3 twice");
        assert_eq!(said("over 12"), "over 12");
        assert_eq!(
            said("over 1 under 1 over 1 under 1 over 1 under 3 over 2 under 3 over 2 under 3 over 2"),
            "over 1, under 1 twice, over 1, then under 3, over 2 three times"
        );
    }

    #[test]
    fn phrases_give_the_runs_of_the_row_in_order() {
        for text in ["over 5 under 3", "under 1 over 4 under 2 over 4 under 2 over 4 under 2 over 3"] {
            let runs = Runs::parse(text).unwrap();
            let again: Vec<Run> =
                row_phrases(runs.runs()).iter().flat_map(|p| p.runs.repeat(p.times as usize)).collect();
            assert_eq!(again, runs.runs());
        }
        let runs = Runs::parse("under 1 over 4 under 2 over 4 under 2 over 4 under 2 over 3").unwrap();
        let said: Vec<_> =
            row_phrases(runs.runs()).into_iter().map(|p| (p.runs.len(), p.times_words)).collect();
        assert_eq!(said, [(1, None), (2, Some("three times".to_owned())), (1, None)]);
    }

    #[test]
    fn odd_groups_at_the_edges_are_pointed_out() {
        let note = |text: &str| edge_note(Runs::parse(text).unwrap().runs());
        assert_eq!(
            note("under 1 over 4 under 2 over 4 under 2 over 3").as_deref(),
            Some("begins with under 1, ends with over 3")
        );
        assert_eq!(note("over 4 under 2 over 4 under 2"), None);
        assert_eq!(note("over 5 under 3"), None);
    }
}
