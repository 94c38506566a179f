//! `rows`: every row as the needle weaves it.

use crate::args::Hand;
use crate::layout::{WIDTH, lines_of, paragraph, quiet, strong, visible};
use fellmark_core::piece::PlaceId;
use fellmark_core::say::{self, Section, Units};
use fellmark_core::study::Study;
use fellmark_core::walk::{Step, Told};
use fellmark_core::weave::Run;
use fellmark_report::{RowJson, Rows};

/// How far in a row's words begin.
const INDENT: usize = 6;

/// The rows as they are printed.
#[must_use]
pub fn text(study: &Study, rows: &Rows, units: Units, hand: Hand) -> String {
    let mut text = head(study, rows, &[], units);
    let mut place: Option<PlaceId> = None;
    for row in &rows.rows {
        let here = study.piece.row(row.number - 1).place;
        if place != Some(here) {
            place = Some(here);
            text.push('\n');
            let place = &study.piece.places[here.0];
            let section = Section { place: Some(here), rows: place.row_range(), told: Vec::new() };
            text.push_str(&section_head(study, &section));
        }
        text.push_str(&one(study, row, units, hand));
    }
    text
}

/// All rows, those that come again told once.
#[must_use]
pub fn short(study: &Study, rows: &Rows, units: Units, hand: Hand) -> String {
    let mut text = head(study, rows, &say::AS_OTHERS, units);
    let indent = " ".repeat(INDENT);
    for section in say::told_once(&study.piece, &study.walk, units) {
        text.push('\n');
        text.push_str(&section_head(study, &section));
        for told in &section.told {
            let (these, of) = match told {
                Told::Row(row) => {
                    text.push_str(&one(study, &rows.rows[*row as usize], units, hand));
                    continue;
                }
                Told::Again { rows, of } => (rows, of),
            };
            text.push_str(&paragraph("  ", &say::as_others(these, of)));
            let begins = say::begins_again(these, of).map(|begins| quiet(&begins));
            let own = say::at_their_rows(&study.piece, &study.walk, these, units);
            for line in begins.into_iter().chain(own) {
                text.push_str(&paragraph(&indent, &line));
            }
        }
    }
    text
}

/// What is said above the rows.
fn head(study: &Study, rows: &Rows, more: &[&str], units: Units) -> String {
    let before = [&say::BEFORE_ROWS, more].concat().join(" ");
    let mut text = format!("{}\n{}", strong("Rows"), paragraph("", &before));
    if rows.rows.first().is_some_and(|row| row.number == 1) {
        text.push_str(&paragraph("", &say::FIRST_MET.join(" ")));
        text.push_str(&paragraph("", "Before row 1 the warp is wound, as fellmark warp says."));
    }
    let these = || rows.rows.iter().map(|row| row.number - 1);
    let measuring = say::measuring(&study.piece, &study.walk, these(), units);
    if !measuring.is_empty() {
        text.push_str(&paragraph("", &measuring.join(" ")));
    }
    let mut before = these().flat_map(|row| &study.walk.rows[row as usize].before);
    if let Some(Step::Room(room)) = before.find(|step| matches!(step, Step::Room(_))) {
        let band = &study.piece.places[room.place.0].name;
        text.push_str(&paragraph(
            "",
            &format!(
                "Then write so many rows into the plan at [band.{band}], as rows = 12 or with fellmark edit, and print the rows \
                 from there on again: those that are woven stay as they are."
            ),
        ));
    }
    text
}

/// What a section's rows are of, which they are, and a band's edge habit.
fn section_head(study: &Study, section: &Section) -> String {
    let [name, rows] = say::headed(&study.piece, section);
    let head = format!("{}{rows}", strong(&name));
    match section.place.and_then(|place| say::edge_habit(&study.piece, &study.walk, place)) {
        Some(habit) => paragraph("", &format!("{head}; {habit}")),
        None => format!("{head}\n"),
    }
}

fn one(study: &Study, row: &RowJson, units: Units, hand: Hand) -> String {
    let mut text = String::new();
    let indent = " ".repeat(INDENT);
    let walk = &study.walk.rows[row.number as usize - 1];
    for (step, said) in walk.before.iter().zip(&row.before) {
        if !step.is_routine() {
            text.push_str(&paragraph(&indent, &said.words));
        }
    }
    let words = say::row_listed(&row.weft, row.from, row.over_ends.as_deref(), &row.words);
    let number = row.number.to_string();
    text.push_str(&match hand {
        Hand::Right => paragraph(&format!("{}  ", strong(&format!("{number:>4}"))), &words),
        Hand::Left => numbered_at_the_right(&words, &number),
    });
    let runs: Vec<Run> =
        study.piece.crossings(row.number - 1).runs(study.piece.row(row.number - 1).from).collect();
    if let Some(note) = say::edge_note(&runs) {
        text.push_str(&paragraph(&indent, &quiet(&format!("it {note}"))));
    }
    if let Some(turn) = walk.turn.filter(fellmark_core::walk::Turn::is_open) {
        text.push_str(&paragraph(&indent, &format!("before it {}", say::turn(&turn, &study.piece))));
    }
    for step in &walk.after {
        if !step.is_routine() {
            text.push_str(&paragraph(&indent, &say::step(step, &study.piece, units)));
        }
    }
    text
}

/// The same for a reader whose loom lies at the right of the list.
fn numbered_at_the_right(words: &str, number: &str) -> String {
    let lines = textwrap::wrap(words, lines_of(WIDTH - INDENT));
    let mut text = String::new();
    for (k, line) in lines.iter().enumerate() {
        text.push_str(line);
        if k == 0 {
            let fill = (WIDTH - 4).saturating_sub(visible(line));
            text.push_str(&" ".repeat(fill));
            text.push_str(&strong(&format!("{number:<4}")));
        }
        text.push('\n');
    }
    text
}

/// The rows backwards, last first.
pub(crate) fn unpick(rows: &Rows, hand: Hand) -> String {
    let mut text = format!("{}\n", strong("Taking rows out, last row first"));
    for row in rows.rows.iter().rev() {
        let words = format!("{} {}", row.weft, row.unpick);
        let number = row.number.to_string();
        text.push_str(&match hand {
            Hand::Right => paragraph(&format!("{}  ", strong(&format!("{number:>4}"))), &words),
            Hand::Left => numbered_at_the_right(&words, &number),
        });
    }
    text
}
