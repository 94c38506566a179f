//! The reader's hands: tables and values of the spanned tree, taken by the table of keys. Whoever reads on
//! after something that doesn't fit keeps reading, so that the problem told is the first one in the file.

use crate::choice::Choice;
use crate::examples::units_of;
use crate::keys::{Key, Kind, Section};
use crate::near::{as_key, either, near, quoted};
use crate::problem::Problem;
use fellmark_core::say::Units;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Reads one text and remembers its first problem.
pub(crate) struct Reader<'a> {
    text: &'a str,
    first: Option<Problem>,
}

/// A table of the file, with the keys it may have.
#[derive(Clone, Copy)]
pub(crate) struct Table<'a> {
    section: Section,
    /// Its own name, for a table such as `[band.hem]`.
    pub(crate) name: &'a str,
    tree: &'a DeTable<'a>,
    start: usize,
    end: usize,
    stray: bool,
}

/// A value and the key it belongs to.
#[derive(Clone, Copy)]
pub(crate) struct Value<'a> {
    pub(crate) key: &'static Key,
    pub(crate) tree: &'a Spanned<DeValue<'a>>,
}

/// A text of the file.
#[derive(Clone, Copy)]
pub(crate) struct Words<'a> {
    pub(crate) text: &'a str,
    start: usize,
    end: usize,
    /// Where the text itself begins, if it stands in the file as it reads.
    inner: Option<usize>,
}

/// What a small reader of words says when it can't go on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Misread {
    pub(crate) message: String,
    pub(crate) help: String,
    /// Which part of the words it is about; `None`: all of them.
    pub(crate) part: Option<Range<usize>>,
}

impl Misread {
    pub(crate) fn new(message: impl Into<String>, help: impl Into<String>) -> Misread {
        Misread { message: message.into(), help: help.into(), part: None }
    }

    pub(crate) fn at(self, part: Range<usize>) -> Misread {
        Misread { part: Some(part), ..self }
    }
}

impl Table<'_> {
    /// Whether it holds a key that it may not have; what seems to be missing may then only be misspelt.
    pub(crate) fn has_stray_keys(&self) -> bool {
        self.stray
    }

    pub(crate) fn at(&self) -> Range<usize> {
        self.start..self.end
    }

    /// How it is headed in the file.
    pub(crate) fn heading(&self) -> String {
        self.section.heading().replace("NAME", &as_key(self.name))
    }
}

impl<'a> Value<'a> {
    pub(crate) fn at(&self) -> Range<usize> {
        self.tree.span()
    }

    pub(crate) fn is_list(&self) -> bool {
        self.tree.get_ref().is_array()
    }

    fn of_list(self, tree: &'a Spanned<DeValue<'a>>) -> Value<'a> {
        Value { tree, ..self }
    }
}

impl<'a> Words<'a> {
    /// A part of the text, which must be a piece of it.
    pub(crate) fn within(&self, part: &'a str) -> Words<'a> {
        let place = self.text.rfind(part).map(|start| self.part(Some(&(start..start + part.len()))));
        let place = place.unwrap_or_else(|| self.at());
        Words { text: part, start: place.start, end: place.end, inner: self.inner.map(|_| place.start) }
    }

    pub(crate) fn at(&self) -> Range<usize> {
        self.start..self.end
    }

    fn part(&self, part: Option<&Range<usize>>) -> Range<usize> {
        match (part, self.inner) {
            (Some(part), Some(inner)) => inner + part.start..inner + part.end,
            _ => self.at(),
        }
    }
}

impl<'a> Reader<'a> {
    pub(crate) fn new(text: &'a str) -> Reader<'a> {
        Reader { text, first: None }
    }

    /// How the writer of the text measures.
    pub(crate) fn units(&self) -> Units {
        units_of(self.text)
    }

    /// The first problem of the file so far.
    pub(crate) fn problem(&mut self) -> Option<Problem> {
        self.first.take()
    }

    /// Remembers a problem if it is the first of the file. What is about something missing from the whole
    /// file comes last.
    pub(crate) fn fail(&mut self, at: Option<Range<usize>>, words: impl FnOnce() -> (String, String)) {
        let place = |at: &Option<Range<usize>>| at.as_ref().map_or(usize::MAX, |at| at.start);
        if self.first.as_ref().is_none_or(|first| place(&at) < place(&first.at)) {
            let (message, help) = words();
            self.first = Some(Problem { message, help, at });
        }
    }

    pub(crate) fn misread(&mut self, words: &Words<'_>, misread: Misread) {
        self.fail(Some(words.part(misread.part.as_ref())), || (misread.message, misread.help));
    }

    /// Takes a table and looks through its keys.
    pub(crate) fn table(
        &mut self,
        section: Section,
        name: &'a str,
        tree: &'a DeTable<'a>,
        at: Range<usize>,
    ) -> Table<'a> {
        let mut table = Table { section, name, tree, start: at.start, end: at.end, stray: false };
        for key in tree.keys() {
            let typed: &str = key.get_ref();
            if section.key(typed).is_none() {
                table.stray = true;
                self.fail(Some(key.span()), || unknown_key(&table, typed));
            }
        }
        table
    }

