//! Rows that come again are said once: which rows are alike in what is said of them, and how the others are said.

use super::{Units, counted, list, row_words, rows, sentence, side, step, times, turn, weft};
use crate::piece::{Piece, PlaceId};
use crate::plan::WeftId;
use crate::walk::{Step, Told, Turn, Walk};
use crate::weave::Run;
use std::collections::BTreeMap;
use std::ops::Range;

/// How rows are to be woven that are said to be as others, in sentences.
pub const AS_OTHERS: [&str; 2] = [
    "Rows that come again are told once: where some are said to be as others, weave them as those, from the same sides.",
    "What is begun, joined, cut or measured is told at its own row, and is not done again with the others.",
];

/// Rows that stand under one heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// The band where they lie, if it is one.
    pub place: Option<PlaceId>,
    /// The rows, counted from 0.
    pub rows: Range<u32>,
    /// How they are told.
    pub told: Vec<Told>,
}

/// The rows of a piece, each told once, a band under a heading; bands that come again stand under one together.
#[must_use]
pub fn told_once(piece: &Piece, walk: &Walk, units: Units) -> Vec<Section> {
    let mut known = BTreeMap::new();
    let alike: Vec<usize> = (0..piece.row_count())
        .map(|row| {
            let next = known.len();
            *known.entry(all_said(piece, walk, row, units)).or_insert(next)
        })
        .collect();
    let starts: Vec<usize> = piece.places.iter().map(|place| place.first_row as usize).collect();
    let mut sections: Vec<Section> = Vec::new();
    for told in crate::walk::again(&alike, &starts) {
        let rows = told.rows();
        let [first, last] = [rows.start, rows.end - 1].map(|row| piece.row(row).place);
        let place = (first == last).then_some(first);
        match sections.last_mut() {
            Some(section) if place.is_some() && section.place == place => {
                section.rows.end = rows.end;
                section.told.push(told);
            }
            _ => sections.push(Section { place, rows, told: vec![told] }),
        }
    }
    sections
}

/// All that is said of a row but what is its own.
fn all_said(piece: &Piece, walk: &Walk, row: u32, units: Units) -> Vec<String> {
    let (this, walked) = (piece.row(row), &walk.rows[row as usize]);
    let crossings = piece.crossings(row);
    let runs: Vec<Run> = crossings.runs(this.from).collect();
    let mut said = vec![
        piece.place_of(row).name.clone(),
        weft(piece, this.weft).to_owned(),
        side(this.from).to_owned(),
        super::over_ends(piece, crossings.span()).unwrap_or_default(),
        row_words(&runs),
    ];
    for steps in [&walked.before, &walked.after] {
        let steps = steps.iter().filter(|step| !step.is_routine() && !step.is_of_its_row());
        said.extend(steps.map(|one| step(one, piece, units)));
        said.push(String::new());
    }
    said.extend(walked.turn.filter(Turn::is_open).map(|open| turn(&open, piece)));
    said
}

/// "rows 5 to 42: as rows 1 to 4, nine times, then as rows 1 to 2".
#[must_use]
pub fn as_others(these: &Range<u32>, of: &Range<u32>) -> String {
    let (many, once) = (these.end - these.start, of.end - of.start);
    let (whole, rest) = (many / once, many % once);
    let often = if whole > 1 { format!(", {}", times(whole)) } else { String::new() };
    let then = match rest {
        0 => String::new(),
        rest => format!(", then as {}", rows(of.start, of.start + rest - 1)),
    };
    format!("{}: as {}{often}{then}", said_rows(these), said_rows(of))
}

/// What stands beneath a drawing of some rows: "Rows 1 to 44.".
#[must_use]
pub fn drawn_rows(range: &Range<u32>) -> String {
    format!("{}.", sentence(&said_rows(range)))
}

fn said_rows(range: &Range<u32>) -> String {
    rows(range.start, range.end - 1)
}

/// Groups shorter than this are kept in mind, and a list of more is no help.
const WORTH_A_LIST: (u32, u32) = (3, 40);

/// Where a group of rows begins again, for who looks for a row in it: "row 5 comes again as rows 25, 45 and 65".
#[must_use]
pub fn begins_again(these: &Range<u32>, of: &Range<u32>) -> Option<String> {
    let once = of.end - of.start;
    let begins: Vec<String> = these.clone().step_by(once as usize).map(|row| (row + 1).to_string()).collect();
    if once < WORTH_A_LIST.0 || !(2..=WORTH_A_LIST.1 as usize).contains(&begins.len()) {
        return None;
    }
    let begins: Vec<&str> = begins.iter().map(String::as_str).collect();
    Some(format!("row {} comes again as rows {}", of.start + 1, list(&begins)))
}

