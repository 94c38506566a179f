//! A band's border is drawn: so many rows, in the key and the unit that the weaver used.

use super::EditError;
use crate::habits::Habits;
use crate::piece::{self, Piece};
use crate::plan::{BandId, Change, Edit, Extent, Plan, bounds};
use crate::quantity::{Mm, Typed};

/// What is less by this is hardly less: a ruler's finest mark and a little.
const HARDLY_LESS: Mm = Mm::new(1.6);
/// Decimals after which no ruler shows a difference.
const MOST_DECIMALS: i32 = 4;

/// The changes that give a band so many rows.
pub(super) fn changes(plan: &Plan, band: BandId, rows: u32) -> Result<Vec<Change>, EditError> {
    let (band, rows) = drawn(plan, band, rows)?;
    let extent = match plan.extent_of(band) {
        Some(Extent::Length(typed)) => {
            length_of(plan, band, rows, typed)?.map_or(Extent::Rows(rows), Extent::Length)
        }
        _ => Extent::Rows(rows),
    };
    let here = plan.bands.get(band.0).ok_or(EditError::NotThere)?;
    if here.extent.as_ref() == Some(&extent) {
        return Ok(Vec::new());
    }
    Ok(vec![Change::BandExtent(band, extent)])
}

/// An edit as it is meant where it is said, and not drawn by hand: a length that is said of a fill is its own from then on.
#[must_use]
pub fn said(edit: &Edit, plan: &Plan) -> Edit {
    match edit {
        Edit::Length(band, rows @ 1..=bounds::ROWS)
            if band.0 < plan.bands.len() && plan.extent_of(*band) == Some(&Extent::Fill) =>
        {
            Edit::BandRows(*band, whole_turns(plan, *band, *rows))
        }
        Edit::Together(edits) => {
            // What one of them is about may come with those before it.
            let mut plan = plan.clone();
            let each = edits.iter().map(|edit| {
                let edit = said(edit, &plan);
                if let Ok(after) = edit.apply(&plan) {
                    plan = after;
                }
                edit
            });
            Edit::Together(each.collect())
        }
        edit => edit.clone(),
    }
}

/// The band whose length changes when the border of one is drawn to so many rows, and to how many rows, as whole
/// turns of its wefts. It is the band itself, but for a fill: that has no length of its own, and the band above
/// it (or else the one below) makes room.
///
/// # Errors
/// If the plan makes no piece, or if there is no other band.
pub fn drawn(plan: &Plan, band: BandId, rows: u32) -> Result<(BandId, u32), EditError> {
    if band.0 >= plan.bands.len() {
        return Err(EditError::NotThere);
    }
    let rows = whole_turns(plan, band, rows);
    if plan.extent_of(band) != Some(&Extent::Fill) {
        return Ok((band, rows));
    }
    let habits = Habits::of(plan);
    let piece = piece::make(plan, &habits)?;
    let alone = || EditError::FillAlone(plan.bands[band.0].name.clone());
    let at = piece.places.iter().position(|place| place.band == band).ok_or_else(alone)?;
    let (below, above) = (&piece.places[..at], &piece.places[at + 1..]);
    let other = above.first().or(below.last()).ok_or_else(alone)?.band;
    let filled = |other_rows: u32| -> Option<u32> {
        let mut plan = plan.clone();
        plan.bands.get_mut(other.0)?.extent = Some(Extent::Rows(other_rows));
        rows_of(&piece::make(&plan, &habits).ok()?, band)
    };
    // More rows of the other band never leave more to the fill.
    let unit = plan.rows_in_turn(other);
    let (mut few, mut many) = (1, (bounds::ROWS / unit).max(1));
    while few < many {
        let middle = u32::midpoint(few, many);
        match filled(middle * unit) {
            Some(left) if left > rows => few = middle + 1,
            _ => many = middle,
        }
    }
    // The fill has at most so many rows now; perhaps one turn less of the other comes nearer.
    let off = |turns: u32| filled(turns * unit).map_or(u32::MAX, |left| left.abs_diff(rows));
    let turns = if few > 1 && off(few - 1) < off(few) { few - 1 } else { few };
    Ok((other, turns * unit))
}

fn rows_of(piece: &Piece, band: BandId) -> Option<u32> {
    Some(piece.places.iter().find(|place| place.band == band).map_or(0, |place| place.rows))
}

/// The nearest number of rows in which all wefts of a band have woven equally often: one turn at least.
fn whole_turns(plan: &Plan, band: BandId, rows: u32) -> u32 {
    let unit = plan.rows_in_turn(band).max(1);
    let turns = (rows / unit + u32::from(rows % unit * 2 >= unit)).max(1);
    (turns * unit).min(bounds::ROWS / unit * unit).max(1)
}

