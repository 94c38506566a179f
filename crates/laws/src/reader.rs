//! Follows the printed rows with needles. Knows what `docs/rows.md` says and how many ends the warp has, and
//! nothing else; says so where the words contradict each other or the place where a needle waits.

use crate::cloth::{Cloth, Lies, Link, Part, Woven};
use fellmark_core::side::{Side, Span};
use std::collections::BTreeMap;

/// A band's heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heading {
    /// Its first and last row, from 0.
    pub rows: (usize, usize),
    /// What it says of the left and the right edge.
    pub edges: [Option<String>; 2],
}

/// What was read.
#[derive(Debug, Clone, Default)]
pub struct Reading {
    /// The cloth.
    pub cloth: Cloth,
    /// The headings.
    pub headings: Vec<Heading>,
    /// The rows whose turn is said to be held by nothing.
    pub unheld: Vec<usize>,
}

type Read<T> = Result<T, String>;

/// A yarn on its needle.
struct Needle {
    waits: Side,
    last: Option<usize>,
    /// The end beside which its yarn was said to begin, if it has woven nothing yet.
    begins: Option<u32>,
}

#[derive(Default)]
struct Weaver {
    ends: u32,
    reading: Reading,
    needles: BTreeMap<String, Needle>,
    /// Steps said since the last row.
    takes: Vec<Take>,
    carried: Option<(String, Side, usize)>,
    /// The weft that is led in front of ends, and the first and last of them.
    led: Option<(String, Span)>,
}

/// A needle that is taken round another: at which side of which end, its weft, whether under, what of which other.
type Take = ((Side, u32), String, bool, Part, String);

const STEPS: [&str; 16] = [
    "lead ",
    "join ",
    "weave a header of ",
    "slip a strip of card ",
    "secure row 1, ",
    "measure here: ",
    "measure what is open ",
    "look at what is left of ",
    "from here on ",
    "begin ",
    "take up ",
    "cross at the ",
    "cut ",
    "it begins with ",
    "it ends with ",
    "before it ",
];

/// The words without what makes some of them bold.
#[must_use]
pub fn plain(text: &str) -> String {
    let mut parts = text.split('\u{1b}');
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |plain, part| plain + part.split_once('m').map_or("", |(_, rest)| rest))
}

/// Reads the printed rows of a piece.
///
/// # Errors
/// Says what cannot be followed.
pub fn read(text: &str, ends: u32) -> Read<Reading> {
    let mut weaver = Weaver { ends, ..Weaver::default() };
    for line in whole_lines(&plain(text)) {
        weaver.line(&line).map_err(|problem| format!("{problem} in: {line}"))?;
    }
    if !weaver.takes.is_empty() || weaver.carried.is_some() {
        return Err("a step before a row that does not come".into());
    }
    Ok(weaver.reading)
}

/// Reads rows whose numbers stand at the right, for a loom that lies at the right of the list.
///
/// # Errors
/// As [`read`].
pub fn read_left(text: &str, ends: u32) -> Read<Reading> {
    let mut rows = 0;
    let numbered = plain(text).lines().fold(String::new(), |text, line| {
        let number = (rows + 1).to_string();
        let words = line.trim_end().strip_suffix(&number).filter(|words| words.ends_with("  "));
        match words.filter(|words| words.contains(" from the ")) {
            Some(words) => {
                rows += 1;
                format!("{text}{number:>4}  {}\n", words.trim_end())
            }
            None => format!("{text}{line}\n"),
        }
    });
    read(&numbered, ends)
}

/// Lines as they were before they were broken to fit the page.
fn whole_lines(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let (mut after_blank, mut rows) = (true, 0);
    for line in text.lines() {
        if line.trim().is_empty() {
            after_blank = true;
            continue;
        }
        let words = line.trim();
        let starts_row = words.starts_with(&format!("{}  ", rows + 1));
        let starts = after_blank || starts_row || STEPS.iter().any(|step| words.starts_with(step));
        if starts_row {
            rows += 1;
        }
        match lines.last_mut() {
            Some(last) if !starts => {
                last.push(' ');
                last.push_str(words);
            }
            _ => lines.push(words.to_owned()),
        }
        after_blank = false;
    }
    lines
}

fn side(word: &str) -> Read<Side> {
    match word {
        "left" => Ok(Side::Left),
        "right" => Ok(Side::Right),
        _ => Err(format!("{word:?} is no side")),
    }
}

fn split<'a>(text: &'a str, at: &str) -> Read<(&'a str, &'a str)> {
    text.split_once(at).ok_or_else(|| format!("no {at:?} in {text:?}"))
}

fn number<T: std::str::FromStr>(word: &str) -> Read<T> {
    word.parse().map_err(|_| format!("{word:?} is no number"))
}

