//! A plan's text becomes a [`Plan`]: first each table by itself, in the order in which what they name must be
//! known; then what can only be asked of the whole.

mod band;
mod frame;
mod stack;
mod whole;
mod yarns;

use crate::keys::Section;
use crate::near::{either, near, quoted};
use crate::places::Places;
use crate::problem::Problem;
use crate::reader::{Reader, Table, Words};
use crate::syntax;
use crate::values;
use fellmark_core::habits::{Habit, HabitKind};
use fellmark_core::plan::{Edges, Finish, Plan, Purpose, bounds};
use fellmark_core::quantity::Mm;
use fellmark_core::say::{self, Units};
use fellmark_core::side::Surface;
use std::collections::BTreeMap;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// A plan and where each of its keys stands in the text.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// What the weaver wrote.
    pub plan: Plan,
    /// Where.
    pub places: Places,
}

/// Reads a plan's text.
///
/// # Errors
/// The first thing in the file that keeps it from being a plan.
pub fn read(text: &str) -> Result<Note, Problem> {
    if text.len() > bounds::BYTES {
        return Err(Problem {
            message: format!("This text has {} bytes; a plan has {} at most.", text.len(), bounds::BYTES),
            help: "Open a plan, not another file. Rows that come again can go into a band that is repeated."
                .into(),
            at: None,
        });
    }
    let read = || {
        let tree = syntax::tree(text)?;
        let plan = plan(text, &tree)?;
        Ok(Note { plan, places: Places::new(&tree) })
    };
    read().map_err(|problem: Problem| problem.for_writer_of(text))
}

/// Where each name of a kind stands in the plan's list of that kind.
type Names<'a> = BTreeMap<&'a str, usize>;

fn names<'a>(tables: &[Table<'a>]) -> Names<'a> {
    tables.iter().enumerate().map(|(k, table)| (table.name, k)).collect()
}

/// The text under the reader's eyes and the names known so far.
struct Reading<'a> {
    reader: Reader<'a>,
    yarns: Names<'a>,
    bands: Names<'a>,
    sequences: Names<'a>,
    /// How many ends the warp says it has.
    ends: Option<u32>,
    wefts: yarns::Wefts<'a>,
}

impl<'a> Reading<'a> {
    /// What a name stands for; says what may have been meant if it stands for nothing.
    fn name(&mut self, known: &Names<'a>, words: &Words<'a>, kind: &str, heading: &str) -> Option<usize> {
        let id = known.get(words.text).copied();
        if id.is_none() {
            self.reader.fail(Some(words.at()), || {
                let message = format!("{} is no {kind} of this plan.", quoted(words.text));
                (message, write_or_add(words.text, known.keys().copied(), heading))
            });
        }
        id
    }
}

/// "Write slate, or add [yarn.slat]."
fn write_or_add<'a>(typed: &str, known: impl Iterator<Item = &'a str>, heading: &str) -> String {
    let table = heading.replace("NAME", &crate::near::as_key(typed));
    match near(typed, known).as_slice() {
        [] => format!("Add {table}, or write a name that the plan has."),
        meant => format!("Write {}, or add {table}.", either(meant.iter().copied())),
    }
}

fn plan(text: &str, tree: &DeTable<'_>) -> Result<Plan, Problem> {
    let mut reader = Reader::new(text);
    if let Some(problem) = other_schema(tree) {
        return Err(problem);
    }
    let top = reader.table(Section::Plan, "", tree, 0..0);
    let _ = reader.need(&top, "schema");
    let name = reader.need(&top, "name").and_then(|value| reader.words(&value));
    if let Some(words) = name.filter(|words| words.text.trim().is_empty()) {
        reader.fail(Some(words.at()), || {
            ("The piece has no name.".into(), "Write what you call it, such as \"Tideline mat\".".into())
        });
    }
    let purpose = reader.chosen(&top, "use").unwrap_or(Purpose::Sample);
    let shows = reader.chosen(&top, "shows").unwrap_or(Surface::Front);
    let edges = reader.chosen(&top, "edges").unwrap_or(Edges::Crossed);
    let float = reader.value(&top, "longest-float");
    let longest_float = reader.meant(float, values::some_length);
    let finish = reader.chosen(&top, "finish").unwrap_or(Finish::Steamed);
    let finished = reader.value(&top, "finished");
    let finished = reader.meant(finished, values::wanted);

    let yarn_tables = reader.named(&top, "yarn");
    let weft_tables = reader.named(&top, "weft");
    let band_tables = reader.named(&top, "band");
    let sequence_tables = reader.named(&top, "sequence");
    let mut reading = Reading {
        reader,
        yarns: names(&yarn_tables),
        bands: names(&band_tables),
        sequences: names(&sequence_tables),
        ends: None,
        wefts: yarns::Wefts::new(&weft_tables),
    };
    reading.names_stand_once(&sequence_tables);
    reading.yarns_are_told_apart(&yarn_tables);
    let loom = reading.loom(&top);
    let yarns: Vec<_> = yarn_tables.iter().filter_map(|table| reading.yarn(table)).collect();
    let warp = reading.warp(&top, loom.as_ref());
    let header = reading.header(&top, loom.as_ref());
    let mut spots = whole::Spots::default();
    let bands: Vec<_> = band_tables.iter().filter_map(|table| reading.band(table, &mut spots)).collect();
    for table in &weft_tables {
        let _ = reading.weft(table.name, table.at());
    }
    for table in &sequence_tables {
        let lines = reading.stack_of(table);
        spots.sequences.push((table.name.to_string(), lines));
    }
    let piece = reading.reader.need(&top, "piece").and_then(|value| reading.reader.one(&value));
    spots.piece = piece.map(|table| reading.stack_of(&table)).unwrap_or_default();
    let habits = reading.habits(&top);
    let wefts = reading.wefts.take();
    let mut reader = reading.reader;
    if let Some(problem) = reader.problem() {
        return Err(problem);
    }
    // Whatever is missing has said so by now.
    let (Some(name), Some(loom), Some(warp)) = (name, loom, warp) else {
        return Err(Problem {
            message: "The plan lacks its name, its loom or its warp.".into(),
            help: "Add name, [loom] and [warp].".into(),
            at: None,
        });
    };
    let plan = Plan {
        name: name.text.to_string(),
        purpose,
        shows,
        edges,
        longest_float,
        finish,
        finished,
        loom,
        yarns,
        warp,
        header,
        wefts,
        bands,
        sequences: spots.plan_sequences(),
        stack: spots.plan_stack(),
        habits,
    };
    spots.check(&plan, &mut reader);
    match reader.problem() {
        Some(problem) => Err(problem),
        None => Ok(plan),
    }
}

