//! Where a line of the stack can be carried to by hand.

use crate::edit::EditJsonError;
use crate::edit::meaning::{line_of, path_json};
use fellmark_core::edit;
use fellmark_core::plan::{Edit, Plan, StackEdit, StackList};
use fellmark_core::study::Study;
use serde::Serialize;

/// A place between lines.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GapJson {
    /// Where the line goes, as the edit `stack_move` has it.
    pub to: Vec<u32>,
    /// How many places of the piece lie below it.
    pub below: u32,
    /// Where the hand is that means it: in this place of the piece, by its number from the bottom,
    pub within: u32,
    /// and so much of it below the hand. The gap that is nearest to the hand is the one that is meant.
    pub share: f64,
}

/// A line of the stack.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LineJson {
    /// The sequence whose list it stands in; null: the piece.
    pub sequence: Option<String>,
    /// Its line, and further ones within repeats.
    pub at: Vec<u32>,
}

/// Where the line stands that an edit has moved, of a plan as it was before; `None` where it moved none.
#[must_use]
pub fn moved(edit: &Edit, before: &Plan) -> Option<LineJson> {
    let Edit::Stack(list, StackEdit::Move { from, to }) = edit else { return None };
    let sequence = match list {
        StackList::Piece => None,
        StackList::Sequence(id) => Some(before.sequences.get(id.0)?.name.clone()),
    };
    Some(LineJson { sequence, at: path_json(&edit::lands(from, to)) })
}

/// Where a line can be carried to, from the bottom up.
///
/// # Errors
/// If the plan has no such sequence, or if the path is none.
pub fn gaps(
    plan: &Plan,
    study: &Study,
    sequence: Option<&str>,
    line: &[u32],
) -> Result<Vec<GapJson>, EditJsonError> {
    let (list, line) = line_of(plan, sequence, line)?;
    let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let json = |gap: edit::Gap| GapJson {
        to: path_json(&gap.to),
        below: count(gap.below),
        within: count(gap.at.within.0).saturating_add(1),
        share: (gap.at.share * 1000.0).round() / 1000.0,
    };
    Ok(edit::gaps(plan, &study.piece, list, &line).into_iter().map(json).collect())
}
