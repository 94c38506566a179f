//! A text with its tree: values are replaced, lines are put in, and every other byte stays.
//!
//! The places of the tree say which bytes a change takes the place of. Writing the whole tree again would
//! lose how lines end and how the rest is laid out.

use crate::list::List;
use crate::near::{as_key, as_key_like, quoted_like, toml_text};
use crate::syntax;
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

    pub(crate) fn text(&self) -> &'a str {
        self.text
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
        let value_like = |old: &Spanned<DeValue<'_>>| {
            let written = self.text.get(old.span())?;
            self.splice(old.span(), &quoted_like(written, value))
        };
        if let Some(old) = found.table.get(key) {
            return value_like(old);
        }
        if let Some((old_key, old)) = instead.and_then(|instead| found.table.get_key_value(instead)) {
            let renamed = value_like(old)?;
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

    /// A new table after all that stands below any of `kin`, or at the end of the text.
    pub(crate) fn add_table(&self, kin: &[&str], heading: &str, entries: &[String]) -> String {
        let after = kin.iter().filter_map(|name| self.deep_end(self.tree.get(*name)?)).max();
        let mut lines = vec!["", heading];
        lines.extend(entries.iter().map(String::as_str));
        self.lines_after(after.unwrap_or(self.text.len()), &lines)
    }

    /// Where everything ends that stands under headings below a value; `None` if nothing does.
    fn deep_end(&self, value: &Spanned<DeValue<'_>>) -> Option<usize> {
        match value.get_ref() {
            DeValue::Table(table) => {
                let own = match self.form(value) {
                    Form::Lines => Some(self.own_end(table).unwrap_or(value.span().end)),
                    Form::Inline | Form::Dotted => None,
                };
                table.values().filter_map(|below| self.deep_end(below)).chain(own).max()
            }
            DeValue::Array(list) => list.iter().filter_map(|below| self.deep_end(below)).max(),
            _ => None,
        }
    }

    /// Where a value stands.
    pub(crate) fn place(&self, path: &[&str]) -> Option<Range<usize>> {
        self.value(path).map(Spanned::span)
    }

    /// A list, with its place; `groups` leads on through the lists of groups within it.
    pub(crate) fn list(&self, path: &[&str], groups: &[usize]) -> Option<(Range<usize>, List)> {
        let mut value = self.value(path)?;
        for group in groups {
            value = value.get_ref().as_array()?.get(*group)?.get_ref().as_table()?.get("bands")?;
        }
        let elements: Vec<Range<usize>> = value.get_ref().as_array()?.iter().map(Spanned::span).collect();
        Some((value.span(), List::of(self.text, value.span(), &elements)?))
    }

    /// Where a key of a table that is an element of a list stands.
    pub(crate) fn place_in_element(
        &self,
        path: &[&str],
        elements: &[usize],
        key: &str,
    ) -> Option<Range<usize>> {
        let mut value = self.value(path)?;
        let (last, groups) = elements.split_last()?;
        for group in groups {
            value = value.get_ref().as_array()?.get(*group)?.get_ref().as_table()?.get("bands")?;
        }
        let table = value.get_ref().as_array()?.get(*last)?.get_ref().as_table()?;
        table.get(key).map(Spanned::span)
    }

    /// A key of a table goes. A note behind it stays on a line of its own; a value that holds notes is set aside
    /// with them, as notes.
    pub(crate) fn cut(&self, path: &[&str], key: &str) -> Option<String> {
        let found = self.find(path)?;
        let Some((name, value)) = found.table.get_key_value(key) else { return Some(self.text.to_owned()) };
        if let Some(places) = self.under_headings(value) {
            return self.set_aside_lines(places, None);
        }
        let (start, end) = (name.span().start, value.span().end);
        if found.form == Form::Inline {
            let before = self.text.get(found.written_at.start..start)?;
            let entry = found.written_at.start + before.rfind([',', '{'])?;
            let rest = self.text.get(end..)?;
            if self.text.get(entry..)?.starts_with(',') {
                return self.splice(entry..end, "");
            }
            let comma = rest.len() - rest.trim_start().len();
            let end = if rest.get(comma..)?.starts_with(',') { end + comma + 1 } else { end };
            return self.splice(entry + 1..end, "");
        }
        let lines = self.lines_of(start..end);
        if has_note(self.text.get(value.span())?) {
            return self.set_aside_lines(vec![lines], None);
        }
        let note = self.note_behind(end);
        if note.is_empty() {
            // A text whose last line has no end keeps that.
            let start = if lines.end == self.text.len() && !self.text.ends_with('\n') {
                let before = self.text.get(..lines.start)?;
                let before = before.strip_suffix('\n').unwrap_or(before);
                before.strip_suffix('\r').unwrap_or(before).len()
            } else {
                lines.start
            };
            return self.splice(start..lines.end, "");
        }
        let from = self.line_start(start);
        let width = self.text.get(from..start).map_or(0, |line| line.len() - line.trim_start().len());
        self.splice(from + width..end + self.text.get(end..)?.find('#')?, "")
    }

    /// A table that has a name of its own gets another, written as the old one was, and so do the texts of these lists and keys
    /// that name it.
    pub(crate) fn rename_table(
        &self,
        kind: &str,
        old: &str,
        new: &str,
        named: &[Vec<&str>],
    ) -> Option<String> {
        let written = |place: &Range<usize>| self.text.get(place.clone());
        let mut places = Vec::new();
        for place in self.name_places(kind, old)? {
            let name = as_key_like(written(&place)?, old, new);
            places.push((place, name));
        }
        for place in named.iter().flat_map(|path| self.texts(self.value(path), old)) {
            let name = quoted_like(written(&place)?, &toml_text(new));
            places.push((place, name));
        }
        places.sort_by_key(|(place, _)| place.start);
        let mut text = String::with_capacity(self.text.len());
        let mut from = 0;
        for (place, name) in places {
            text.push_str(self.text.get(from..place.start)?);
            text.push_str(&name);
            from = place.end;
        }
        text.push_str(self.text.get(from..)?);
        Some(text)
    }

    /// Wherever a table's own name stands: before each of its keys, or in its heading and in those of tables below it.
    fn name_places(&self, kind: &str, name: &str) -> Option<Vec<Range<usize>>> {
        let kin = self.find(&[kind])?;
        let (key, table) = kin.table.get_key_value(name)?;
        let keys = table.get_ref().as_table()?;
        let below = keys.values().filter_map(|value| value.get_ref().as_array()).flatten();
        let below = below.filter(|element| element.get_ref().is_table() && self.form(element) == Form::Lines);
        let headings: Option<Vec<_>> =
            below.map(|element| self.name_in_heading(element.span().start, kind, name)).collect();
        let mut places = headings?;
        if self.form(table) == Form::Dotted && places.is_empty() {
            return keys.keys().map(|key| self.name_before(key.span().start)).collect();
        }
        places.push(key.span());
        places.sort_by_key(|place| place.start);
        places.dedup();
        Some(places)
    }

    /// A table's name in the heading that begins at a place: read as what it is, a text of one heading.
    fn name_in_heading(&self, at: usize, kind: &str, name: &str) -> Option<Range<usize>> {
        let heading = self.text.get(at..)?.lines().next()?;
        let tree = syntax::tree(heading).ok()?;
        let (key, _) = tree.get(kind)?.get_ref().as_table()?.get_key_value(name)?;
        Some(at + key.span().start..at + key.span().end)
    }

    /// Wherever this text stands as a value, in a list, and in the lists of groups within it.
    fn texts(&self, value: Option<&Spanned<DeValue<'_>>>, text: &str) -> Vec<Range<usize>> {
        let Some(value) = value else { return Vec::new() };
        match value.get_ref() {
            DeValue::String(own) if own == text => vec![value.span()],
            DeValue::Array(list) => list.iter().flat_map(|element| self.texts(Some(element), text)).collect(),
            DeValue::Table(group) => self.texts(group.get("bands"), text),
            _ => Vec::new(),
        }
    }

    /// The name that stands before the dot before a place.
    fn name_before(&self, at: usize) -> Option<Range<usize>> {
        let before = self.text.get(..at)?.trim_end_matches([' ', '\t']).strip_suffix('.')?;
        let before = before.trim_end_matches([' ', '\t']);
        let start = match before.chars().next_back()? {
            '\'' => before.strip_suffix('\'')?.rfind('\'')?,
            '"' => {
                let escaped =
                    |quote: usize| before.get(..quote).is_some_and(|text| backslashes_behind(text) % 2 == 1);
                before.strip_suffix('"')?.rmatch_indices('"').map(|(at, _)| at).find(|&at| !escaped(at))?
            }
            _ => before.trim_end_matches(|c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_').len(),
        };
        Some(start..before.len())
    }

    /// A table goes: its heading and the lines of its keys with the notes behind them, and
    /// one empty line above. Notes on lines of their own stay.
    pub(crate) fn cut_table(&self, path: &[&str]) -> Option<String> {
        let table = self.value(path)?;
        let (name, kin) = path.split_last()?;
        let keys = table.get_ref().as_table()?;
        match self.form(table) {
            Form::Inline => self.cut(kin, name),
            Form::Dotted => keys.keys().try_fold(self.text.to_owned(), |text, key| {
                let tree = crate::syntax::tree(&text).ok()?;
                Sheet::new(&text, &tree).cut(path, key.get_ref())
            }),
            Form::Lines => {
                let mut lines: Vec<Range<usize>> = keys
                    .iter()
                    .map(|(key, value)| self.lines_of(key.span().start..value.span().end))
                    .collect();
                let heading = self.lines_of(table.span());
                let above = self.text.get(..heading.start)?;
                let blank = ["\r\n\r\n", "\n\n"].into_iter().find(|blank| above.ends_with(blank));
                lines.push(heading.start - blank.map_or(0, |blank| blank.len() / 2)..heading.end);
                lines.sort_by_key(|line| line.start);
                let mut text = String::with_capacity(self.text.len());
                let mut from = 0;
                for line in lines {
                    text.push_str(self.text.get(from..line.start)?);
                    from = line.end;
                }
                text.push_str(self.text.get(from..)?);
                // A text whose last line has no end keeps that.
                if !self.text.ends_with('\n') {
                    let end = text.strip_suffix('\n').map_or(text.len(), str::len);
                    text.truncate(end);
                    let end = text.strip_suffix('\r').map_or(text.len(), str::len);
                    text.truncate(end);
                }
                Some(text)
            }
        }
    }

    /// The keys of a table become notes, under a heading; those between braces are told in one.
    pub(crate) fn set_aside(&self, path: &[&str], keys: &[&str], heading: &str) -> Option<String> {
        let found = self.find(path)?;
        let there = keys.iter().filter_map(|key| found.table.get_key_value(*key));
        if found.form == Form::Inline {
            let mut spans: Vec<Range<usize>> =
                there.map(|(name, value)| name.span().start..value.span().end).collect();
            spans.sort_by_key(|span| span.start);
            let told: Vec<&str> = spans.iter().filter_map(|span| self.text.get(span.clone())).collect();
            let told = told.join(", ").replace(['\n', '\r'], " ");
            let mut text = self.text.to_owned();
            for key in keys {
                let tree = crate::syntax::tree(&text).ok()?;
                let cut = Sheet::new(&text, &tree).cut(path, key)?;
                text = cut;
            }
            let line = self.line_start(found.written_at.start);
            let (before, after) = (text.get(..line)?, text.get(line..)?);
            return Some(format!("{before}# {heading} {told}{}{after}", self.newline()));
        }
        let mut places = Vec::new();
        for (name, value) in there {
            match self.under_headings(value) {
                Some(sections) => places.extend(sections),
                None => places.push(self.lines_of(name.span().start..value.span().end)),
            }
        }
        self.set_aside_lines(places, Some(heading))
    }

    fn set_aside_lines(&self, mut places: Vec<Range<usize>>, heading: Option<&str>) -> Option<String> {
        places.sort_by_key(|place| place.start);
        let mut text = String::with_capacity(self.text.len() + 64);
        let mut from = 0;
        for (k, place) in places.iter().enumerate() {
            text.push_str(self.text.get(from..place.start)?);
            if let (0, Some(heading)) = (k, heading) {
                text.push_str(&format!("# {heading}{}", self.newline()));
            }
            for line in self.text.get(place.clone())?.split_inclusive('\n') {
                text.push_str("# ");
                text.push_str(line);
            }
            from = place.end;
        }
        text.push_str(self.text.get(from..)?);
        Some(text)
    }

    /// The sections of a list of tables under headings, heading and all.
    fn under_headings(&self, value: &Spanned<DeValue<'_>>) -> Option<Vec<Range<usize>>> {
        let list = value.get_ref().as_array()?;
        let sections: Option<Vec<Range<usize>>> = list
            .iter()
            .map(|table| {
                if self.form(table) != Form::Lines {
                    return None;
                }
                let own = table.get_ref().as_table()?;
                let end = self.own_end(own).unwrap_or(table.span().end);
                Some(self.lines_of(table.span().start..end))
            })
            .collect();
        sections.filter(|sections| !sections.is_empty())
    }

    /// The whole lines that hold a place, with the end of the last.
    fn lines_of(&self, place: Range<usize>) -> Range<usize> {
        let end = self.text.get(place.end..).and_then(|rest| rest.find('\n'));
        let start = self.line_start(place.start);
        let mark =
            if start == 0 { self.text.len() - self.text.trim_start_matches('\u{feff}').len() } else { 0 };
        start + mark..end.map_or(self.text.len(), |end| place.end + end + 1)
    }

    /// The note that follows on the same line.
    pub(crate) fn note_behind(&self, at: usize) -> &'a str {
        let rest = self.text.get(at..).unwrap_or_default();
        let line = rest.split(['\n', '\r']).next().unwrap_or_default();
        line.find('#').and_then(|note| line.get(note..)).unwrap_or_default()
    }

    /// Whether the keys of a table stand on lines of their own, so that a note may stand behind them.
    pub(crate) fn on_lines(&self, path: &[&str]) -> bool {
        self.find(path).is_some_and(|found| found.form == Form::Lines)
    }

    /// How lines end.
    pub(crate) fn newline(&self) -> &'static str {
        if self.text.contains("\r\n") { "\r\n" } else { "\n" }
    }

    /// The text with something else at a place.
    pub(crate) fn put(&self, at: Range<usize>, new: &str) -> Option<String> {
        self.splice(at, new)
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

fn backslashes_behind(text: &str) -> usize {
    text.len() - text.trim_end_matches('\\').len()
}

/// Whether a note stands in a value: a # outside of texts.
fn has_note(value: &str) -> bool {
    let mut quote = None;
    let mut escaped = false;
    for c in value.chars() {
        match quote {
            Some(open) => {
                if escaped {
                    escaped = false;
                } else if c == '\\' && open == '"' {
                    escaped = true;
                } else if c == open {
                    quote = None;
                }
            }
            None => match c {
                '"' | '\'' => quote = Some(c),
                '#' => return true,
                _ => {}
            },
        }
    }
    false
}
