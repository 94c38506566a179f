//! An edit as something to do.

use super::{pass, side};
use crate::plan::{Edges, Edit, Plan, TouchedRows};
use crate::side::Side;

/// An edit as an instruction, for a plan that has the bands and wefts it names.
#[must_use]
pub fn edit(edit: &Edit, plan: &Plan) -> String {
    let band = |band: crate::plan::BandId| plan.bands.get(band.0).map_or("", |band| band.name.as_str());
    let weft = |weft: crate::plan::WeftId| plan.wefts.get(weft.0).map_or("", |weft| weft.name.as_str());
    match *edit {
        Edit::WarpEnds(ends) => format!("take {ends} ends"),
        Edit::WeftFrom(w, s) => format!("start {} from the {}", weft(w), side(s)),
        Edit::WeftDoubled(w, true) => format!("lay {} doubled on its needle", weft(w)),
        Edit::WeftDoubled(w, false) => format!("lay {} single on its needle", weft(w)),
        Edit::PieceEdges(Edges::Taken) => "in every row go over the first end and under the last".into(),
        Edit::PieceEdges(Edges::Crossed) => "leave the edge ends to the weave".into(),
        Edit::BandEdges(b, Edges::Taken) => {
            format!("in every row of {} go over the first end and under the last", band(b))
        }
        Edit::BandEdges(b, Edges::Crossed) => format!("in {} leave the edge ends to the weave", band(b)),
        Edit::BandStart(b, row) => format!("start {} on row {row} of its weave", band(b)),
        Edit::BandRows(b, rows) => {
            format!("weave {} of {}", super::counted(rows, "row", "rows"), band(b))
        }
        Edit::BandStep(b, step) => {
            let rows = match step.every_rows.get() {
                1 => "every row".to_owned(),
                rows => format!("every {rows} rows"),
            };
            let to = side(if step.right < 0 { Side::Left } else { Side::Right });
            format!(
                "move the opening of {} {} {to} {rows}",
                band(b),
                super::counted(step.right.unsigned_abs(), "end", "ends")
            )
        }
        Edit::Together(ref edits) => {
            let all: Vec<String> = edits.iter().map(|edit| self::edit(edit, plan)).collect();
            let all: Vec<&str> = all.iter().map(String::as_str).collect();
            super::list(&all)
        }
        Edit::Touch(b, touch) => {
            let rows = match touch.at {
                TouchedRows::Row(row) => format!("in row {} of {}", row + 1, band(b)),
                TouchedRows::Every { rows, from } => {
                    format!("in every {rows} rows of {} from row {}", band(b), from + 1)
                }
            };
            let ends = super::ends(touch.ends.first(), touch.ends.last());
            format!("{rows} go {} {ends}", pass(touch.pass))
        }
    }
}