/// What is done at some of these rows alone: "before row 21: join slate ...", "after row 80: cut ...". Many joins of one
/// yarn are said once.
#[must_use]
pub fn at_their_rows(piece: &Piece, walk: &Walk, these: &Range<u32>, units: Units) -> Vec<String> {
    let own = these.clone().flat_map(|row| {
        let walked = &walk.rows[row as usize];
        let before = walked.before.iter().map(move |step| (row, "before", step));
        before.chain(walked.after.iter().map(move |step| (row, "after", step)))
    });
    let own: Vec<(u32, &str, &Step)> = own.filter(|(_, _, step)| step.is_of_its_row()).collect();
    let joins = |weft: WeftId| {
        own.iter().filter(move |(_, _, step)| matches!(step, Step::Join { weft: w, .. } if *w == weft))
    };
    let mut said: Vec<String> = Vec::new();
    let mut joined: Vec<WeftId> = Vec::new();
    for &(row, when, one) in &own {
        let words = step(one, piece, units);
        match *one {
            Step::Join { weft, .. } if joins(weft).count() >= MANY_JOINS => {
                if joined.contains(&weft) {
                    continue;
                }
                let each = joins(weft).map(|&(row, _, join)| super::join_at(join, row, piece, units));
                for some in each.collect::<Vec<_>>().chunks(IN_ONE_BREATH) {
                    said.push(super::join_often(weft, piece, &some.join("; ")));
                }
                joined.push(weft);
            }
            _ => said.push(format!("{when} row {}: {words}", row + 1)),
        }
    }
    said
}

/// So many joins of one yarn are told in one breath.
const MANY_JOINS: usize = 3;
/// And so many at most, so that a row is found among them.
const IN_ONE_BREATH: usize = 8;

/// What a section's heading says: the band, or the bands that come again in it; which of its places; its rows.
#[must_use]
pub fn headed(piece: &Piece, section: &Section) -> [String; 2] {
    let name = match section.place {
        Some(place) => piece.places[place.0].name.clone(),
        None => {
            let mut names: Vec<&str> = Vec::new();
            for place in &piece.places {
                if place.row_range().any(|row| section.rows.contains(&row))
                    && !names.contains(&place.name.as_str())
                {
                    names.push(&place.name);
                }
            }
            match names.len() {
                0..=6 => list(&names),
                many => format!(
                    "{} and {}",
                    names[..5].join(", "),
                    counted(many as u32 - 5, "band more", "bands more")
                ),
            }
        }
    };
    let nth = match section.place.map(|place| piece.places[place.0].nth) {
        Some((k, all)) if all > 1 => format!(", {k} of {all}"),
        _ => String::new(),
    };
    [name, format!("{nth}, {}", said_rows(&section.rows))]
}

/// How the cloth is measured in some rows, and what to do then, in sentences: said once, where any of them asks for it.
#[must_use]
pub fn measuring(piece: &Piece, walk: &Walk, rows: impl Iterator<Item = u32>, units: Units) -> Vec<String> {
    let (mut measures, mut room) = (false, None);
    for step in rows.filter_map(|row| walk.rows.get(row as usize)).flat_map(|row| &row.before) {
        match step {
            Step::Measure { .. } => measures = true,
            Step::Room(found) => room = Some(found),
            _ => {}
        }
    }
    let mut said = Vec::new();
    if measures {
        said.push(
            "Where it says to measure, lay the ruler along the last row, and then up along an end in the middle, the warp tight."
                .to_owned(),
        );
        said.extend(super::off_width().into_iter().chain(super::off_height()).map(str::to_owned));
    }
    if let Some(room) = room {
        said.push("What is open up to the far bar is measured along an end, from the last row.".to_owned());
        said.extend(super::other_room(room, piece, units));
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_often_and_how_far_rows_come_again_is_said_exactly() {
        assert_eq!(as_others(&(4..80), &(0..4)), "rows 5 to 80: as rows 1 to 4, 19 times");
        assert_eq!(as_others(&(4..8), &(0..4)), "rows 5 to 8: as rows 1 to 4");
        assert_eq!(as_others(&(4..10), &(0..4)), "rows 5 to 10: as rows 1 to 4, then as rows 1 to 2");
        assert_eq!(as_others(&(4..13), &(0..4)), "rows 5 to 13: as rows 1 to 4, twice, then as row 1");
        assert_eq!(as_others(&(4..8), &(2..3)), "rows 5 to 8: as row 3, four times");
    }

    #[test]
    fn where_a_group_begins_again_is_listed_where_that_helps() {
        let begins = begins_again(&(4..14), &(0..4));
        assert_eq!(begins.as_deref(), Some("row 1 comes again as rows 5, 9 and 13"));
        assert_eq!(begins_again(&(4..14), &(2..4)), None);
        assert_eq!(begins_again(&(4..8), &(0..4)), None);
    }
}
