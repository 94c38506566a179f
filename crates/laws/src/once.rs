//! Writes rows out again that a sheet tells once. Knows what `docs/rows.md` says of `--short`, and nothing else.

use crate::reader::plain;
use std::collections::BTreeMap;

/// A row's own line without its number, and what stands above and below it, each in the order of the alphabet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RowLines {
    /// The row.
    pub row: String,
    /// Above it.
    pub before: Vec<String>,
    /// Below it.
    pub after: Vec<String>,
}

type Read<T> = Result<T, String>;

/// What is done at one row alone and not at others that are woven as it is.
const OF_ITS_ROW: [&str; 10] = [
    "weave a header of ",
    "slip a strip of card ",
    "secure row 1, ",
    "measure here: ",
    "measure what is open ",
    "look at what is left of ",
    "from here on comb ",
    "begin ",
    "join ",
    "cut ",
];
/// Several joins of one yarn in one breath.
const OFTEN: &str = " as ever, with a new needleful: ";
const OTHERS: [&str; 6] =
    ["lead ", "take up ", "cross at ", "it begins with ", "it ends with ", "before it "];

fn is_of_its_row(line: &str) -> bool {
    OF_ITS_ROW.iter().any(|words| line.starts_with(words))
}

/// Lines as they were before they were broken to fit the page, each with how far in it stands.
fn lines(text: &str) -> Vec<(usize, String)> {
    let mut lines: Vec<(usize, String)> = Vec::new();
    let mut after_blank = true;
    for line in plain(text).lines() {
        let words = line.trim();
        let indent = line.len() - line.trim_start().len();
        let is_row =
            indent < 6 && words.split_once("  ").is_some_and(|(number, _)| number.parse::<u32>().is_ok());
        let is_stretch = indent == 2 && words.starts_with("rows ") && words.contains(": as ");
        let is_step = indent == 6 && OF_ITS_ROW.iter().chain(&OTHERS).any(|step| words.starts_with(step));
        let of_rows = indent == 6
            && (numbers(words, "before row").is_some()
                || numbers(words, "after row").is_some()
                || words.strip_prefix("row ").is_some_and(|rest| rest.contains(" comes again as")));
        match lines.last_mut() {
            _ if words.is_empty() => {}
            Some((_, last)) if !(after_blank || is_row || is_stretch || is_step || of_rows) => {
                last.push(' ');
                last.push_str(words);
            }
            _ => lines.push((indent, words.to_owned())),
        }
        after_blank = words.is_empty();
    }
    lines
}

/// The numbers of "before row 3: ..." or "before rows 3, 5 and 7: ...", and what follows; the colon may stand in a later
/// line.
fn numbers<'a>(line: &'a str, begins: &str) -> Option<(Vec<usize>, &'a str)> {
    let rest = line.strip_prefix(begins)?;
    let rest = rest.strip_prefix('s').unwrap_or(rest).trim_start();
    let (list, words) = rest.split_once(": ").unwrap_or((rest, ""));
    let numbers = list.replace(" and ", ", ");
    let numbers = numbers.trim_end_matches(',').split(", ").map(str::parse).collect::<Result<_, _>>().ok()?;
    Some((numbers, words))
}

fn often(words: &str) -> Read<usize> {
    const WORDS: [&str; 10] =
        ["three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    if words == "twice" {
        return Ok(2);
    }
    let count = words.strip_suffix(" times").ok_or_else(|| format!("{words:?} is no number of times"))?;
    match WORDS.iter().position(|word| *word == count) {
        Some(at) => Ok(at + 3),
        None => count.parse().map_err(|_| format!("{count:?} is no number")),
    }
}

/// "row 3", "rows 3 to 8".
fn range(words: &str) -> Read<std::ops::RangeInclusive<usize>> {
    let rest = words.strip_prefix("row").ok_or_else(|| format!("{words:?} are no rows"))?;
    let rest = rest.strip_prefix('s').unwrap_or(rest).trim_start();
    let (first, last) = rest.split_once(" to ").unwrap_or((rest, rest));
    let number = |word: &str| word.parse::<usize>().map_err(|_| format!("{word:?} is no number"));
    Ok(number(first)?..=number(last)?)
}