/// The shortest length, written as the old one was, that comes to so many rows; `None` if none does: rows in one
/// opening lie on each other and are no longer for it.
fn length_of(plan: &Plan, band: BandId, rows: u32, old: &Typed<Mm>) -> Result<Option<Typed<Mm>>, EditError> {
    let habits = Habits::of(plan);
    let comes_to = |length: Mm| piece::rows_of_length(plan, &habits, band, length);
    if comes_to(old.value)? == rows {
        return Ok(Some(old.clone()));
    }
    let height = piece::height_of_rows(plan, &habits, band, rows)?;
    let (unit, one) = unit_of(&old.typed);
    for text in numbers(height / one, &old.typed) {
        let typed = format!("{text}{unit}");
        if let Ok(value) = Mm::parse(&typed)
            && value > Mm::ZERO
            && comes_to(value)? == rows
        {
            return Ok(Some(Typed::new(value, typed)));
        }
    }
    Ok(None)
}

/// A length in the unit in which another was typed: the shortest to write of those that are hardly less than `most`.
pub(crate) fn at_most(most: Mm, like: &str) -> Option<Typed<Mm>> {
    let (unit, one) = unit_of(like);
    numbers(most / one, like).into_iter().find_map(|text| {
        let typed = format!("{text}{unit}");
        let value = Mm::parse(&typed).ok()?;
        (value > Mm::ZERO && value <= most && value + HARDLY_LESS >= most).then(|| Typed::new(value, typed))
    })
}

/// What stands after the number of a typed length, and how long one of it is.
pub(crate) fn unit_of(typed: &str) -> (String, Mm) {
    let number_ends =
        typed.char_indices().rev().find(|(_, c)| c.is_numeric()).map_or(0, |(at, c)| at + c.len_utf8());
    let unit = typed.get(number_ends..).unwrap_or_default();
    match Mm::parse(&format!("1{unit}")) {
        Ok(one) => (unit.to_owned(), one),
        Err(_) => (" mm".to_owned(), Mm::new(1.0)),
    }
}

/// Numbers near to a value, the shortest first: fractions first where the old one was a fraction.
fn numbers(value: f64, like: &str) -> Vec<String> {
    let mut texts = Vec::new();
    if like.contains('/') || like.chars().any(|c| c.is_numeric() && !c.is_ascii_digit()) {
        for parts in [1_u32, 2, 4, 8, 16, 32] {
            texts.extend(nearest(value * f64::from(parts)).map(|count| fraction(count, parts)));
        }
    }
    let comma = like.contains(',');
    for decimals in 0..=MOST_DECIMALS {
        let scale = 10_u32.pow(decimals.unsigned_abs());
        for count in nearest(value * f64::from(scale)) {
            let text = format!("{:.*}", decimals.unsigned_abs() as usize, count as f64 / f64::from(scale));
            texts.push(if comma { text.replace('.', ",") } else { text });
        }
    }
    texts
}

/// The whole numbers about a value, the nearest first.
fn nearest(value: f64) -> impl Iterator<Item = u64> {
    let middle = value.round().clamp(0.0, 1e12);
    let (up, down) = ((value - middle) >= 0.0, middle as u64);
    let (first, second) =
        if up { (down + 1, down.saturating_sub(1)) } else { (down.saturating_sub(1), down + 1) };
    [down, first, second].into_iter()
}

/// "1 1/2", from three halves.
fn fraction(count: u64, parts: u32) -> String {
    let parts = u64::from(parts);
    let (whole, rest) = (count / parts, count % parts);
    let shared = (1..=parts).rev().find(|by| parts % by == 0 && rest % by == 0).unwrap_or(1);
    match (whole, rest) {
        (whole, 0) => whole.to_string(),
        (0, rest) => format!("{}/{}", rest / shared, parts / shared),
        (whole, rest) => format!("{whole} {}/{}", rest / shared, parts / shared),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_keeps_its_unit_and_its_way_of_writing_numbers() {
        assert_eq!(unit_of("3 cm"), (" cm".into(), Mm::new(10.0)));
        assert_eq!(unit_of("1 1/2\"").0, "\"");
        assert_eq!(unit_of("½ in").0, " in");
        assert_eq!(numbers(3.4, "2,5 cm")[..2], ["3", "4"]);
        assert!(numbers(3.4, "2,5 cm").contains(&"3,4".to_owned()));
        assert!(numbers(1.5, "1/2 in").contains(&"1 1/2".to_owned()));
        assert_eq!(fraction(6, 8), "3/4");
    }
}