impl Weaver {
    fn line(&mut self, line: &str) -> Read<()> {
        let next = self.reading.cloth.rows.len() + 1;
        if let Some(row) = line.strip_prefix(&format!("{next}  ")) {
            return self.row(row);
        }
        let no_row = [
            "join ",
            "measure here: ",
            "measure what is open ",
            "look at what is left of ",
            "from here on comb ",
            "weave a header of ",
            "slip a strip of card ",
            "secure row 1, ",
        ];
        if no_row.into_iter().any(|words| line.starts_with(words)) {
            return Ok(());
        }
        if let Some(rest) = line.strip_prefix("begin ") {
            return self.begin(rest);
        }
        if let Some(rest) = line.strip_prefix("lead ") {
            let (weft, rest) = split(rest, " in front of end")?;
            let (range, _) = split(rest, " to where its row begins")?;
            self.led = Some((weft.into(), self.range(range)?));
            return Ok(());
        }
        if let Some(rest) = line.strip_prefix("take up ") {
            return self.take_up(rest);
        }
        if let Some(rest) = line.strip_prefix("cross at the ") {
            let (at, rest) = split(rest, ": take ")?;
            let (working, under, other) = match rest.split_once(" under ") {
                Some((working, other)) => (working, true, other),
                None => split(rest, " over ").map(|(working, other)| (working, false, other))?,
            };
            let (part, other) = match other.strip_prefix("the starting tail of ") {
                Some(other) => (Part::StartingTail, other),
                None => match other.strip_prefix("the ending tail of ") {
                    Some(other) => (Part::EndingTail, other),
                    None => (Part::Yarn, other),
                },
            };
            self.takes.push((self.edge(at)?, working.into(), under, part, other.into()));
            return Ok(());
        }
        if let Some(rest) = line.strip_prefix("cut ") {
            return self.cut(rest);
        }
        if line.starts_with("it begins with ") || line.starts_with("it ends with ") {
            return Ok(());
        }
        if let Some(rest) = line.strip_prefix("before it ") {
            return self.loose(rest);
        }
        // A heading has the numbers of its rows; what is said at the top speaks of rows too.
        let numbered = |words: &str| line.split(words).skip(1).any(|rest| rest.starts_with(char::is_numeric));
        if numbered(", rows ") || numbered(", row ") {
            return self.heading(line);
        }
        if self.reading.cloth.rows.is_empty() { Ok(()) } else { Err("not understood".into()) }
    }

    fn begin(&mut self, rest: &str) -> Read<()> {
        let (weft, rest) = split(rest, " at the ")?;
        let (at, _) = split(rest, ", leaving a tail of ")?;
        let (at, end) = self.edge(at)?;
        let needle = Needle { waits: at, last: None, begins: Some(end) };
        match self.needles.insert(weft.into(), needle) {
            Some(_) => Err(format!("{weft} is on its needle already")),
            None => Ok(()),
        }
    }

    fn take_up(&mut self, rest: &str) -> Read<()> {
        let (weft, rest) = split(rest, " at the ")?;
        let (at, rest) = split(rest, ", carried past ")?;
        let (past, _) = split(rest, " ")?;
        let (side, end) = self.edge(at)?;
        if self.waits_at(weft) != Some((side, end)) {
            return Err(format!("{weft} waits elsewhere"));
        }
        self.carried = Some((weft.into(), side, number(past)?));
        Ok(())
    }

    fn cut(&mut self, rest: &str) -> Read<()> {
        let (weft, rest) = split(rest, " at the ")?;
        let (at, _) = split(rest, ", leaving a tail of ")?;
        let said = self.edge(at)?;
        let waits = self.waits_at(weft);
        let needle = self.needles.remove(weft).ok_or("a yarn is cut that is on no needle")?;
        if waits != Some(said) {
            return Err("a yarn is cut where it is not".into());
        }
        let last = needle.last.ok_or("a yarn is cut before it wove")?;
        self.reading.cloth.rows[last].cut = true;
        Ok(())
    }

    /// A side, and the end there: that which is named, or the outermost.
    fn edge(&self, said: &str) -> Read<(Side, u32)> {
        let (at, end) = match said.split_once(" of end ") {
            Some((at, end)) => (side(at)?, number::<u32>(end)?.wrapping_sub(1)),
            None => {
                let at = side(said)?;
                (at, Span::all(self.ends).ok_or("no ends")?.edge(at))
            }
        };
        Ok((at, end))
    }

    /// Where a needle waits that has woven.
    fn waits_at(&self, weft: &str) -> Option<(Side, u32)> {
        let needle = self.needles.get(weft)?;
        Some((needle.waits, self.reading.cloth.rows[needle.last?].span.edge(needle.waits)))
    }

