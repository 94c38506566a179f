//! A text with its tree: values are replaced, lines are put in, and every other byte stays.
//!
//! The places of the tree say which bytes a change takes the place of. Writing the whole tree again would
//! lose how lines end and how the rest is laid out.

use crate::near::as_key;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

pub(crate) struct Sheet<'a> {
    text: &'a str,
    tree: &'a DeTable<'a>,
}

/// How a table is written.
#[derive(Clone, Copy, PartialEq)]
enum Form {
    /// Under a heading, or at the top of the file.
    Lines,
    /// Between braces.
    Inline,
    /// By the dots in the keys of another.
    Dotted,
}

/// A table, and the written table in which its keys stand.
struct Found<'a> {
    table: &'a DeTable<'a>,
    /// Whether its keys stand on lines of their own.
    form: Form,
    /// What stands before its keys: the names from the written table down to this one.
    dots: String,
    /// The heading, or the braces, or nothing at the top.
    written_at: Range<usize>,
}

impl<'a> Sheet<'a> {
    pub(crate) fn new(text: &'a str, tree: &'a DeTable<'a>) -> Sheet<'a> {
        Sheet { text, tree }
    }

    fn value(&self, path: &[&str]) -> Option<&'a Spanned<DeValue<'a>>> {
        let (last, above) = path.split_last()?;
        let mut table = self.tree;
        for name in above {
            table = table.get(*name)?.get_ref().as_table()?;
        }
        table.get(*last)
    }

    pub(crate) fn has(&self, path: &[&str]) -> bool {
        self.value(path).is_some()
    }

    pub(crate) fn is_list(&self, path: &[&str]) -> bool {
        self.value(path).is_some_and(|value| value.get_ref().is_array())
    }

    pub(crate) fn is_inline(&self, path: &[&str]) -> bool {
        self.value(path).is_some_and(|value| self.form(value) == Form::Inline)
    }

    pub(crate) fn text_of(&self, path: &[&str]) -> Option<&'a str> {
        self.value(path)?.get_ref().as_str()
    }

    /// Where the first character of a table stands tells how it is written: `[`, `{` or a key.
    fn form(&self, table: &Spanned<DeValue<'_>>) -> Form {
        match self.text.as_bytes().get(table.span().start) {
            Some(b'[') => Form::Lines,
            Some(b'{') => Form::Inline,
            _ => Form::Dotted,
        }
    }