    /// The value of a key, if it is there.
    pub(crate) fn value(&self, table: &Table<'a>, name: &str) -> Option<Value<'a>> {
        let key = table.section.key(name);
        debug_assert!(key.is_some(), "{name} stands in the table of keys");
        Some(Value { key: key?, tree: table.tree.get(name)? })
    }

    /// The value of a key that must be there.
    pub(crate) fn need(&mut self, table: &Table<'a>, name: &str) -> Option<Value<'a>> {
        let value = self.value(table, name);
        if value.is_none() && !table.stray {
            let at = (table.section != Section::Plan).then(|| table.at());
            self.fail(at, || missing(table, name));
        }
        value
    }

    /// Says so where there are more tables than a plan has.
    pub(crate) fn at_most(&mut self, most: usize, tables: &[Table<'a>], what: &str) {
        if let Some(table) = tables.get(most) {
            self.fail(Some(table.at()), || {
                let message = format!("Here are more than {most} {what}, the most that a plan has.");
                (message, "Take out those that nothing is made of.".into())
            });
        }
    }

    /// The tables under a key, each with its name, in the order in which they are written.
    pub(crate) fn named(&mut self, table: &Table<'a>, name: &str) -> Vec<Table<'a>> {
        let Some(value) = self.value(table, name) else { return Vec::new() };
        let Kind::Named(section) = value.key.kind else { return Vec::new() };
        let Some(tree) = value.tree.get_ref().as_table() else {
            self.wrong(&value);
            return Vec::new();
        };
        let mut tables = Vec::new();
        for (key, below) in tree {
            let called: &str = key.get_ref();
            self.check_name(called, key.span());
            if matches!(section, Section::Yarn | Section::Weft) {
                self.check_spoken(called, key.span());
            }
            match below.get_ref() {
                DeValue::Table(inner) => {
                    tables.push((key.span().start, self.table(section, called, inner, below.span())));
                }
                other => {
                    let heading = section.heading().replace("NAME", &as_key(called));
                    self.fail(Some(key.span()), || {
                        let message = format!("`{called}` is {} here.", found(other));
                        (message, format!("Begin a table {heading} and write its keys below it."))
                    });
                }
            }
        }
        tables.sort_by_key(|(start, _)| *start);
        tables.into_iter().map(|(_, table)| table).collect()
    }

    fn check_name(&mut self, name: &str, at: Range<usize>) {
        if name.trim() != name || name.is_empty() || name.chars().any(char::is_control) {
            self.fail(Some(at), || {
                let message = format!("{} can't be a name.", quoted(name));
                (message, "Take a name with letters, with no space before or after it.".into())
            });
        }
    }

    /// A needle's name stands in the words of a row, which must not be taken for others.
    fn check_spoken(&mut self, name: &str, at: Range<usize>) {
        let sign = name.chars().find(|sign| matches!(sign, ',' | ':' | ';'));
        let word = name.split_whitespace().find(|word| {
            name.contains(char::is_whitespace)
                && ["over", "under", "from", "at", "and"].iter().any(|row| word.eq_ignore_ascii_case(row))
        });
        let found = sign.map(|sign| sign.to_string()).or(word.map(str::to_owned));
        let alone = ["over", "under"].iter().any(|row| name.eq_ignore_ascii_case(row));
        if let Some(found) = found.or_else(|| alone.then(|| name.to_owned())) {
            self.fail(Some(at), || {
                let message = format!(
                    "{} can't be the name of a yarn or a weft: in the words of a row {} would be misread.",
                    quoted(name),
                    quoted(&found)
                );
                let clear: String = name.chars().map(|c| if ",:;".contains(c) { ' ' } else { c }).collect();
                let joined: Vec<&str> = clear.split_whitespace().collect();
                let help = if alone {
                    "Take another name.".to_owned()
                } else {
                    format!("Write it as one word, such as {}.", quoted(&joined.join("-")))
                };
                (message, help)
            });
        }
    }

    /// The one table under a key.
    pub(crate) fn one(&mut self, value: &Value<'a>) -> Option<Table<'a>> {
        let (Kind::One(section), DeValue::Table(tree)) = (value.key.kind, value.tree.get_ref()) else {
            self.wrong(value);
            return None;
        };
        Some(self.table(section, "", tree, value.at()))
    }

    /// Says that a value is of another kind than its key wants.
    pub(crate) fn wrong(&mut self, value: &Value<'_>) {
        self.fail(Some(value.at()), || {
            let message = format!("`{}` is {} here.", value.key.name, found(value.tree.get_ref()));
            (message, format!("Write {}.", value.key.wanted()))
        });
    }

    /// A value that is a text.
    pub(crate) fn words(&mut self, value: &Value<'a>) -> Option<Words<'a>> {
        let DeValue::String(text) = value.tree.get_ref() else {
            self.wrong(value);
            return None;
        };
        let at = value.at();
        // Texts are printed as they are: a sign that steers a terminal must not hide in one.
        if text.chars().any(char::is_control) {
            self.fail(Some(at), || {
                let message = format!("`{}` holds signs that can't be printed.", value.key.name);
                (message, "Write it in one line of plain text.".into())
            });
            return None;
        }
        let inner = self.text.get(at.clone()).and_then(|raw| {
            let bare = raw.get(1..raw.len().checked_sub(1)?)?;
            (bare == text.as_ref()).then_some(at.start + 1)
        });
        Some(Words { text: text.as_ref(), start: at.start, end: at.end, inner })
    }

    /// A value that is a text which means something.
    pub(crate) fn meant<T>(
        &mut self,
        value: Option<Value<'a>>,
        meaning: impl FnOnce(&'a str) -> Result<T, Misread>,
    ) -> Option<T> {
        let words = self.words(&value?)?;
        match meaning(words.text) {
            Ok(value) => Some(value),
            Err(misread) => {
                self.misread(&words, misread);
                None
            }
        }
    }

    /// A whole number, within what its key takes.
    pub(crate) fn count(&mut self, value: Option<Value<'a>>) -> Option<u32> {
        let value = value?;
        let most = match value.key.kind {
            Kind::Count { most } => most,
            _ => fellmark_core::plan::bounds::ROWS,
        };
        let DeValue::Integer(number) = value.tree.get_ref() else {
            self.wrong(&value);
            return None;
        };
        let read = i128::from_str_radix(number.as_str(), number.radix()).ok();
        match read.and_then(|n| u32::try_from(n).ok()).filter(|n| (1..=most).contains(n)) {
            Some(count) => Some(count),
            None => {
                let too_small = number.as_str().starts_with('-') || read == Some(0);
                self.fail(Some(value.at()), || {
                    let (what, found) = (value.key.name, found(value.tree.get_ref()));
                    let message = if too_small {
                        format!("`{what}` is {found}; 1 is the least.")
                    } else {
                        format!("`{what}` is {found}; {most} is the most.")
                    };
                    (message, format!("Write a whole number from 1 to {most}."))
                });
                None
            }
        }
    }

    /// `true` or `false`; `false` if it isn't there.
    pub(crate) fn flag(&mut self, table: &Table<'a>, name: &str) -> bool {
        let Some(value) = self.value(table, name) else { return false };
        let flag = value.tree.get_ref().as_bool();
        if flag.is_none() {
            self.wrong(&value);
        }
        flag.unwrap_or(false)
    }

    /// Which of the words of its key a value is.
    pub(crate) fn choice(&mut self, table: &Table<'a>, name: &str) -> Option<&'static str> {
        let value = self.value(table, name)?;
        let Kind::Choice(choices) = value.key.kind else { return None };
        let words = self.words(&value)?;
        let chosen = choices.iter().copied().find(|choice| *choice == words.text);
        if chosen.is_none() {
            self.fail(Some(words.at()), || {
                let message = format!("`{name}` is {} here, a word it doesn't know.", quoted(words.text));
                let help = match near(words.text, choices.iter().copied()).as_slice() {
                    [] => format!("Write {}, between quotes.", either(choices.iter().copied())),
                    meant => format!(
                        "Did you mean {}? It may be {}.",
                        either(meant.iter().copied()),
                        either(choices.iter().copied())
                    ),
                };
                (message, help)
            });
        }
        chosen
    }

    /// The value that the word of a key stands for.
    pub(crate) fn chosen<T: Choice>(&mut self, table: &Table<'a>, name: &str) -> Option<T> {
        self.choice(table, name).and_then(T::of)
    }

    /// The elements of a list.
    pub(crate) fn list(&mut self, value: &Value<'a>) -> Vec<Value<'a>> {
        match value.tree.get_ref() {
            DeValue::Array(list) => list.iter().map(|element| value.of_list(element)).collect(),
            _ => {
                self.wrong(value);
                Vec::new()
            }
        }
    }

    /// The elements of a list that may not be empty.
    pub(crate) fn some(&mut self, value: &Value<'a>) -> Vec<Value<'a>> {
        let list = self.list(value);
        if list.is_empty() && value.is_list() {
            self.fail(Some(value.at()), || {
                (format!("`{}` is empty.", value.key.name), format!("Write {}.", value.key.wanted()))
            });
        }
        list
    }

    /// An element of a list as a text.
    pub(crate) fn element(&mut self, element: &Value<'a>) -> Option<Words<'a>> {
        if element.tree.get_ref().is_str() {
            return self.words(element);
        }
        self.fail(Some(element.at()), || {
            let message = format!("`{}` holds {}.", element.key.name, found(element.tree.get_ref()));
            (message, format!("Write {}.", element.key.wanted()))
        });
        None
    }
}

/// What a value is, in plain words.
fn found(value: &DeValue<'_>) -> String {
    let short = |text: &str| text.chars().count() <= 40;
    match value {
        DeValue::String(text) if short(text) => format!("the text {}", quoted(text)),
        DeValue::String(_) => "a text".into(),
        DeValue::Integer(number) if short(number.as_str()) => format!("the number {number}"),
        DeValue::Float(number) if short(number.as_str()) => format!("the number {number}"),
        DeValue::Integer(_) | DeValue::Float(_) => "a number".into(),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Datetime(_) => "a date or a time".into(),
        DeValue::Array(_) => "a list".into(),
        DeValue::Table(_) => "a table".into(),
    }
}

fn unknown_key(table: &Table<'_>, typed: &str) -> (String, String) {
    let here = table.heading();
    let known = table.section.keys().iter().map(|key| key.name);
    let help = match near(typed, known.clone()).as_slice() {
        [] => match elsewhere(table.section, typed) {
            Some(section) => {
                format!("It belongs in {}. Here may stand {}.", section.heading(), either(known))
            }
            None => format!("Here may stand {}.", either(known)),
        },
        [nearest, ..] => format!("Did you mean {nearest}? Here may stand {}.", either(known)),
    };
    (format!("`{typed}` is no key of {here}."), help)
}

/// The section that has such a key.
fn elsewhere(here: Section, typed: &str) -> Option<Section> {
    Section::ALL.into_iter().find(|section| *section != here && section.key(typed).is_some())
}

fn missing(table: &Table<'_>, name: &str) -> (String, String) {
    let here = table.heading();
    let what = table.section.key(name);
    let help = what.map_or_else(String::new, |key| match key.kind {
        Kind::One(section) => format!("Add a table {}: {}", section.heading(), lower_first(key.meaning)),
        _ => format!("Add {} = {}: {}", key.name, key.example, lower_first(key.meaning)),
    });
    let message = match what.map(|key| key.kind) {
        Some(Kind::One(section)) => format!("The plan has no {}.", section.heading()),
        _ => format!("{} has no `{name}`.", upper_first(&here)),
    };
    (message, help)
}

fn lower_first(text: &str) -> String {
    recase(text, |c| c.to_lowercase().collect())
}

fn upper_first(text: &str) -> String {
    recase(text, |c| c.to_uppercase().collect())
}

fn recase(text: &str, case: impl Fn(char) -> String) -> String {
    let mut rest = text.chars();
    let first = rest.next().map(case).unwrap_or_default();
    format!("{first}{}", rest.as_str())
}