    /// "s 3 to 8" or " 3", after "end".
    fn range(&self, said: &str) -> Read<Span> {
        let range = said.strip_prefix('s').unwrap_or(said).trim();
        let (first, last) = range.split_once(" to ").unwrap_or((range, range));
        let (first, last): (u32, u32) = (number(first)?, number(last)?);
        let lies = first >= 1 && last <= self.ends;
        let span = Span::new(first.wrapping_sub(1), last.wrapping_sub(1)).filter(|_| lies);
        Ok(span.ok_or("a range that the warp does not have")?)
    }

    fn row(&mut self, line: &str) -> Read<()> {
        let (weft, rest) = split(line, " from the ")?;
        let (at, rest) = split(rest, ": ")?;
        let from = side(at)?;
        let (span, words) = match rest.strip_prefix("end") {
            Some(range) => {
                let (range, words) = split(range, ": ")?;
                (self.range(range)?, words)
            }
            None => (Span::all(self.ends).ok_or("no ends")?, rest),
        };
        let mut over = passes(words)?;
        if over.len() != span.len() as usize {
            return Err(format!("{} ends passed of {}", over.len(), span.len()));
        }
        if from == Side::Right {
            over.reverse();
        }
        let this = self.reading.cloth.rows.len();
        let needle = self.needles.get_mut(weft).ok_or("a needle without yarn")?;
        if needle.waits != from {
            return Err(format!("{weft} does not wait there"));
        }
        let (since, begins) = (needle.last, needle.begins);
        if begins.is_some_and(|end| end != span.edge(from)) {
            return Err(format!("{weft} does not begin there"));
        }
        *needle = Needle { waits: from.other(), last: Some(this), begins: None };
        self.reading.cloth.rows.push(Woven { weft: weft.into(), from, span, over, since, cut: false });
        if let Some((carried, at, past)) = self.carried.take() {
            let since = since.ok_or("a new yarn cannot be taken up")?;
            let rows = &self.reading.cloth.rows;
            let edge = span.hull(rows[since].span).edge(from);
            let passed = rows[since + 1..this].iter().filter(|row| row.span.contains(edge)).count();
            if carried != weft || at != from || past != passed {
                return Err(format!("{carried} is carried otherwise"));
            }
        }
        self.led(weft, this)?;
        for (at, working, under, part, other) in std::mem::take(&mut self.takes) {
            if Some(at) != self.reading.cloth.edge(this).map(|end| (from, end)) || working != weft {
                return Err("a needle is crossed that does not weave next".into());
            }
            self.link(this, under, part, &other)?;
        }
        Ok(())
    }

    /// Whether what was said of yarn that is led in front of ends is so: past one end it may go without a word.
    fn led(&mut self, weft: &str, row: usize) -> Read<()> {
        let passed = self.reading.cloth.led(row);
        let said = self.led.take();
        let right = match &said {
            None => passed.len() <= 1,
            Some((led, span)) => led == weft && (span.first()..span.last() + 1) == passed,
        };
        if right { Ok(()) } else { Err(format!("{weft} is led past {passed:?}, and {said:?} is said")) }
    }

    /// Finds what a crossing ties, and complains if it ties nothing.
    fn link(&mut self, row: usize, under: bool, part: Part, weft: &str) -> Read<()> {
        let cloth = &mut self.reading.cloth;
        let since = cloth.rows[row].since.ok_or("a new yarn has no turn to link")?;
        if cloth.lies(row) == Some(Lies::Caught) {
            return Err("a caught turn is crossed".into());
        }
        let holder = cloth.holders(row).into_iter().find(|(s, p)| *p == part && cloth.rows[*s].weft == weft);
        let (other, part) = holder.ok_or("a crossing that can hold nothing")?;
        if Some(under) != cloth.lies_over(row) {
            return Err("a crossing the way that links nothing".into());
        }
        cloth.links.push(Link { row, since, other, part, in_front: under });
        Ok(())
    }

    fn loose(&mut self, rest: &str) -> Read<()> {
        let row = self.reading.cloth.rows.len().checked_sub(1).ok_or("no row")?;
        let woven = &self.reading.cloth.rows[row];
        let (weft, rest) = split(rest, " is loose at the ")?;
        let at = rest.split([';', ',', ' ']).next().unwrap_or_default();
        if woven.weft != weft || woven.from != side(at)? {
            return Err("another turn than the row's own".into());
        }
        let lies = self.reading.cloth.lies(row);
        if let Some((_, end)) = rest.split_once("slips in to end ") {
            let end: u32 = number(end.split([',', ' ']).next().unwrap_or_default())?;
            if lies != Some(Lies::SlipsTo(end - 1)) {
                return Err(format!("it lies {lies:?}"));
            }
        } else if lies != Some(Lies::Everywhere) {
            return Err(format!("it lies {lies:?}"));
        }
        if !rest.contains("nothing holds it") {
            return Err("what holds it is not said".into());
        }
        self.reading.unheld.push(row);
        Ok(())
    }