    fn find(&self, path: &[&str]) -> Option<Found<'a>> {
        let mut found = Found { table: self.tree, form: Form::Lines, dots: String::new(), written_at: 0..0 };
        for name in path {
            let value = found.table.get(*name)?;
            let table = value.get_ref().as_table()?;
            found = match self.form(value) {
                Form::Dotted => Found { table, dots: format!("{}{}.", found.dots, as_key(name)), ..found },
                form => Found { table, form, dots: String::new(), written_at: value.span() },
            };
        }
        Some(found)
    }

    /// Gives a key of a table this value: in the place of its old one, or of `instead` and its value, or as
    /// the last of the table's own keys.
    pub(crate) fn set(&self, path: &[&str], key: &str, value: &str, instead: Option<&str>) -> Option<String> {
        let found = self.find(path)?;
        if let Some(old) = found.table.get(key) {
            return self.splice(old.span(), value);
        }
        if let Some((old_key, old)) = instead.and_then(|instead| found.table.get_key_value(instead)) {
            let renamed = self.splice(old.span(), value)?;
            let (before, after) = (renamed.get(..old_key.span().start)?, renamed.get(old_key.span().end..)?);
            return Some(format!("{before}{key}{after}"));
        }
        let entry = format!("{}{key} = {value}", found.dots);
        let last = self.own_end(found.table);
        match (found.form, last) {
            (Form::Inline, Some(end)) => self.splice(end..end, &format!(", {entry}")),
            (Form::Inline, None) => {
                let open = found.written_at.start + 1;
                self.splice(open..open, &format!(" {entry} "))
            }
            (_, last) => {
                let after = last.unwrap_or(found.written_at.end);
                let indent = self.indent(found.table);
                Some(self.lines_after(after, &[&format!("{indent}{entry}")]))
            }
        }
    }

    /// A new table after the last one below any of `kin`, or at the end of the text.
    pub(crate) fn add_table(&self, kin: &[&str], heading: &str, entry: &str) -> String {
        let mut after = None;
        for name in kin {
            let Some(value) = self.tree.get(*name) else { continue };
            let below = value.get_ref().as_table().into_iter().flat_map(|table| table.values());
            for table in std::iter::once(value).chain(below).filter(|value| self.form(value) == Form::Lines) {
                let own = table.get_ref().as_table().and_then(|table| self.own_end(table));
                after = after.max(Some(own.unwrap_or(table.span().end)));
            }
        }
        self.lines_after(after.unwrap_or(self.text.len()), &["", heading, entry])
    }

    /// Another element at the end of a list.
    pub(crate) fn add_element(&self, path: &[&str], element: &str) -> Option<String> {
        let value = self.value(path)?;
        let Some(last) = value.get_ref().as_array()?.iter().last() else {
            let open = value.span().start + 1;
            return self.splice(open..open, element);
        };
        let end = last.span().end;
        let rest = self.text.get(end..)?;
        let blank = |text: &str| text.len() - text.trim_start_matches([' ', '\t']).len();
        let comma = rest.get(blank(rest)..)?.starts_with(',');
        let after = end + blank(rest) + usize::from(comma);
        let tail = self.text.get(after..)?;
        let line_ends = tail.get(blank(tail)..)?.starts_with(['\n', '\r', '#']);
        let before = self.text.get(self.line_start(last.span().start)..last.span().start)?;
        let own_line = line_ends && before.trim().is_empty();
        if !own_line {
            return self.splice(end..end, &format!(", {element}"));
        }
        if comma {
            return Some(self.lines_after(after, &[&format!("{before}{element},")]));
        }
        // A comma on a later line would follow the new element.
        let with_comma = self.splice(end..end, ",")?;
        let longer = Sheet { text: &with_comma, tree: self.tree };
        Some(longer.lines_after(after + 1, &[&format!("{before}{element}")]))
    }

    /// Another element in the place of the last one of a list.
    pub(crate) fn replace_last(&self, path: &[&str], element: &str) -> Option<String> {
        let last = self.value(path)?.get_ref().as_array()?.iter().last()?;
        self.splice(last.span(), element)
    }

    fn splice(&self, at: Range<usize>, new: &str) -> Option<String> {
        let (before, after) = (self.text.get(..at.start)?, self.text.get(at.end..)?);
        Some(format!("{before}{new}{after}"))
    }

    /// Where the last of a table's own keys and values ends: those that stand in it, not those under a heading
    /// of their own.
    fn own_end(&self, table: &DeTable<'_>) -> Option<usize> {
        let end = |value: &Spanned<DeValue<'_>>| match value.get_ref() {
            DeValue::Table(below) => match self.form(value) {
                Form::Lines => None,
                Form::Inline => Some(value.span().end),
                Form::Dotted => self.own_end(below),
            },
            DeValue::Array(list) => {
                let under_headings = list
                    .iter()
                    .next()
                    .is_some_and(|first| first.get_ref().is_table() && self.form(first) == Form::Lines);
                (!under_headings).then_some(value.span().end)
            }
            _ => Some(value.span().end),
        };
        table.values().filter_map(end).max()
    }

    /// What stands before the keys of a table: the white space before the last of them.
    fn indent(&self, table: &DeTable<'_>) -> &'a str {
        let last = table.iter().filter(|(_, value)| !value.get_ref().is_table());
        let Some(start) = last.map(|(key, _)| key.span().start).max() else { return "" };
        let line = self.text.get(self.line_start(start)..start).unwrap_or_default();
        let line = line.trim_start_matches('\u{feff}');
        let width = line.len() - line.trim_start_matches([' ', '\t']).len();
        line.get(..width).unwrap_or_default()
    }

    fn line_start(&self, at: usize) -> usize {
        self.text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |newline| newline + 1)
    }

    /// Puts lines after the one that holds the byte before `at`, ending as that line ends.
    fn lines_after(&self, at: usize, lines: &[&str]) -> String {
        let newline = self.text.get(at..).and_then(|rest| rest.find('\n')).map(|offset| at + offset);
        let ends_crlf =
            |newline: usize| self.text.get(..newline).is_some_and(|before| before.ends_with('\r'));
        match newline {
            Some(newline) => {
                let ending = if ends_crlf(newline) { "\r\n" } else { "\n" };
                let (before, after) = self.text.split_at(newline + 1);
                let lines: String = lines.iter().flat_map(|line| [*line, ending]).collect();
                format!("{before}{lines}{after}")
            }
            None => {
                let ending = if self.text.find('\n').is_some_and(ends_crlf) { "\r\n" } else { "\n" };
                let ended = self.text.ends_with('\n');
                let lines: String = lines.iter().flat_map(|line| [ending, *line]).collect();
                let lines = if ended { lines.strip_prefix(ending).unwrap_or(&lines) } else { &lines };
                format!("{}{lines}{}", self.text, if ended { ending } else { "" })
            }
        }
    }
}