/// A plan written for another program, or for a later one, is not read further.
fn other_schema(tree: &DeTable<'_>) -> Option<Problem> {
    let value = tree.get("schema")?;
    let found = match value.get_ref() {
        DeValue::Integer(number) if number.radix() == 10 && number.as_str() == "1" => return None,
        DeValue::Integer(number) => format!("The plan says schema {}", quoted(&number.to_string())),
        _ => "The plan's schema is no whole number".to_string(),
    };
    Some(Problem {
        message: format!("{}; this program knows schema 1.", found.replace('"', "")),
        help: "Write schema = 1, or open the plan with the program it was written for.".into(),
        at: Some(value.span()),
    })
}

impl<'a> Reading<'a> {
    /// In the stack a name stands for one thing.
    fn names_stand_once(&mut self, sequences: &[Table<'a>]) {
        for table in sequences {
            if self.bands.contains_key(table.name) {
                self.reader.fail(Some(table.at()), || {
                    let message = format!("{} is a band and a sequence.", quoted(table.name));
                    (message, "Give one of them another name, so that the piece can tell them apart.".into())
                });
            }
        }
    }

    /// A yarn's name is written large where a sentence begins.
    fn yarns_are_told_apart(&mut self, yarns: &[Table<'a>]) {
        let mut told: BTreeMap<String, &str> = BTreeMap::new();
        for table in yarns {
            if let Some(other) = told.insert(table.name.to_lowercase(), table.name) {
                self.reader.fail(Some(table.at()), || {
                    let message =
                        format!("{} and {} would be told by one name.", quoted(other), quoted(table.name));
                    (
                        message,
                        "Give one of the two yarns a name that differs in more than large letters.".into(),
                    )
                });
            }
        }
    }

    fn habits(&mut self, top: &Table<'a>) -> Vec<(Habit, f64)> {
        let value = self.reader.value(top, "habits");
        let Some(table) = value.and_then(|value| self.reader.one(&value)) else { return Vec::new() };
        Habit::ALL.into_iter().filter_map(|habit| Some((habit, self.habit(&table, habit)?))).collect()
    }

    fn habit(&mut self, table: &Table<'a>, habit: Habit) -> Option<f64> {
        let value = self.reader.value(table, habit.key())?;
        let number = match (habit.kind(), value.tree.get_ref()) {
            (HabitKind::Length, DeValue::String(_)) => {
                self.reader.meant(Some(value), values::length).map(|length| length.value.mm())
            }
            (HabitKind::Ratio, DeValue::String(_)) => self.reader.meant(Some(value), values::ratio),
            (HabitKind::Ratio, DeValue::Float(number)) => number.as_str().parse().ok(),
            (HabitKind::Ratio | HabitKind::Count, DeValue::Integer(number)) if number.radix() == 10 => {
                number.as_str().parse().ok()
            }
            _ => {
                self.reader.wrong(&value);
                None
            }
        }?;
        let (least, most) = habit.bounds();
        if number >= least && number <= most {
            return Some(number);
        }
        let units = self.reader.units();
        self.reader.fail(Some(value.at()), || {
            let (key, range) = (habit.key(), habit_range(habit, least, most, units));
            let side = if number < least { "less" } else { "more" };
            (format!("`{key}` is {side} than a habit can be."), format!("Write a value {range}."))
        });
        None
    }
}

fn habit_range(habit: Habit, least: f64, most: f64, units: Units) -> String {
    let shown = |value: f64| match (habit.kind(), units) {
        (HabitKind::Length, Units::Metric) => format!("\"{} cm\"", Mm::new(value).cm()),
        (HabitKind::Length, Units::Inch) => quoted(&say::length(Mm::new(value), units)),
        (HabitKind::Ratio | HabitKind::Count, _) => value.to_string(),
    };
    format!("from {} to {}", shown(least), shown(most))
}

/// Something that must stand later in the text than the word it is about.
type At = Range<usize>;