    fn heading(&mut self, line: &str) -> Read<()> {
        let (name, edges) = line.split_once("; ").unwrap_or((line, ""));
        let rows = match name.rsplit_once(", rows ") {
            Some((_, rows)) => {
                let (first, last) = split(rows, " to ")?;
                (number::<usize>(first)?, number::<usize>(last)?)
            }
            None => {
                let (_, row) = name.rsplit_once(", row ").ok_or("no rows")?;
                (number(row)?, number(row)?)
            }
        };
        let mut said = [None, None];
        if let Some(both) = edges.strip_prefix("at both edges: ") {
            said = [Some(both.to_owned()), Some(both.to_owned())];
        } else {
            let mut rest = edges;
            if let Some(left) = rest.strip_prefix("at the left edge: ") {
                let (left, right) =
                    left.split_once("; at the right: ").map_or((left, None), |(l, r)| (l, Some(r)));
                said[0] = Some(left.to_owned());
                said[1] = right.map(str::to_owned);
                rest = "";
            } else if let Some(right) = rest.strip_prefix("at the right edge: ") {
                said[1] = Some(right.to_owned());
                rest = "";
            }
            if !rest.is_empty() {
                return Err("a heading not understood".into());
            }
        }
        self.reading.headings.push(Heading { rows: (rows.0 - 1, rows.1 - 1), edges: said });
        Ok(())
    }
}

/// Over (`true`) and under in the order of travel.
///
/// # Errors
/// Says which words mean nothing.
pub fn passes(words: &str) -> Read<Vec<bool>> {
    let mut passed = Vec::new();
    let mut group = Some(0);
    for item in words.split(", ") {
        let (item, begins) = item.strip_prefix("then ").map_or((item, false), |item| (item, true));
        if begins {
            group = Some(passed.len());
        }
        let mut parts = item.splitn(3, ' ');
        let over = match parts.next() {
            Some("over") => true,
            Some("under") => false,
            _ => return Err(format!("{item:?} goes neither over nor under")),
        };
        let count: usize = number(parts.next().unwrap_or_default())?;
        passed.extend(std::iter::repeat_n(over, count));
        if let Some(times) = parts.next() {
            let start = group.take().ok_or("a repeat that begins nowhere")?;
            let once = passed[start..].to_vec();
            for _ in 1..times_of(times)? {
                passed.extend_from_slice(&once);
            }
        }
    }
    Ok(passed)
}

fn times_of(words: &str) -> Read<usize> {
    const WORDS: [&str; 10] =
        ["three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    if words == "twice" {
        return Ok(2);
    }
    let (count, _) = split(words, " times")?;
    match WORDS.iter().position(|word| *word == count) {
        Some(at) => Ok(at + 3),
        None => spelt(count).map_or_else(|| number(count), Ok),
    }
}

/// "thirty-two", "one hundred and five".
fn spelt(words: &str) -> Option<usize> {
    const TEENS: [&str; 19] = [
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
    const TENS: [&str; 8] = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    if let Some((hundreds, rest)) = words.split_once(" hundred") {
        let rest = rest.strip_prefix(" and ").map_or(Some(0), spelt)?;
        return Some(spelt(hundreds)? * 100 + rest);
    }
    let below = |word: &str| TEENS.iter().position(|other| *other == word).map(|at| at + 1);
    let tens = |word: &str| TENS.iter().position(|other| *other == word).map(|at| at * 10 + 20);
    match words.split_once('-') {
        Some((ten, unit)) => Some(tens(ten)? + below(unit)?),
        None => below(words).or_else(|| tens(words)),
    }
}

#[cfg(test)]
mod tests {
    use super::passes;

    /// The table of `docs/rows.md`.
    #[test]
    fn groups_are_read_as_the_page_explains_them() {
        let cases = [
            ("over 5, under 3", "ooooouuu"),
            ("over 5, under 3 three times", "ooooouuuooooouuuooooouuu"),
            ("over 1 twenty-one times", "ooooooooooooooooooooo"),
            ("under 1, then over 4, under 2 twice, over 3", "uoooouuoooouuooo"),
            ("over 1, under 1 twice, over 1, then under 3, over 2 twice", "ououo uuuoo uuuoo"),
        ];
        for (words, expected) in cases {
            let read: String = passes(words).unwrap().iter().map(|o| if *o { 'o' } else { 'u' }).collect();
            assert_eq!(read, expected.replace(' ', ""), "{words}");
        }
    }
}
