//! Texts that are no TOML: the parser's own words, said again for a weaver.

use crate::near::quoted;
use crate::problem::Problem;
use std::ops::Range;
use toml::de::DeTable;

/// Reads the text as a tree.
pub(crate) fn tree(text: &str) -> Result<DeTable<'_>, Problem> {
    match DeTable::parse(text) {
        Ok(tree) => Ok(tree.into_inner()),
        Err(error) => Err(problem(text, error.message(), error.span())),
    }
}

fn problem(text: &str, said: &str, at: Option<Range<usize>>) -> Problem {
    let at = within(text, at);
    let there = at.as_ref().and_then(|at| text.get(at.clone())).unwrap_or_default();
    let (message, help) = reworded(said, there);
    Problem { message, help: help.to_string(), at }
}

/// The place, on whole characters and inside the text.
fn within(text: &str, at: Option<Range<usize>>) -> Option<Range<usize>> {
    let at = at?;
    let on_character = |mut byte: usize| {
        byte = byte.min(text.len());
        while !text.is_char_boundary(byte) {
            byte -= 1;
        }
        byte
    };
    let (start, end) = (on_character(at.start), on_character(at.end));
    Some(start..end.max(start))
}

const CLOSE_LIST: &str = "Add ] where the list ends, and a comma between its elements.";
const CLOSE_TEXT: &str = "Add the quote at the end of the text, in the same line.";
const KEY_AND_VALUE: &str = "Write a key, = and a value, such as rows = 8.";
const PLAIN_NUMBER: &str = "Write whole numbers with digits alone, such as 24, and quantities between quotes, such as \
                            \"6 mm\".";

/// What the parser says, by how it begins, and what is told instead.
const REWORDED: [(&str, &str, &str); 27] = [
    ("unclosed array table", "A heading is not closed.", "Write ]] at its end."),
    ("unclosed array", "A list is not closed.", CLOSE_LIST),
    (
        "missing comma between array",
        "Two elements of a list stand without a comma.",
        "Put a comma between them.",
    ),
    ("extra comma in array", "There is a comma too many in this list.", "Take it out."),
    ("unexpected `=` in array", "There is an = in this list.", CLOSE_LIST),
    (
        "unclosed inline table",
        "Braces are not closed.",
        "Add } where they end, and a comma between the keys inside.",
    ),
    ("missing comma between key-value", "Two keys stand without a comma.", "Put a comma between them."),
    ("extra comma in inline", "There is a comma too many between these braces.", "Take it out."),
    (
        "unclosed table",
        "A heading is not closed.",
        "Write ] at its end. A name with a space stands between quotes, such as [yarn.\"mud lark\"].",
    ),
    ("invalid basic string", "A text is not closed, or has a sign that can't stand in it.", CLOSE_TEXT),
    ("invalid literal string", "A text is not closed, or has a sign that can't stand in it.", CLOSE_TEXT),
    ("invalid multi-line", "A text of several lines is not closed.", "Add its three quotes at the end."),
    (
        "missing escaped value",
        "A backslash in a text stands for something else than itself.",
        "Write \\\\ for a backslash.",
    ),
    ("too few unicode", "A sign written by its number lacks digits.", "Write four digits after \\u."),
    ("key with no value", "A key stands without a value.", KEY_AND_VALUE),
    ("missing value", "A key stands without a value.", KEY_AND_VALUE),
    ("extra `=`", "There is an = too many.", KEY_AND_VALUE),
    ("unquoted keys cannot be empty", "A key is missing here.", KEY_AND_VALUE),
    (
        "unexpected key or value",
        "Something stands here that does not belong to the line.",
        "Begin a new line for a new key; put # before a note.",
    ),
    ("unexpected leading zero", "A number begins with 0.", PLAIN_NUMBER),
    ("`_` may only", "A _ stands where it can't stand in a number.", PLAIN_NUMBER),
    ("redundant", "A number has a sign too many.", PLAIN_NUMBER),
    ("invalid boolean", "This is nearly true or false.", "Write true or false, or a text between quotes."),
    (
        "recursion",
        "Lists lie in lists too deeply here.",
        "Give the inner part a name in a table [sequence.NAME].",
    ),
    (
        "cannot recurse",
        "Lists lie in lists too deeply here.",
        "Give the inner part a name in a table [sequence.NAME].",
    ),
    ("cannot extend", "This key has a value already; it can't become a table too.", "Keep one of the two."),
    ("carriage return", "A line ends in half a line ending.", "Save the text with ordinary line endings."),
];

fn reworded(said: &str, there: &str) -> (String, &'static str) {
    if said.starts_with("duplicate key") {
        return (format!("`{}` stands here for the second time.", short(there)), "Keep one of the two.");
    }
    if said.starts_with("string values must be quoted") {
        return if there.trim().is_empty() {
            ("There is no value here.".into(), KEY_AND_VALUE)
        } else {
            (
                format!("{} stands without quotes.", quoted(there)),
                "Put texts between quotes, such as \"6 mm\".",
            )
        };
    }
    let known = REWORDED.iter().find(|(begins, ..)| said.starts_with(begins));
    match known {
        Some((_, message, help)) => ((*message).to_string(), help),
        None if there.trim().is_empty() => ("The text can't be read on from here.".into(), KEY_AND_VALUE),
        None => (format!("{} can't be read here.", quoted(there)), KEY_AND_VALUE),
    }
}

fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_toml_is_told_in_plain_words() {
        let cases = [
            ("a = 1\na = 2", "`a` stands here for the second time.", 6),
            ("[yarn.mud lark]\n", "A heading is not closed.", 9),
            ("pitch = 6 mm\n", "\"6 mm\" stands without quotes.", 8),
            ("a = [1, 2\n", "A list is not closed.", 9),
            ("a = \"x\n", "A text is not closed, or has a sign that can't stand in it.", 6),
            ("rows 8\n", "A key stands without a value.", 5),
            ("a = \n", "There is no value here.", 4),
            ("a = 1 b = 2\n", "Something stands here that does not belong to the line.", 8),
        ];
        for (text, message, start) in cases {
            let problem = tree(text).unwrap_err();
            assert_eq!(problem.message, message, "{text}");
            assert_eq!(problem.at.map(|at| at.start), Some(start), "{text}");
        }
    }
}
