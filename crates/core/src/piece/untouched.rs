//! What a band's rows would be if nothing had been touched on it: what a touch is measured against.

use super::band::{self, Setting};
use super::{Piece, PlaceId, Resolved};
use crate::plan::{BandId, Plan};

/// A band of a piece without its own touches.
pub(crate) struct Untouched<'a> {
    piece: &'a Piece,
    plan: Plan,
    band: BandId,
}

impl<'a> Untouched<'a> {
    /// `plan` is the one that `piece` was made from.
    pub(crate) fn new(plan: &Plan, piece: &'a Piece, band: BandId) -> Untouched<'a> {
        let mut plan = plan.clone();
        if let Some(here) = plan.bands.get_mut(band.0) {
            here.touched.clear();
        }
        Untouched { piece, plan, band }
    }

    /// How many rows the band has, and the ends that they lie within; `None` if it stands nowhere.
    pub(crate) fn extent(&self) -> Option<(u32, crate::side::Span)> {
        let place = self.piece.places.iter().find(|place| place.band == self.band)?;
        Some((place.rows, place.span))
    }

    /// Over or under at every end of the piece in a row of the band (from 0), `None` where no weft passes or
    /// where it is not the same in all places of the band.
    pub(crate) fn row(&self, band_row: u32) -> Vec<Option<bool>> {
        let edges = self.plan.edges_of(self.band).unwrap_or(self.plan.edges);
        let mut same: Option<Vec<Option<bool>>> = None;
        for (number, place) in self.piece.places.iter().enumerate() {
            if place.band != self.band || band_row >= place.rows {
                continue;
            }
            let next = Resolved::StartedOnNext { place: PlaceId(number) };
            let skip = u32::from(self.piece.resolved.contains(&next));
            let from = self.piece.row(place.first_row + band_row).from;
            let opening =
                band::row(&self.plan, self.band, band_row, Setting { span: place.span, skip, from, edges });
            let mut here = vec![None; self.piece.ends.len()];
            for end in opening.span.ends() {
                if let Some(slot) = here.get_mut(end as usize) {
                    *slot = Some(opening.passes_over(end));
                }
            }
            same = Some(match same {
                None => here,
                Some(all) => all.iter().zip(here).map(|(a, b)| if *a == b { b } else { None }).collect(),
            });
        }
        same.unwrap_or_else(|| vec![None; self.piece.ends.len()])
    }
}
