//! An edit as JSON: bands and wefts by name, rows and ends from 1.

use fellmark_core::plan::{BandId, Edges, Edit, Plan, Touch, TouchedRows, WeftId};
use fellmark_core::side::{Pass, Side, Span};
use fellmark_core::weave::Step;
use serde::{Deserialize, Serialize};
use std::num::NonZeroU32;

/// One change of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "edit", rename_all = "snake_case", deny_unknown_fields)]
pub enum EditJson {
    /// The warp has this many ends.
    WarpEnds {
        /// How many.
        ends: u32,
    },
    /// A weft starts from this side.
    WeftFrom {
        /// The weft.
        weft: String,
        /// `left` or `right`.
        from: String,
    },
    /// A weft lies doubled on its needle.
    WeftDoubled {
        /// The weft.
        weft: String,
        /// Doubled or single.
        doubled: bool,
    },
    /// What happens at the edge ends of the piece.
    PieceEdges {
        /// `crossed` or `taken`.
        edges: String,
    },
    /// What happens at the edge ends of a band.
    BandEdges {
        /// The band.
        band: String,
        /// `crossed` or `taken`.
        edges: String,
    },
    /// The row of its weave on which a band starts.
    BandStart {
        /// The band.
        band: String,
        /// From 1.
        start: NonZeroU32,
    },
    /// How many rows a band has.
    BandRows {
        /// The band.
        band: String,
        /// How many.
        rows: u32,
    },
    /// Crossings changed by hand.
    Touch {
        /// The band.
        band: String,
        /// The row of the band, or the first of them.
        row: u32,
        /// Every so many rows; null: only that one.
        every: Option<NonZeroU32>,
        /// First and last end.
        ends: [u32; 2],
        /// `over` or `under`.
        pass: String,
    },
    /// How a band's opening moves.
    BandStep {
        /// The band.
        band: String,
        /// Ends to the right, less than 0 to the left.
        right: i32,
        /// How many rows are woven before each step.
        every_rows: NonZeroU32,
    },
    /// Several edits that make one change.
    Together {
        /// The edits, in order.
        edits: Vec<EditJson>,
    },
}

/// Why an edit's JSON does not fit a plan: the name or word that is not known there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditNameError(pub String);

impl EditJson {
    /// An edit of a plan that has the bands and wefts it names.
    #[must_use]
    pub fn of(edit: &Edit, plan: &Plan) -> EditJson {
        let weft = |weft: WeftId| plan.wefts.get(weft.0).map_or_else(String::new, |weft| weft.name.clone());
        let band = |band: BandId| plan.bands.get(band.0).map_or_else(String::new, |band| band.name.clone());
        match *edit {
            Edit::WarpEnds(ends) => EditJson::WarpEnds { ends },
            Edit::WeftFrom(w, side) => {
                EditJson::WeftFrom { weft: weft(w), from: fellmark_core::say::side(side).into() }
            }
            Edit::WeftDoubled(w, doubled) => EditJson::WeftDoubled { weft: weft(w), doubled },
            Edit::PieceEdges(edges) => EditJson::PieceEdges { edges: edges_word(edges).into() },
            Edit::BandEdges(b, edges) => {
                EditJson::BandEdges { band: band(b), edges: edges_word(edges).into() }
            }
            Edit::BandStart(b, start) => EditJson::BandStart { band: band(b), start },
            Edit::BandRows(b, rows) => EditJson::BandRows { band: band(b), rows },
            Edit::BandStep(b, step) => {
                EditJson::BandStep { band: band(b), right: step.right, every_rows: step.every_rows }
            }
            Edit::Together(ref edits) => {
                EditJson::Together { edits: edits.iter().map(|edit| EditJson::of(edit, plan)).collect() }
            }
            Edit::Touch(b, touch) => {
                let (row, every) = match touch.at {
                    TouchedRows::Row(row) => (row, None),
                    TouchedRows::Every { rows, from } => (from, Some(rows)),
                };
                EditJson::Touch {
                    band: band(b),
                    row: row + 1,
                    every,
                    ends: [touch.ends.first() + 1, touch.ends.last() + 1],
                    pass: fellmark_core::say::pass(touch.pass).into(),
                }
            }
        }
    }

    /// The edit that this means for a plan.
    ///
    /// # Errors
    /// The name or word that the plan or the program doesn't know.
    pub fn on(&self, plan: &Plan) -> Result<Edit, EditNameError> {
        let unknown = |word: &str| EditNameError(word.to_owned());
        let weft = |name: &str| {
            let at = plan.wefts.iter().position(|weft| weft.name == name);
            at.map(WeftId).ok_or_else(|| unknown(name))
        };
        let band = |name: &str| {
            let at = plan.bands.iter().position(|band| band.name == name);
            at.map(BandId).ok_or_else(|| unknown(name))
        };
        Ok(match self {
            EditJson::WarpEnds { ends } => Edit::WarpEnds(*ends),
            EditJson::WeftFrom { weft: w, from } => {
                let side = Side::BOTH.into_iter().find(|&side| fellmark_core::say::side(side) == from);
                Edit::WeftFrom(weft(w)?, side.ok_or_else(|| unknown(from))?)
            }
            EditJson::WeftDoubled { weft: w, doubled } => Edit::WeftDoubled(weft(w)?, *doubled),
            EditJson::PieceEdges { edges } => {
                Edit::PieceEdges(edges_of(edges).ok_or_else(|| unknown(edges))?)
            }
            EditJson::BandEdges { band: b, edges } => {
                Edit::BandEdges(band(b)?, edges_of(edges).ok_or_else(|| unknown(edges))?)
            }
            EditJson::BandStart { band: b, start } => Edit::BandStart(band(b)?, *start),
            EditJson::BandRows { band: b, rows } => Edit::BandRows(band(b)?, *rows),
            EditJson::BandStep { band: b, right, every_rows } => {
                Edit::BandStep(band(b)?, Step { right: *right, every_rows: *every_rows })
            }
            EditJson::Together { edits } => {
                Edit::Together(edits.iter().map(|edit| edit.on(plan)).collect::<Result<_, _>>()?)
            }
            EditJson::Touch { band: b, row, every, ends, pass } => {
                let first_row = row.checked_sub(1).ok_or_else(|| unknown("row 0"))?;
                let at = match every {
                    None => TouchedRows::Row(first_row),
                    Some(rows) => TouchedRows::Every { rows: *rows, from: first_row },
                };
                let span = ends[0].checked_sub(1).zip(ends[1].checked_sub(1));
                let span = span.and_then(|(first, last)| Span::new(first, last));
                let pass =
                    [Pass::Over, Pass::Under].into_iter().find(|&p| fellmark_core::say::pass(p) == pass);
                Edit::Touch(
                    band(b)?,
                    Touch {
                        at,
                        ends: span.ok_or_else(|| unknown("ends"))?,
                        pass: pass.ok_or_else(|| unknown("pass"))?,
                    },
                )
            }
        })
    }
}

fn edges_word(edges: Edges) -> &'static str {
    match edges {
        Edges::Crossed => "crossed",
        Edges::Taken => "taken",
    }
}

fn edges_of(word: &str) -> Option<Edges> {
    [Edges::Crossed, Edges::Taken].into_iter().find(|&edges| edges_word(edges) == word)
}
