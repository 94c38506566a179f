//! An edit: one small change of a plan. Gestures on the page, remedies of findings and the labels of undo are
//! all edits; how the plan's text changes is the note's business, what the plan becomes is told here.

use super::{BandId, Edges, EndsWanted, Extent, Plan, Source, Touch, WeftId};
use crate::side::Side;
use crate::weave::Step;
use std::num::NonZeroU32;

/// One change of a plan.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// The warp has this many ends (`warp.ends`, in place of `warp.width`).
    WarpEnds(u32),
    /// A weft's needle starts from this side (`weft.NAME.from`).
    WeftFrom(WeftId, Side),
    /// A weft lies doubled on its needle, or single (`weft.NAME.doubled`).
    WeftDoubled(WeftId, bool),
    /// What happens at the edge ends of the whole piece (`edges`).
    PieceEdges(Edges),
    /// What happens at the edge ends of a band (`band.NAME.edges`).
    BandEdges(BandId, Edges),
    /// The row of its weave on which a band starts (`band.NAME.start`).
    BandStart(BandId, NonZeroU32),
    /// How many rows a band has (`band.NAME.rows`, in place of `length`).
    BandRows(BandId, u32),
    /// A crossing or run changed by hand (`band.NAME.touched`, one more line, or the last one longer).
    Touch(BandId, Touch),
    /// How a band's opening moves (`band.NAME.step`); only for a band that has a weave.
    BandStep(BandId, Step),
    /// Several edits, one after the other, that make one change.
    Together(Vec<Edit>),
}

/// Why an edit does not fit a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EditError {
    /// It names a weft, a band or a weave that the plan doesn't have.
    NotThere,
}

impl Edit {
    /// The plan as it becomes.
    ///
    /// # Errors
    /// [`EditError::NotThere`] if it names what the plan doesn't have.
    pub fn apply(&self, plan: &Plan) -> Result<Plan, EditError> {
        let mut plan = plan.clone();
        match *self {
            Edit::Together(ref edits) => return edits.iter().try_fold(plan, |plan, edit| edit.apply(&plan)),
            Edit::BandStep(band, step) => match &mut plan.band_mut(band)?.source {
                Source::Weave(weave) => weave.step = step,
                Source::Written(_) | Source::Parts(_) | Source::Like(_) => return Err(EditError::NotThere),
            },
            Edit::WarpEnds(ends) => plan.warp.ends = EndsWanted::Count(ends),
            Edit::WeftFrom(weft, side) => plan.wefts.get_mut(weft.0).ok_or(EditError::NotThere)?.from = side,
            Edit::WeftDoubled(weft, doubled) => {
                plan.wefts.get_mut(weft.0).ok_or(EditError::NotThere)?.doubled = doubled;
            }
            Edit::PieceEdges(edges) => plan.edges = edges,
            Edit::BandEdges(band, edges) => plan.band_mut(band)?.edges = Some(edges),
            Edit::BandStart(band, row) => plan.band_mut(band)?.start = Some(row),
            Edit::BandRows(band, rows) => plan.band_mut(band)?.extent = Some(Extent::Rows(rows)),
            Edit::Touch(band, touch) => {
                let touched = &mut plan.band_mut(band)?.touched;
                match touched.last().and_then(|last| last.joined_by(touch)) {
                    Some(joined) => *touched.last_mut().ok_or(EditError::NotThere)? = joined,
                    None => touched.push(touch),
                }
            }
        }
        Ok(plan)
    }
}

impl Plan {
    fn band_mut(&mut self, band: BandId) -> Result<&mut super::Band, EditError> {
        self.bands.get_mut(band.0).ok_or(EditError::NotThere)
    }
}

#[cfg(test)]
mod tests {
    use super::super::TouchedRows;
    use super::*;
    use crate::side::{Pass, Span};

    fn touch(row: u32, pass: Pass, first: u32, last: u32) -> Touch {
        Touch { at: TouchedRows::Row(row), ends: Span::new(first, last).unwrap(), pass }
    }

    #[test]
    fn a_stroke_over_neighbouring_ends_is_one_touch() {
        let first = touch(2, Pass::Over, 4, 5);
        assert_eq!(first.joined_by(touch(2, Pass::Over, 6, 6)), Some(touch(2, Pass::Over, 4, 6)));
        assert_eq!(first.joined_by(touch(2, Pass::Over, 1, 3)), Some(touch(2, Pass::Over, 1, 5)));
        assert_eq!(first.joined_by(touch(2, Pass::Over, 7, 7)), None, "end 6 lies between");
        assert_eq!(first.joined_by(touch(3, Pass::Over, 6, 6)), None, "another row");
        assert_eq!(first.joined_by(touch(2, Pass::Under, 6, 6)), None, "the other pass");
    }

    #[test]
    fn a_touch_of_the_same_ends_takes_the_place_of_the_last() {
        let first = touch(2, Pass::Over, 4, 5);
        assert_eq!(first.joined_by(touch(2, Pass::Under, 4, 5)), Some(touch(2, Pass::Under, 4, 5)));
        assert_eq!(first.joined_by(touch(2, Pass::Under, 4, 4)), None, "end 5 stays over");
    }
}