/// All rows of a text, those that are told once written out as often as they are woven.
///
/// # Errors
/// Says what can't be followed.
pub fn written_out(text: &str) -> Read<Vec<RowLines>> {
    let mut rows: Vec<RowLines> = Vec::new();
    let mut before: Vec<String> = Vec::new();
    // What was said of single rows of the last stretch.
    let mut stretch = 0..0;
    for (indent, line) in lines(text) {
        let in_line = |problem: String| format!("{problem} in: {line}");
        if let Some((number, words)) =
            line.split_once("  ").filter(|(number, _)| number.parse::<usize>().is_ok())
        {
            if number.parse() != Ok(rows.len() + 1) {
                return Err(in_line(format!("row {} is missing", rows.len() + 1)));
            }
            rows.push(RowLines { row: words.into(), before: std::mem::take(&mut before), after: Vec::new() });
            stretch = 0..0;
        } else if let Some((these, of)) = line.split_once(": as ").filter(|_| indent == 2) {
            let (these, mut said) = (range(these)?, of.split(", "));
            if *these.start() != rows.len() + 1 {
                return Err(in_line(format!("row {} is missing", rows.len() + 1)));
            }
            let of = range(said.next().unwrap_or_default())?;
            let (mut whole, mut rest) = (1, None);
            for more in said {
                match more.strip_prefix("then as ") {
                    Some(some) => rest = Some(range(some)?),
                    None => whole = often(more)?,
                }
            }
            if rest.as_ref().is_some_and(|rest| rest.start() != of.start() || rest.end() > of.end()) {
                return Err(in_line("other rows than those that come again".into()));
            }
            let sources = std::iter::repeat_n(of, whole).chain(rest).flatten();
            for source in sources.collect::<Vec<_>>() {
                let mut row = rows.get(source - 1).cloned().ok_or_else(|| in_line("not woven yet".into()))?;
                row.before.retain(|line| !is_of_its_row(line));
                row.after.retain(|line| !is_of_its_row(line));
                rows.push(row);
            }
            if *these.end() != rows.len() {
                return Err(in_line(format!("it goes up to row {}", rows.len())));
            }
            stretch = *these.start()..these.end() + 1;
        } else if let Some((weft, joins)) = line.split_once(OFTEN).filter(|_| line.starts_with("join ")) {
            for join in joins.split("; ") {
                let in_join = || in_line(format!("no join: {join}"));
                let (at, rest) = join.split_once(" over ").ok_or_else(in_join)?;
                let (ends, needleful) = rest.split_once(", ").ok_or_else(in_join)?;
                let number = *range(at)?.start();
                let row =
                    rows.get_mut(number - 1).filter(|_| stretch.contains(&number)).ok_or_else(in_join)?;
                row.before.push(format!(
                    "{weft} in this row where its needleful ends, about over {ends}, both yarns in the same opening; the new \
                     needleful is {needleful}"
                ));
            }
        } else if let Some((at, words)) = numbers(&line, "before row") {
            for number in at {
                let row = rows.get_mut(number - 1).filter(|_| stretch.contains(&number));
                row.ok_or_else(|| in_line("another row".into()))?.before.push(words.into());
            }
        } else if let Some((at, words)) = numbers(&line, "after row") {
            for number in at {
                let row = rows.get_mut(number - 1).filter(|_| stretch.contains(&number));
                row.ok_or_else(|| in_line("another row".into()))?.after.push(words.into());
            }
        } else if let Some((row, again)) = line.split_once(" comes again as rows ") {
            let first = &rows[*range(row)?.start() - 1].row;
            let (again, _) = numbers(&format!("rows {again}"), "row").ok_or("no rows")?;
            if again.iter().any(|number| !stretch.contains(number) || rows[number - 1].row != *first) {
                return Err(in_line("another row".into()));
            }
        } else if indent == 0 && (rows.is_empty() || line.contains(", row")) {
            // What stands above the rows, and headings.
        } else if ["cut ", "secure row 1, ", "it begins ", "it ends ", "before it "]
            .iter()
            .any(|words| line.starts_with(words))
        {
            rows.last_mut().ok_or_else(|| in_line("no row".into()))?.after.push(line);
        } else {
            before.push(line);
        }
    }
    for row in &mut rows {
        row.before.sort();
        row.after.sort();
    }
    Ok(rows)
}

/// How many rows a text tells itself, and how many it says are as others.
#[must_use]
pub fn told(text: &str) -> BTreeMap<bool, usize> {
    let mut told = BTreeMap::new();
    for (indent, line) in lines(text) {
        let itself = line.split_once("  ").is_some_and(|(number, _)| number.parse::<u32>().is_ok());
        if itself {
            *told.entry(true).or_insert(0) += 1;
        } else if let Some((these, _)) = line.split_once(": as ").filter(|_| indent == 2) {
            *told.entry(false).or_insert(0) += range(these).map_or(0, Iterator::count);
        }
    }
    told
}
